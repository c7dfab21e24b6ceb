"""After the shift: what the round and the meters leave for tomorrow."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from scrubwright.catalogue.checks import Result, WornBy
from scrubwright.jobs.round_answers import Answer
from scrubwright.jobs.round_card import CardRow, RoundCard
from scrubwright.jobs.round_history import MeterRead
from scrubwright.jobs.stops import OpenStop
from scrubwright.measures.sentence import Sentence

# Meters show tenths, and clocks are read to some minutes.
SLACK_H = 0.2
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterAnswer:
    """What is left after a shift.

    Parameters
    ----------
    to_mend
        Rows that found something to mend.
    open_stops
        Stops that keep the machine from running tomorrow.
    meters
        What is odd about the meters; empty where nothing is.
    ran_h
        Hours that each meter ran since it was last read [h], where that can be told.
    """

    to_mend: tuple[CardRow, ...]
    open_stops: tuple[OpenStop, ...]
    meters: tuple[Sentence, ...]
    ran_h: tuple[tuple[WornBy, float], ...]


def after_shift(
    card: RoundCard,
    answers: Mapping[str, Answer],
    open_stops: Sequence[OpenStop],
    reads: Sequence[MeterRead] = (),
) -> AfterAnswer:
    """What the round after the shift and the meters leave for tomorrow.

    Parameters
    ----------
    card, answers
        The round after the shift, and the answers that stand, by check.
    open_stops
        What the log holds open.
    reads
        The meters, in order of time; the last two of each are looked at.

    Notes
    -----
    A meter that falls, or that runs more hours than the clock, is told and kept as it was written.
    """
    steps = tuple(_steps(reads))
    return AfterAnswer(
        to_mend=tuple(row for row in card.rows if _found(answers, row) is Result.FIX),
        open_stops=tuple(open_stops),
        meters=tuple(_odd(steps)),
        ran_h=tuple(
            (after.meter, after.shown_h - before.shown_h) for before, after in steps if _is_sound(before, after)
        ),
    )


def _found(answers: Mapping[str, Answer], row: CardRow) -> Result | None:
    answer = answers.get(row.check.identity)
    return None if answer is None else answer.result


def _steps(reads: Sequence[MeterRead]) -> Iterator[tuple[MeterRead, MeterRead]]:
    for meter in WornBy:
        mine = [read for read in reads if read.meter is meter]
        if len(mine) > 1:
            yield mine[-2], mine[-1]


def _is_sound(before: MeterRead, after: MeterRead) -> bool:
    return 0 <= after.shown_h - before.shown_h <= (after.at - before.at) / _HOUR + SLACK_H


def _odd(steps: Sequence[tuple[MeterRead, MeterRead]]) -> Iterator[Sentence]:
    for before, after in steps:
        if after.shown_h < before.shown_h:
            yield Sentence(
                "The {meter} meter fell from {before_h} to {after_h}. Read it again; a new meter or a full turn is "
                "written in the log of changes.",
                meter=after.meter,
                before_h=before.shown_h,
                after_h=after.shown_h,
            )
        elif not _is_sound(before, after):
            yield Sentence(
                "The {meter} meter ran {ran_h}, but only {clock_h} have passed. Read it again.",
                meter=after.meter,
                ran_h=after.shown_h - before.shown_h,
                clock_h=(after.at - before.at) / _HOUR,
            )
