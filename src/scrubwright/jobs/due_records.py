"""What was written down of each line: when it was last done, which parts ended how, and what was measured since."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum
from itertools import pairwise

from scrubwright.jobs.due_lines import DueLine, Task
from scrubwright.jobs.due_meters import MeterFleet
from scrubwright.jobs.due_question import Change, DueQuestion, Happened
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.life import Ending, PartLife
from scrubwright.wear.meters import Counts
from scrubwright.wear.wear_line import Measured, WearLine, wear_line


class Begun(StrEnum):
    """What an interval is counted from."""

    DONE = "last done"
    IN_SERVICE = "in service"
    FIRST_READING = "first reading"
    TODAY = "today"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRecord:
    """What is known of one line of one machine.

    Parameters
    ----------
    machine
        Place of the machine among those asked about.
    line
        The line.
    begun, begun_at
        What its interval is counted from, and when that was.
    row
        Row of its meter; None by calendar alone.
    """

    machine: int
    line: DueLine
    begun: Begun
    begun_at: datetime
    row: int | None


def line_records(
    questions: Sequence[DueQuestion], lines: Sequence[Sequence[DueLine]], fleet: MeterFleet
) -> list[LineRecord]:
    """One record for each line of each machine.

    Parameters
    ----------
    questions, lines
        The machines and their lines.
    fleet
        Their meters.
    """
    records = []
    for number, (question, mine) in enumerate(zip(questions, lines, strict=True)):
        begun, begun_at = _without_record(number, question, fleet)
        done = _last_done(question)
        for line in mine:
            told = [done[name] for name in (line.identity, line.occasion) if name in done]
            records.append(
                LineRecord(
                    machine=number,
                    line=line,
                    begun=Begun.DONE if told else begun,
                    begun_at=max(told) if told else begun_at,
                    row=None if line.meter is None else fleet.row(number, line.meter),
                )
            )
    return records


def _last_done(question: DueQuestion) -> dict[str, datetime]:
    done: dict[str, datetime] = {}
    for change in question.machine.changes:
        if change.happened is not Happened.MEASURED and change.at <= question.at:
            done[change.line] = max(change.at, done.get(change.line, change.at))
    return done


def _without_record(number: int, question: DueQuestion, fleet: MeterFleet) -> tuple[Begun, datetime]:
    if question.machine.in_service is not None:
        begun = datetime.combine(question.machine.in_service, time(), tzinfo=question.at.tzinfo)
        return Begun.IN_SERVICE, min(begun, question.at)
    first_days = min(float(fleet.first_days[fleet.row(number, counts)]) for counts in Counts)
    if first_days < float("inf"):
        return Begun.FIRST_READING, fleet.start + timedelta(days=first_days)
    return Begun.TODAY, question.at


def own_lives(
    questions: Sequence[DueQuestion], lines: Sequence[Sequence[DueLine]], fleet: MeterFleet
) -> dict[str, list[PartLife]]:
    """Parts of all machines together that came off, and those that run now, by the identity of their line.

    Parameters
    ----------
    questions, lines
        The machines and their lines.
    fleet
        Their meters.

    Notes
    -----
    A part counts from the change that fitted it; the one that was on the machine before the first change has no
    beginning and is left out. A change without its reason is left out too.
    """
    found: dict[str, list[PartLife]] = {}
    for number, (question, mine) in enumerate(zip(questions, lines, strict=True)):
        changes: dict[str, list[Change]] = {}
        for change in sorted(question.machine.changes, key=lambda each: each.at):
            if change.happened is not Happened.MEASURED and change.at <= question.at:
                changes.setdefault(change.line, []).append(change)
        for line in mine:
            if line.task is Task.REPLACE and line.meter is not None and line.identity in changes:
                row = fleet.row(number, line.meter)
                lives = _lives(changes[line.identity], row, fleet, question.at)
                found.setdefault(line.identity, []).extend(lives)
    return found


def _lives(changes: Sequence[Change], row: int, fleet: MeterFleet, now: datetime) -> Iterator[PartLife]:
    for before, after in pairwise(changes):
        run_h = fleet.run_h(row, fleet.days(after.at)) - fleet.run_h(row, fleet.days(before.at))
        if after.happened.ending is not None and run_h > 0:
            yield PartLife(run_h=run_h, ending=after.happened.ending)
    run_h = fleet.run_h(row, fleet.days(now)) - fleet.run_h(row, fleet.days(changes[-1].at))
    if run_h > 0 and changes[-1].happened is not Happened.LOST_WITH_MACHINE:
        yield PartLife(run_h=run_h, ending=Ending.STILL_RUNNING)


def measured_changes(question: DueQuestion) -> Mapping[str, list[Change]]:
    """The measurements of a machine's parts, by line and in order of time."""
    found: dict[str, list[Change]] = {}
    for change in sorted(question.machine.changes, key=lambda each: each.at):
        if change.happened is Happened.MEASURED and change.at <= question.at:
            found.setdefault(change.line, []).append(change)
    return found


def line_of_wear(
    record: LineRecord, measured: Sequence[Change], fleet: MeterFleet
) -> tuple[WearLine | None, tuple[Sentence, ...]]:
    """The line through what was measured of the part that is on now, and what must be asked of it.

    Parameters
    ----------
    record
        The line of the catalogue; its limit is a length.
    measured
        Its measurements, in order of time.
    fleet
        The meters.

    Notes
    -----
    Play and gaps grow, bristle and rubber shrink; what begins below its limit and does not shrink is one that grows.
    The catalogue's own measure of a new part counts as the first where the change was written down.
    """
    limit_m, row = record.line.limit_m, record.row
    mine = [each for each in measured if each.at >= record.begun_at or record.begun is not Begun.DONE]
    if limit_m is None or row is None or not mine:
        return None, ()
    points = [(fleet.run_h(row, fleet.days(each.at)), each.measured_m or 0.0) for each in mine]
    if record.begun is Begun.DONE and record.line.new_m is not None:
        points.insert(0, (fleet.run_h(row, fleet.days(record.begun_at)), record.line.new_m))
    grows = points[0][1] < limit_m and points[-1][1] >= points[0][1]
    try:
        told = [
            Measured(at_h=at_h, left_m=max(0.0, 2 * limit_m - value_m) if grows else value_m)
            for at_h, value_m in points
        ]
        line = wear_line(told, limit_m=limit_m)
    except (BadInput, NoAnswer) as problem:
        return None, (problem.sentence,)
    return line, line.questions
