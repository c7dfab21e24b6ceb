"""The due list as rows that a person reads: checks of one round that fall due together stand in one row."""

from dataclasses import dataclass

from scrubwright.catalogue.checks import Occasion
from scrubwright.jobs.due_answer import DueAnswer, DueItem, Rule, Standing
from scrubwright.jobs.due_lines import METER_NAMES, Task
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """One row: a service item, or the checks of one round that are due on one day by one rule.

    Parameters
    ----------
    identity
        Name of the item, or of the round; stays the same from day to day.
    title
        What is due.
    items
        What stands in the row, all of one day and band.
    """

    identity: str
    title: Sentence
    items: tuple[DueItem, ...]

    @property
    def first(self) -> DueItem:
        """One of them: day, band, rule and standing are those of all."""
        return self.items[0]

    @property
    def takes_min(self) -> float:
        """Work for all of them [min]."""
        return sum(item.line.takes_min for item in self.items)


def due_rows(answer: DueAnswer) -> tuple[DueRow, ...]:
    """The rows of an answer, the most pressing first.

    Parameters
    ----------
    answer
        What is due.
    """
    groups: dict[tuple[object, ...], list[DueItem]] = {}
    for item in answer.items:
        line = item.line
        if line.task is Task.CHECK:
            key: tuple[object, ...] = (_round(item), item.rule, answer.likely_day(item), item.counted_from)
        else:
            key = (line.identity,)
        groups.setdefault(key, []).append(item)
    rows = [_row(items) for items in groups.values()]
    order = list(Standing)
    return tuple(sorted(rows, key=lambda row: (order.index(row.first.standing), row.first.days.value)))


def _row(items: list[DueItem]) -> DueRow:
    line = items[0].line
    if line.task is not Task.CHECK:
        title = Sentence("{name} ({task})", name=line.name, task=line.task)
        return DueRow(identity=line.identity, title=title, items=tuple(items))
    return DueRow(identity=_round(items[0]), title=_title(items), items=tuple(items))


def _round(item: DueItem) -> str:
    """The round of a check: its occasion, and for hours which meter and how many."""
    line = item.line
    if line.occasion is Occasion.BY_HOURS and line.life_h is not None:
        return f"{line.meter}-checks-{line.life_h[0]:g}-h"
    return f"{line.occasion}-checks"


def _title(items: list[DueItem]) -> Sentence:
    count, line = len(items), items[0].line
    if line.occasion is Occasion.WEEKLY:
        return Sentence("weekly checks: {count}", count=count)
    if line.occasion is Occasion.MONTHLY:
        return Sentence("monthly checks: {count}", count=count)
    if line.occasion is Occasion.YEARLY:
        return Sentence("yearly checks: {count}", count=count)
    if line.life_h is None or line.meter is None:
        return Sentence("checks: {count}", count=count)
    return Sentence(
        "checks every {hours} hours of the {meter}: {count}",
        hours=round(line.life_h[0]),
        meter=METER_NAMES[line.meter],
        count=count,
    )


def is_told(row: DueRow) -> bool:
    """Whether a row has a day at all."""
    return row.first.rule is not Rule.UNKNOWN
