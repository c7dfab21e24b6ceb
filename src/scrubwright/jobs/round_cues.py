"""Signs that a round was ticked rather than looked at, told as help for the next one, never as blame."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from statistics import median

from scrubwright.catalogue.checks import Result
from scrubwright.jobs.round_answers import Answer
from scrubwright.measures.sentence import Sentence

# Common practice, and ours: below these a round looks like most others, above them talking about it helps.
QUICK_FRACTION = 0.4
LEAST_ROUNDS = 5
SAME_ROUNDS = 10
CLEAN_ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneRound:
    """One finished round.

    Parameters
    ----------
    took_min
        From its beginning to its last answer [min].
    practised_min
        What a practised person needs for its rows [min].
    answers
        The answers that stand.
    """

    took_min: float
    practised_min: float
    answers: tuple[Answer, ...]

    @property
    def pace_ratio(self) -> float | None:
        """Time taken over the time that a practised person needs; None for a round without rows."""
        return self.took_min / self.practised_min if self.practised_min > 0 else None


def teaching_cues(rounds: Sequence[DoneRound]) -> tuple[Sentence, ...]:
    """What to talk about with whoever did the last round; empty for most rounds.

    Parameters
    ----------
    rounds
        Finished rounds of one machine, the oldest first.

    Notes
    -----
    Rounds have different cards, so times are held against what a practised person needs for the same rows:
    the last round is quick below 40 % of the median pace of the earlier ones, at least five of them.
    """
    return (*_quick(rounds), *_same(rounds), *_clean(rounds))


def _quick(rounds: Sequence[DoneRound]) -> Iterator[Sentence]:
    paces = [each.pace_ratio for each in rounds if each.pace_ratio is not None]
    if len(paces) <= LEAST_ROUNDS or not rounds[-1].answers or rounds[-1].pace_ratio is None:
        return
    usual = median(paces[:-1])
    if paces[-1] < QUICK_FRACTION * usual:
        yield Sentence(
            "This round took {took_min}; at the usual pace it takes {usual_min}. Walk it once with a colleague: touch "
            "each point and say its value aloud.",
            took_min=rounds[-1].took_min,
            usual_min=usual * rounds[-1].practised_min,
        )


def _same(rounds: Sequence[DoneRound]) -> Iterator[Sentence]:
    if not rounds:
        return
    for answer in rounds[-1].answers:
        read = [value for done in rounds if (value := _value(done, answer.check)) is not None]
        alike = _alike_at_end(read)
        if alike >= SAME_ROUNDS:
            yield Sentence(
                "{check} had the same number {count} rounds in a row. Measure it together once, and see whether the "
                "gauge still moves.",
                check=answer.check,
                count=alike,
            )


def _alike_at_end(values: Sequence[float]) -> int:
    return sum(1 for _ in takewhile(lambda value: value == values[-1], reversed(values)))


def _value(done: DoneRound, check: str) -> float | None:
    return next((each.reading.value for each in done.answers if each.check == check and each.reading is not None), None)


def _clean(rounds: Sequence[DoneRound]) -> Iterator[Sentence]:
    last = rounds[-CLEAN_ROUNDS:]
    if len(last) == CLEAN_ROUNDS and all(each.result is Result.GOOD for done in last for each in done.answers):
        yield Sentence(
            "Nothing was found in the last {count} rounds. Machines wear, so look together once: wheels, blades, hoses "
            "and caps first.",
            count=CLEAN_ROUNDS,
        )
