"""Parts to carry and trips to make as text and as rows of a table."""

from collections.abc import Sequence

from scrubwright.jobs.due_visits import VisitsAnswer
from scrubwright.jobs.what_to_carry import CarryAnswer, CarryLine
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_lines import day_words
from scrubwright.paperwork.table_writing import Entry
from scrubwright.paperwork.text_columns import Column, Section, row, wrapped
from scrubwright.paperwork.wording import Teller

_COLUMNS = (
    Column(width=32),
    Column(width=8, right=True),
    Column(width=9, right=True),
    Column(width=7, right=True),
    Column(width=9, right=True),
)


def carry_section(answer: CarryAnswer, teller: Teller) -> Section:
    """The parts to hold, as a heading and a table.

    Parameters
    ----------
    answer
        The parts.
    teller
        For whom.
    """
    level, ahead = answer.level_fraction, answer.horizon_days
    heading = Sentence(
        "Parts for {horizon_days}, enough in {level_fraction} of such spells",
        horizon_days=ahead,
        level_fraction=level,
    )
    if not answer.lines:
        return Section(heading=teller.tell(heading), body=wrapped(teller.words("No part need be held."), indent="  "))
    words = teller.words
    is_mixed = len({line.machines for line in answer.lines}) > 1
    head = (words("part"), words("planned"), words("surprise"), words("hold"), words("to order"))
    lines = [row(head, _COLUMNS), *(row(_cells(line, teller, is_mixed=is_mixed), _COLUMNS) for line in answer.lines)]
    return Section(heading=teller.tell(heading), body="\n".join(lines))


def _cells(line: CarryLine, teller: Teller, *, is_mixed: bool) -> tuple[str, ...]:
    told = teller.tell(line.line.name)
    if len(line.machines) > 1:
        told = teller.words("{name}, {count} machines", name=told, count=len(line.machines))
    elif is_mixed:
        told = f"{told}: {line.machines[0]}"
    return (told, str(line.planned_pieces), str(line.surprise_pieces), str(line.pieces), str(line.order_pieces))


def visits_section(answer: VisitsAnswer, teller: Teller) -> Section:
    """The trips, day by day, and what is left without hours.

    Parameters
    ----------
    answer
        The trips.
    teller
        For whom.
    """
    lines = []
    for visit in answer.visits:
        day = day_words(visit.day, teller)
        lines.append(wrapped(teller.words("{day}, work {work_h}", day=day, work_h=visit.work_h), indent="  "))
        for machine, each in visit.rows:
            told = teller.words("{machine}: {said}", machine=machine, said=each.title)
            lines.append(wrapped(told, indent="      ", mark="- "))
    for machine in answer.machines_that_stand:
        standing = Sentence(
            "{machine} must stand once a check that can stop it is past its day: no hours are left for it.",
            machine=machine,
        )
        lines.append(wrapped(teller.tell(standing), indent="  "))
    if answer.not_planned:
        lines.append(wrapped(teller.words("Left without hours: {count}.", count=len(answer.not_planned)), indent="  "))
    return Section(heading=teller.words("Trips"), body="\n".join(lines) or wrapped(teller.words("None."), indent="  "))


def carry_table(answer: CarryAnswer, teller: Teller) -> Sequence[Sequence[Entry]]:
    """The parts to hold as rows of a table, the names of the columns first.

    Parameters
    ----------
    answer
        The parts.
    teller
        Whose language and words.
    """
    words = teller.words
    names = ("line", "part", "machines", "planned", "surprise", "hold", "to order")
    return [[words(name) for name in names], *(_entries(line, teller) for line in answer.lines)]


def _entries(line: CarryLine, teller: Teller) -> list[Entry]:
    return [
        line.line.identity,
        teller.tell(line.line.name),
        "; ".join(line.machines),
        line.planned_pieces,
        line.surprise_pieces,
        line.pieces,
        line.order_pieces,
    ]
