"""The whole answer of a shift: verdict, changes, the same from the same chance."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from scrubwright.jobs.shift_answer import Limit, ShiftAnswer, ShiftVerdict
from scrubwright.jobs.shift_plan import shift_plan
from scrubwright.jobs.shift_question import ShiftQuestion
from scrubwright.measures.errors import BadInput
from tests.properties.test_shift_balance import START
from tests.rooms.test_shift_changes import small_night

AMPLE = small_night(np.random.default_rng(1))


def answer(question: ShiftQuestion, *, with_changes: bool = True, samples: int = 64) -> ShiftAnswer:
    return shift_plan(question, rng=np.random.default_rng(1), samples=samples, with_changes=with_changes)


def test_an_easy_night_fits_and_asks_for_no_change() -> None:
    found = answer(AMPLE)
    assert found.verdict is ShiftVerdict.FITS
    assert found.first_limit is Limit.NONE
    assert found.changes == ()
    assert START < found.finish_at <= found.dry_at < AMPLE.dry_by
    assert not found.is_rest


def test_the_same_question_from_the_same_chance_gives_the_same_answer() -> None:
    one, other = answer(AMPLE), answer(AMPLE)
    assert one.chance == other.chance
    assert [lane.length_m for lane in one.route.lanes] == [lane.length_m for lane in other.route.lanes]


def test_how_often_the_shift_is_drawn_moves_no_lane() -> None:
    few, many = answer(AMPLE), answer(AMPLE, samples=512)
    assert [lane.length_m for lane in few.route.lanes] == [lane.length_m for lane in many.route.lanes]


def test_a_night_that_is_too_short_fails_by_the_clock_and_says_what_helps_if_asked() -> None:
    short = replace(AMPLE, dry_by=START + timedelta(minutes=5))
    assert answer(short, with_changes=False).changes == ()
    found = answer(short)
    assert found.verdict is ShiftVerdict.DOES_NOT_FIT
    assert found.first_limit is Limit.CLOCK
    assert found.changes
    assert "too late" in str(found.why)


def test_progress_runs_from_nothing_to_all() -> None:
    told: list[float] = []
    shift_plan(AMPLE, rng=np.random.default_rng(1), samples=64, progress=told.append)
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)


def test_shifts_are_drawn_in_powers_of_two() -> None:
    with pytest.raises(BadInput, match="power of two"):
        answer(AMPLE, samples=100)
