"""What a spill of battery acid takes, as text for a terminal or for the wall."""

from collections.abc import Iterable
from itertools import count, repeat

from scrubwright.battery.spill import Spill
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller


def spill_text(answer: Spill, gravity_origin: Origin, teller: Teller) -> str:
    """The whole answer about one spill.

    Parameters
    ----------
    answer
        What it takes.
    gravity_origin
        Where its gravity comes from.
    teller
        Who tells it.
    """
    words = teller.words
    verdict = words(
        "{acid_l} of acid takes {bicarbonate_kg} of baking soda, or {soda_ash_kg} of soda ash.",
        acid_l=answer.acid_l,
        bicarbonate_kg=answer.bicarbonate_kg,
        soda_ash_kg=answer.soda_ash_kg,
    )
    parts = (
        wrapped(verdict),
        f"{words('Numbers')}\n{_table(_numbers(answer, gravity_origin), teller)}",
        _listed(words("What to do"), (f"{number}. " for number in count(1)), answer.steps, teller),
        _listed(words("What never to do"), repeat("- "), answer.never, teller),
        _listed(words("Take care"), repeat("! "), answer.cautions, teller),
    )
    return "\n\n".join(parts) + "\n"


def _listed(heading: str, marks: Iterable[str], sentences: tuple[Sentence, ...], teller: Teller) -> str:
    told = (wrapped(teller.tell(each), indent="  ", mark=mark) for mark, each in zip(marks, sentences, strict=False))
    return "\n".join([heading, *told])


def _numbers(answer: Spill, gravity_origin: Origin) -> tuple[Sourced, ...]:
    def worked_out(name: str, value: float, detail: Sentence) -> Sourced:
        return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=detail)

    return (
        Sourced(
            name="gravity_ratio",
            value=answer.gravity_ratio,
            origin=gravity_origin,
            detail=Sentence("Gravity of the acid"),
        ),
        worked_out("acid_kg", answer.acid_kg, Sentence("Pure acid in it")),
        worked_out("bicarbonate_kg", answer.bicarbonate_kg, Sentence("Baking soda, with a fifth to spare")),
        worked_out("co2_l", answer.co2_l, Sentence("Carbon dioxide that it sets free")),
        worked_out("soda_ash_kg", answer.soda_ash_kg, Sentence("Or soda ash, with a fifth to spare")),
        worked_out("soda_ash_co2_l", answer.soda_ash_co2_l, Sentence("Carbon dioxide that it sets free")),
    )


def _table(figures: tuple[Sourced, ...], teller: Teller) -> str:
    rows = [
        (teller.tell(each.detail), teller.number(each.name, each.value), teller.words(each.origin)) for each in figures
    ]
    first, second = (max(len(row[column]) for row in rows) for column in (0, 1))
    return "\n".join(f"  {what:<{first}}  {number:>{second}}  {origin}" for what, number, origin in rows)
