"""Drawn shifts spread as the rates, the pack and the floor say, and share what machines of one site share."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from benchmarks.shift_scenarios import machine_tonight, shift_loads
from scrubwright.jobs.shift_draws import (
    SCRAMBLES,
    USUAL_HINDRANCES,
    Hindrances,
    MachineDraws,
    ShiftDraws,
    even_points_fraction,
    shift_draws,
)
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import Rate, Rates
from scrubwright.measures.errors import BadInput

DRY_S = (300.0, 700.0, 1100.0)
SAMPLES = 2**14


def loads_of(rates: Rates | None = None) -> LegLoads:
    machine = machine_tonight(charge_fraction=0.8)
    return shift_loads(replace(machine, rates=rates or Rates()), lanes=40, lane_s=80.0, tankfuls=2)


def drawn(loads: LegLoads, machines: int = 1, hindrances: Hindrances = USUAL_HINDRANCES) -> ShiftDraws:
    points = even_points_fraction(machines, SAMPLES, np.random.default_rng(3))
    return shift_draws(points, [loads] * machines, dry_s=DRY_S, hindrances=hindrances)


def together(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    return float(np.corrcoef(one, other)[0, 1])


def test_the_floor_dries_in_the_band_that_was_given() -> None:
    assert np.quantile(drawn(loads_of()).drying_s, (0.1, 0.5, 0.9)) == pytest.approx(DRY_S, rel=2e-3)


def test_a_band_of_no_width_always_dries_in_that_time() -> None:
    points = even_points_fraction(1, 64, np.random.default_rng(1))
    found = shift_draws(points, [loads_of()], dry_s=(500.0, 500.0, 500.0))
    assert found.drying_s == pytest.approx(np.full(64, 500.0))


@pytest.mark.parametrize(
    ("rate", "draws"),
    [
        ("scrubbing", "scrubbing_ratio"),
        ("driving", "driving_ratio"),
        ("stops", "stops_ratio"),
        ("current", "current_ratio"),
        ("water", "water_ratio"),
    ],
)
def test_a_rate_is_its_middle_with_both_scatters_added_in_squares(rate: str, draws: str) -> None:
    rates = replace(Rates(), **{rate: Rate(factor_ratio=1.3, sd_ratio=0.06, shift_sd_ratio=0.08)})
    found = np.log(getattr(drawn(loads_of(rates)).machines[0], draws))
    assert np.exp(np.median(found)) == pytest.approx(1.3, rel=1e-3)
    assert found.std() == pytest.approx(0.10, rel=5e-3)


def test_health_and_charge_scatter_as_the_machine_says_and_charge_stays_between_empty_and_full() -> None:
    loads = loads_of()
    found = drawn(loads).machines[0]
    assert np.log(found.health_ratio).std() == pytest.approx(loads.machine.health_sd_ratio, rel=5e-3)
    assert found.charge_fraction.mean() == pytest.approx(0.8, abs=1e-3)
    assert found.charge_fraction.std() == pytest.approx(loads.machine.charge_sd_fraction, rel=5e-3)
    full = replace(loads, machine=replace(loads.machine, charge_fraction=1.0))
    assert drawn(full).machines[0].charge_fraction.max() == 1.0


def hindered_s(loads: LegLoads, found: MachineDraws) -> NDArray[np.float64]:
    scrub_s = loads.duration_s[loads.kind == LoadKind.SCRUB].sum() * found.scrubbing_ratio
    drive_s = loads.duration_s[loads.kind == LoadKind.DRIVE].sum() * found.driving_ratio
    return np.asarray(found.hindered_ratio * (scrub_s + drive_s))


def test_hindrances_take_as_long_and_scatter_as_far_as_a_compound_of_counts_and_lengths() -> None:
    # With m hindrances expected, exponential lengths of mean s: mean m s, variance m times the mean square 2 s^2.
    still = Rate(sd_ratio=1e-9, shift_sd_ratio=0.0)
    loads = loads_of(Rates(scrubbing=still, driving=still))
    work_s = loads.duration_s[loads.kind != LoadKind.SERVICE].sum()
    found = hindered_s(loads, drawn(loads, hindrances=Hindrances(usual_per_h=4.0, night_sd_ratio=0.0)).machines[0])
    count = 4.0 * work_s / 3600
    assert found.mean() == pytest.approx(count * 60.0, rel=5e-3)
    assert found.var() == pytest.approx(count * 2 * 60.0**2, rel=2e-2)
    assert np.mean(found == 0) == pytest.approx(np.exp(-count), abs=5e-3)


def test_nights_that_differ_more_scatter_more_and_share_it_between_machines() -> None:
    busy = Hindrances(usual_per_h=20.0, night_sd_ratio=0.8)
    one, other = (hindered_s(loads_of(), each) for each in drawn(loads_of(), 2, busy).machines)
    alike, apart = (
        hindered_s(loads_of(), each) for each in drawn(loads_of(), 2, replace(busy, night_sd_ratio=0.0)).machines
    )
    assert one.std() > 2 * alike.std()
    assert together(one, other) > 0.7
    assert abs(together(alike, apart)) < 0.05


def test_no_hindrances_take_no_time() -> None:
    assert drawn(loads_of(), hindrances=Hindrances(usual_per_h=0.0)).machines[0].hindered_ratio.max() == 0


def test_machines_share_water_and_nothing_that_the_driver_or_the_pack_decides() -> None:
    one, other = drawn(loads_of(), 2).machines
    assert one.water_ratio == pytest.approx(other.water_ratio)
    for name in ("scrubbing_ratio", "driving_ratio", "stops_ratio", "current_ratio", "health_ratio", "charge_fraction"):
        assert abs(together(getattr(one, name), getattr(other, name))) < 0.05, name


def test_the_scramblings_are_independent_and_each_fills_the_cube_evenly() -> None:
    points = even_points_fraction(1, 512 * SCRAMBLES, np.random.default_rng(1))
    parts = points.reshape(SCRAMBLES, 512, -1)
    assert len({part.tobytes() for part in parts}) == SCRAMBLES
    for part in parts:
        counts = np.histogram(part[:, 0], bins=512, range=(0, 1))[0]
        assert counts.tolist() == [1] * 512


@pytest.mark.parametrize("samples", [0, 32, 1000, 4095, 2**21])
def test_a_number_of_draws_that_is_no_power_of_two_is_refused(samples: int) -> None:
    with pytest.raises(BadInput, match="enter a power of two from 64 to 1048576"):
        even_points_fraction(1, samples, np.random.default_rng(1))


@pytest.mark.parametrize(
    "dry_s", [(0.0, 500.0, 900.0), (600.0, 500.0, 900.0), (300.0, 900.0, 500.0), (300.0, float("nan"), 900.0)]
)
def test_drying_times_out_of_order_are_refused(dry_s: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput, match="enter three times above zero, the shortest first"):
        shift_draws(even_points_fraction(1, 64, np.random.default_rng(1)), [loads_of()], dry_s=dry_s)


@pytest.mark.parametrize("figure", [{"usual_per_h": -1.0}, {"mean_s": 0.0}, {"night_sd_ratio": float("nan")}])
def test_hindrances_that_cannot_be_are_refused(figure: dict[str, float]) -> None:
    with pytest.raises(BadInput, match="enter"):
        replace(USUAL_HINDRANCES, **figure)
