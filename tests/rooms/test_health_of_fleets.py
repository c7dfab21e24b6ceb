"""Simulated packs of known truth, 60 a fleet, one entry in twenty wrong: what is told lies where it says it does.

Definitions and setup stand at the top of benchmarks/quality/health.py and benchmarks/pack_fleet.py.
"""

import pytest

from benchmarks.pack_fleet import Reading
from benchmarks.quality.health import FleetResult, fleet_result

SEED = 2026
PACKS = 60
FLEETS = {
    "a display read in every other shift": Reading(every=2, run_down_every=None, is_display=True),
    "gravity read once a week, run down once a month": Reading(every=5, run_down_every=20),
}


@pytest.fixture(scope="module", params=FLEETS)
def fleet(request: pytest.FixtureRequest) -> FleetResult:
    return fleet_result(SEED, FLEETS[request.param], packs=PACKS, leads_shifts=(40,))


def test_the_told_hours_of_a_full_pack_are_right_on_average(fleet: FleetResult) -> None:
    assert abs(fleet.bias_fraction) <= 0.01
    # Also where it matters, in the last 60 shifts before replacement.
    assert abs(fleet.late_bias_fraction) <= 0.01


def test_the_band_of_80_percent_holds_80_percent_of_the_truth(fleet: FleetResult) -> None:
    assert 0.73 <= fleet.coverage_fraction <= 0.87


def test_four_packs_in_five_are_replaced_within_35_shifts_of_the_right_one(fleet: FleetResult) -> None:
    assert len(fleet.found_off_shifts) == PACKS
    assert fleet.found_fraction >= 0.80


def test_40_shifts_ahead_the_band_of_the_date_holds_the_date(fleet: FleetResult) -> None:
    # 60 packs make a share of 0.8 uncertain by 0.05; 35 shifts near, it is right for more than half of the packs.
    assert 0.65 <= float(fleet.is_date_inside[40].mean()) <= 0.95
    assert fleet.ahead_fraction(40) >= 0.55


def test_gravity_without_a_run_down_is_told_as_unsure_and_not_too_high() -> None:
    never = fleet_result(SEED, Reading(every=5, run_down_every=None), packs=20, leads_shifts=())
    assert never.coverage_fraction >= 0.80
    assert never.bias_fraction <= 0.01
    # A hydrometer taken for a capacity test sees no wear at all.
    blind = fleet_result(SEED, Reading(every=5, run_down_every=None), packs=20, leads_shifts=(), scale_follows=True)
    assert blind.late_bias_fraction > 0.15
