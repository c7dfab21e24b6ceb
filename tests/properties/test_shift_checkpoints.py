"""The least charge at a stop lasts and a percent less does not, by a pack worked in steps of ten seconds."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrubwright.battery.discharge import Guard
from scrubwright.battery.wells import Charge, rested, stepped
from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_answer import Doing, MachineShift, ShiftAnswer, ShiftVerdict
from scrubwright.jobs.shift_checkpoints import Checkpoint, checkpoints
from scrubwright.jobs.shift_course import PackTonight, pack_tonight
from scrubwright.jobs.shift_question import MachineTonight
from tests.rooms.shift_answer_example import shift_answer

STEP_S = 10.0
ONE_PERCENT = 0.01


def asked(*, reserve: float, health: float, verdict: ShiftVerdict = ShiftVerdict.FITS) -> ShiftAnswer:
    answer = shift_answer(verdict)
    tonight = replace(answer.question.machines[0], health_ratio=health)
    question = replace(
        answer.question,
        machines=(tonight,),
        settings=replace(answer.question.settings, reserve_fraction=reserve),
    )
    return replace(answer, question=question)


def drawn_a(answer: ShiftAnswer, shift: MachineShift, at_s: float) -> float:
    """What the machine draws at a moment, read off the night line and the legs."""
    tonight = answer.question.machines[0]
    assert tonight.charger is not None
    assert tonight.plate.currents is not None
    doing = next(each.doing for each in shift.line if each.start_s <= at_s < each.end_s)
    if doing is Doing.CHARGE:
        return -tonight.charger.main_a
    if doing in (Doing.WAIT, Doing.SERVICE):
        return tonight.plate.currents.idle_a
    leg = int(np.searchsorted(shift.course.end_s, at_s, side="right"))
    kind = answer.route.routes[0].legs[leg].kind
    return tonight.plate.currents.idle_a if kind is LegKind.STOP else float(shift.course.current_a[leg])


def worked(
    answer: ShiftAnswer, pack: PackTonight, charge: Charge, from_s: float, until_s: float
) -> tuple[Charge, bool]:
    """The charge after a stretch of the night, and whether the lock-out acted or the first well ran dry."""
    shift = answer.machines[0]
    assert isinstance(pack.watch, Guard)
    low_s = 0.0
    at_s = from_s
    while at_s < until_s - 1e-6:
        step_s = min(STEP_S, until_s - at_s)
        amperes = drawn_a(answer, shift, at_s + step_s / 2)
        charge = stepped(pack.wells, charge, amperes, step_s / 3600)
        at_s += step_s
        cell = float(pack.under_load_v(charge, np.array(amperes))) / pack.cells
        low_s = low_s + step_s if cell < float(np.asarray(pack.watch.cell_v)) else 0.0
        if float(charge.available_ah) <= 0 or low_s > pack.watch.delay_s:
            return charge, True
    return charge, False


def lasts(answer: ShiftAnswer, check: Checkpoint, charge_fraction: float, until_s: float) -> bool:
    """Whether a pack so full, its wells as uneven as the plan has them there, does the work and keeps the reserve."""
    tonight: MachineTonight = answer.question.machines[0]
    pack = pack_tonight(tonight)
    full_ah, read_ah = (float(np.asarray(each)) for each in (pack.wells.most_ah, pack.wells.read_ah))
    planned, gave_out = worked(answer, pack, rested(pack.wells, tonight.charge_fraction), 0.0, check.at_s)
    assert not gave_out
    # People read none left while the wells still hold some.
    total_ah = full_ah - (1 - charge_fraction) * read_ah
    tired = float(planned.available_ah) / float(planned.total_ah)
    left, gave_out = worked(answer, pack, Charge(total_ah=total_ah, available_ah=total_ah * tired), check.at_s, until_s)
    left_fraction = 1 - (full_ah - float(left.total_ah)) / read_ah
    return not gave_out and left_fraction >= answer.question.settings.reserve_fraction


@settings(max_examples=5, deadline=None)
@given(reserve=st.floats(0.0, 0.6), health=st.floats(0.5, 1.1))
def test_the_least_charge_lasts_and_a_percent_less_does_not(reserve: float, health: float) -> None:
    answer = asked(reserve=reserve, health=health)
    shift = answer.machines[0]
    checks = checkpoints(answer, shift)
    arrivals = [check.at_s for check in checks[1:]]
    assert len(checks) == 5
    for check, next_s in zip(checks, [*arrivals, shift.finish_s], strict=True):
        for least, until_s in ((check.all_fraction, shift.finish_s), (check.next_fraction, next_s)):
            # Ten seconds of a step and the lock-out's delay are worth less than half a percent.
            assert lasts(answer, check, least + ONE_PERCENT / 2, until_s)
            # Below none left there is nothing to read.
            if least >= 1.5 * ONE_PERCENT:
                assert not lasts(answer, check, least - 1.5 * ONE_PERCENT, until_s)


@settings(max_examples=12, deadline=None)
@given(reserve=st.floats(0.0, 0.5), more=st.floats(0.0, 0.4), health=st.floats(0.4, 1.1))
def test_a_larger_reserve_never_asks_for_less(reserve: float, more: float, health: float) -> None:
    small, large = (asked(reserve=each, health=health) for each in (reserve, reserve + more))
    pairs = zip(checkpoints(small, small.machines[0]), checkpoints(large, large.machines[0]), strict=True)
    for less, greater in pairs:
        assert less.all_fraction <= greater.all_fraction
        assert less.next_fraction <= greater.next_fraction
        assert less.next_fraction <= less.all_fraction


def test_where_no_charge_is_enough_it_says_so() -> None:
    answer = asked(reserve=0.2, health=0.05)
    first = checkpoints(answer, answer.machines[0])[0]
    assert first.all_fraction > 1


def test_only_a_stop_with_a_socket_and_no_planned_charge_may_charge() -> None:
    answer = asked(reserve=0.2, health=1.0)
    can = {check.stop: check.can_charge for check in checkpoints(answer, answer.machines[0])}
    # The plan charges at stop 2 already; all four stops are at the drain that has a socket.
    assert can == {None: False, 1: True, 2: False, 3: True, 4: True}
    bare = replace(answer.question.machines[0], charger=None)
    without = replace(answer, question=replace(answer.question, machines=(bare,)))
    assert not any(check.can_charge for check in checkpoints(without, without.machines[0]))


@pytest.mark.parametrize("verdict", [ShiftVerdict.FITS, ShiftVerdict.TIGHT])
def test_a_shift_that_ends_above_its_reserve_starts_with_enough(verdict: ShiftVerdict) -> None:
    answer = asked(reserve=0.2, health=0.93, verdict=verdict)
    first = checkpoints(answer, answer.machines[0])[0]
    assert first.all_fraction <= answer.question.machines[0].charge_fraction
