"""The legs of a route as loads: time, current, water, tankfuls, and the plate as measured."""

from dataclasses import fields, replace

import numpy as np
import pytest

from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_legs import KIND_OF, as_measured, leg_row, told_once
from scrubwright.jobs.shift_planned import Planned
from scrubwright.jobs.shift_question import MachineTonight, Rate, Rates
from scrubwright.measures.errors import BadInput
from tests.properties.test_shift_balance import PLATE
from tests.rooms.pack_year import PACK
from tests.rooms.test_shift_rest import planned, question

RATES = Rates(scrubbing=Rate(factor_ratio=1.25), driving=Rate(factor_ratio=2.0), water=Rate(factor_ratio=1.5),
              current=Rate(factor_ratio=1.1), stops=Rate(factor_ratio=3.0))  # fmt: skip


@pytest.fixture(scope="module")
def whole() -> Planned:
    return planned(question())


def test_the_plate_alone_is_left_as_it_is() -> None:
    assert as_measured(PLATE, Rates()) == PLATE


def test_the_plate_as_measured_is_slower_by_its_rates() -> None:
    slow = as_measured(PLATE, RATES)
    assert slow.speeds.working_m_per_s == pytest.approx(PLATE.speeds.working_m_per_s / 1.25)
    assert slow.speeds.transport_m_per_s == pytest.approx(PLATE.speeds.transport_m_per_s / 2)
    assert slow.service.empty_min == pytest.approx(3 * PLATE.service.empty_min)
    assert slow.service.fill_l_per_min == pytest.approx(PLATE.service.fill_l_per_min / 3)
    # A lane takes 1.25 times as long and uses 1.5 times the water.
    assert slow.flow.flow_l_per_min * 1.25 == pytest.approx(1.5 * PLATE.flow.flow_l_per_min)


def test_rates_that_are_in_the_plan_keep_their_scatter_and_lose_their_factor() -> None:
    left = told_once(replace(RATES, water=Rate(factor_ratio=1.5, sd_ratio=0.3, shift_sd_ratio=0.2, shifts=4)))
    assert {getattr(left, each.name).factor_ratio for each in fields(left)} == {1.0}
    assert (left.water.sd_ratio, left.water.shift_sd_ratio, left.water.shifts) == (0.3, 0.2, 4)


def test_each_leg_is_one_load_of_its_kind_and_time(whole: Planned) -> None:
    row = whole.timed[0].row
    assert [int(each) for each in row.loads.kind] == [KIND_OF[leg.kind] for leg in row.legs]
    assert row.loads.duration_s == pytest.approx([leg.duration_s for leg in row.legs])
    assert row.loads.last_wet_leg == max(at for at, leg in enumerate(row.legs) if leg.kind is LegKind.SCRUB)


def test_water_is_laid_by_scrubbing_alone_and_no_tankful_holds_more_than_a_tank(whole: Planned) -> None:
    loads = whole.timed[0].row.loads
    scrubs = np.array([leg.kind is LegKind.SCRUB for leg in whole.timed[0].row.legs])
    assert (loads.water_l[scrubs] > 0).all()
    assert loads.water_l[~scrubs] == pytest.approx(0)
    assert np.bincount(loads.trip, weights=loads.water_l).max() <= loads.trip_capacity_l + 1e-6


def test_scrubbing_draws_most_and_standing_least_and_the_current_rate_is_told_once(whole: Planned) -> None:
    answer, row = whole.answer, whole.timed[0].row
    kinds = {kind: row.loads.current_a[row.loads.kind == kind] for kind in set(row.loads.kind.tolist())}
    assert kinds[0].min() > kinds[1].max() > kinds[2].max()
    hungry = MachineTonight(plate=PLATE, pack=PACK, charge_fraction=0.9, rates=Rates(current=Rate(factor_ratio=1.1)))
    more = leg_row(answer.route.routes[0], answer.route, hungry, None, 36.0)
    plain = leg_row(answer.route.routes[0], answer.route, replace(hungry, rates=Rates()), None, 36.0)
    assert more.loads.current_a == pytest.approx(1.1 * plain.loads.current_a)
    assert more.loads.machine.rates.current.factor_ratio == 1


def test_a_pressure_step_that_the_plate_does_not_have_is_refused(whole: Planned) -> None:
    answer, machine = whole.answer, MachineTonight(plate=PLATE, pack=PACK, charge_fraction=0.9)
    with pytest.raises(BadInput, match="brutal"):
        leg_row(answer.route.routes[0], answer.route, machine, "brutal", 36.0)
