"""What a log of shifts teaches, as text for a terminal."""

from collections.abc import Sequence

from scrubwright.jobs.shift_entries import RATES
from scrubwright.jobs.shift_learning import Lesson, LookBack, finish_s, rate_called
from scrubwright.jobs.shift_logged import LoggedShift
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.text_columns import Column, row, wrapped
from scrubwright.paperwork.wording import Teller

_COLUMNS = (
    Column(width=27),
    Column(width=11, right=True),
    Column(width=9, right=True),
    Column(width=10, right=True),
    Column(width=11),
)
# More of what was left out than this is counted, the newest told.
MOST_TOLD = 12


def lesson_text(
    lesson: Lesson, shifts: Sequence[LoggedShift], prior: Rates, look_back: LookBack | None, teller: Teller
) -> str:
    """What the log of one machine at one site teaches, 80 letters wide.

    Parameters
    ----------
    lesson, look_back
        What it teaches, and how well the last finishes would have been foretold.
    shifts
        The log, in any order; not empty.
    prior
        The rates without a log.
    teller
        Who tells it.
    """
    words = teller.words
    days = sorted(shift.day for shift in shifts)
    newest = max(shifts, key=lambda shift: shift.day)
    if lesson.shifts:
        verdict = Sentence(
            "What takes {plate_s} by the plate takes {here_s} here.",
            plate_s=finish_s(newest.planned, prior),
            here_s=finish_s(newest.planned, lesson.rates),
        )
    else:
        verdict = Sentence("The log teaches nothing yet; plans stay with the plate.")
    whose = Sentence(
        "{machine} at {site}: shifts that teach: {count}, written down: {written}, {first} to {last}.",
        machine=newest.machine,
        site=newest.site,
        count=lesson.shifts,
        written=len(shifts),
        first=days[0].isoformat(),
        last=days[-1].isoformat(),
    )
    parts = [
        f"{wrapped(teller.tell(verdict))}\n{wrapped(teller.tell(whose))}",
        f"{words('Rates, over the plate')}\n{_table(lesson.rates, teller)}",
        _listed(words("How well finishes were foretold"), [_foretold(look_back)], teller),
        _listed(words("Begun again"), lesson.begun_again, teller),
        _listed(words("Left out"), lesson.left_out, teller),
        _listed(words("Far off the rest"), lesson.doubted, teller),
        _listed(words("Write down next time"), _wanted(lesson.rates), teller),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _table(rates: Rates, teller: Teller) -> str:
    words = teller.words
    heading = ("", words("here"), words("known to"), words("from shift to shift"), words("from"))
    lines = [row(heading, _COLUMNS)]
    for name in RATES:
        rate: Rate = getattr(rates, name)
        source = words("{count} shifts", count=rate.shifts) if rate.shifts else words(rate.origin)
        cells = (
            teller.tell(rate_called(name)),
            "× " + teller.plain(rate.factor_ratio, 2),
            "± " + _percent(rate.sd_ratio, teller),
            "± " + _percent(rate.shift_sd_ratio, teller),
            source,
        )
        lines.append(row(cells, _COLUMNS))
    return "\n".join(lines)


def _percent(share_fraction: float, teller: Teller) -> str:
    return f"{teller.plain(100 * share_fraction)} %"


def _foretold(look_back: LookBack | None) -> Sentence:
    if look_back is None:
        return Sentence("Write down start and finish of three whole shifts, and this tells how well it foretells.")
    return Sentence(
        "The last {count} finishes: by the plate half of them were more than {plate_fraction} off, by what the log "
        "said the day before {log_fraction}.",
        count=look_back.shifts,
        plate_fraction=look_back.plate_off_fraction,
        log_fraction=look_back.log_off_fraction,
    )


def _wanted(rates: Rates) -> list[Sentence]:
    """What to write down so that a rate that nobody measured yet can be learned."""
    wanted = {
        "scrubbing": Sentence("The brush meter before and after: for the time with the deck down."),
        "driving": Sentence("The traction meter before and after: for the time with the deck up."),
        "water": Sentence("The water filled in: for the water on the floor."),
        "current": Sentence("The charge before and after: for the current drawn."),
        "stops": Sentence("The minutes at the drain and the tap: for the time of a stop."),
    }
    return [sentence for name, sentence in wanted.items() if not getattr(rates, name).shifts]


def _listed(heading: str, sentences: Sequence[Sentence], teller: Teller) -> str:
    """The newest dozen below a heading; nothing where there is none."""
    told = list(sentences[-MOST_TOLD:])
    if len(sentences) > MOST_TOLD:
        told.insert(0, Sentence("older ones, not shown: {count}", count=len(sentences) - MOST_TOLD))
    return "\n".join([heading, *(wrapped(teller.tell(each), indent="  ", mark="- ") for each in told)]) if told else ""
