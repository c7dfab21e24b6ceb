"""The due list as rows of a table, for a spreadsheet program."""

from collections.abc import Sequence

from scrubwright.jobs.due_answer import DueAnswer
from scrubwright.paperwork.table_writing import Entry
from scrubwright.paperwork.wording import Teller


def due_table(answers: Sequence[DueAnswer], teller: Teller) -> list[list[Entry]]:
    """Every line of some machines, by machine and day, the names of the columns first.

    Parameters
    ----------
    answers
        What is due on each machine.
    teller
        Whose language and words.
    """
    words = teller.words
    header: list[Entry] = [
        words("machine"),
        words("line"),
        words("name"),
        words("task"),
        words("standing"),
        words("likely day"),
        words("first day"),
        words("last day"),
        words("rule"),
        words("origin"),
        words("why"),
        words("last done"),
        words("skill"),
        words("minutes"),
    ]
    return [header, *(row for answer in answers for row in _rows(answer, teller))]


def _rows(answer: DueAnswer, teller: Teller) -> list[list[Entry]]:
    rows: list[list[Entry]] = []
    for item in answer.items:
        low, high = answer.band(item)
        line = item.line
        rows.append(
            [
                answer.machine,
                line.identity,
                teller.tell(line.name),
                teller.words(line.task),
                teller.words(item.standing),
                answer.likely_day(item),
                low,
                high,
                teller.words(item.rule),
                teller.words(item.days.origin),
                teller.tell(item.days.detail),
                item.last_done,
                teller.words(line.skill),
                line.takes_min,
            ]
        )
    return rows
