"""When every line of a machine's catalogue is due: the earliest of calendar, meter and measured wear."""

from collections.abc import Sequence

from scrubwright.jobs.due_answer import DueAnswer
from scrubwright.jobs.due_dates import line_dates
from scrubwright.jobs.due_lines import DueLine, due_lines
from scrubwright.jobs.due_lives import usual_lives
from scrubwright.jobs.due_meters import meter_fleet
from scrubwright.jobs.due_question import DueQuestion
from scrubwright.jobs.due_records import line_records, own_lives
from scrubwright.jobs.due_telling import due_answer
from scrubwright.measures.errors import BadInput


def what_is_due(question: DueQuestion) -> DueAnswer:
    """When every line of one machine is due.

    Each line of the catalogue that this machine has is due at the earliest of its dates: by the calendar, by the
    hours of its own meter, or by its measured wear, which knows more than a usual life and takes its place.

    Parameters
    ----------
    question
        The machine, the catalogue, and now.

    Returns
    -------
    DueAnswer
        Every line with its day, its 80 % band, the rule that decides, and what must be asked.
    """
    return due_for_many((question,))[0]


def due_for_many(questions: Sequence[DueQuestion]) -> tuple[DueAnswer, ...]:
    """When every line of many machines is due, reckoned in one go for all machines of like open days.

    Parameters
    ----------
    questions
        One for each machine, in any order; two machines never have one name.

    Returns
    -------
    tuple of DueAnswer
        In the order of the questions. Parts of one kind on all machines together teach how long they last.

    Raises
    ------
    BadInput
        Two machines of one name.
    """
    names = [question.machine.name for question in questions]
    if len(set(names)) < len(names):
        raise BadInput("Two machines have one name; give each its own.")
    groups: dict[object, list[int]] = {}
    for number, question in enumerate(questions):
        groups.setdefault(_told_together(question), []).append(number)
    found: dict[int, DueAnswer] = {}
    for numbers in groups.values():
        answers = _together([questions[number] for number in numbers])
        found |= dict(zip(numbers, answers, strict=True))
    return tuple(found[number] for number in range(len(questions)))


def _together(questions: Sequence[DueQuestion]) -> list[DueAnswer]:
    lines = _lines_of(questions)
    fleet = meter_fleet(questions, lines)
    records = line_records(questions, lines, fleet)
    lives = usual_lives((line for mine in lines for line in mine), own_lives(questions, lines, fleet))
    dates = line_dates(questions, records, lives, fleet)
    answers, begin = [], 0
    for number, (question, mine) in enumerate(zip(questions, lines, strict=True)):
        end = begin + len(mine)
        answers.append(due_answer(question, number, records[begin:end], dates[begin:end], lives, fleet))
        begin = end
    return answers


def _told_together(question: DueQuestion) -> object:
    """What machines must share to be reckoned in one go."""
    return question.at, question.horizon_days, question.weekdays, question.closed, id(question.catalogue)


def _lines_of(questions: Sequence[DueQuestion]) -> list[tuple[DueLine, ...]]:
    """The lines of each machine; like machines share theirs."""
    kinds = {question.machine.facts for question in questions}
    known = {facts: due_lines(questions[0].catalogue, facts) for facts in kinds}
    return [known[question.machine.facts] for question in questions]
