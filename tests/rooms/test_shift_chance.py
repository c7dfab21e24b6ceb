"""The chance of finishing: what fails first, what it says of itself, and what it refuses."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.shift_scenarios import lithium_pack, machine_tonight, shift_loads
from scrubwright.battery.discharge import CAUSES, Load, StopCause, discharge
from scrubwright.battery.wells import charge_left_of_fraction, rested, stepped
from scrubwright.jobs.shift_answer import Chance, Limit
from scrubwright.jobs.shift_chance import chance_of
from scrubwright.jobs.shift_course import pack_tonight
from scrubwright.jobs.shift_draws import MachineDraws
from scrubwright.jobs.shift_loads import LegLoads, LoadKind
from scrubwright.jobs.shift_question import MachineTonight
from scrubwright.jobs.shift_run_many import machine_runs
from scrubwright.measures.errors import BadInput

DRY_S = (300.0, 600.0, 1200.0)
LONG_S = 50_000.0


def asked(
    *loads: LegLoads,
    window_s: float = LONG_S,
    reserve_fraction: float = 0.2,
    seed: int = 1,
    samples: int = 512,
    dry_s: tuple[float, float, float] = DRY_S,
) -> Chance:
    return chance_of(
        loads,
        window_s=window_s,
        dry_s=dry_s,
        reserve_fraction=reserve_fraction,
        rng=np.random.default_rng(seed),
        samples=samples,
    )


def by_plan(loads: LegLoads, **differs: float) -> MachineDraws:
    """One shift that goes just as planned but for what is named."""
    names = ("scrubbing", "driving", "stops", "current", "water", "health", "hindered")
    figures = {f"{name}_ratio": 1.0 if name != "hindered" else 0.0 for name in names}
    figures |= {"charge_fraction": loads.machine.charge_fraction, **differs}
    return MachineDraws(**{name: np.array([value]) for name, value in figures.items()})


def legs(machine: MachineTonight, rows: Sequence[tuple[LoadKind, float, float]]) -> LegLoads:
    """Loads from kind, seconds and amperes; each scrubbing leg lays down 40 L of a tank of 100 L."""
    kind = np.array([row[0] for row in rows], dtype=np.int8)
    return LegLoads(
        machine=machine,
        kind=kind,
        duration_s=np.array([row[1] for row in rows]),
        current_a=np.array([row[2] for row in rows]),
        water_l=np.where(kind == LoadKind.SCRUB, 40.0, 0.0),
        trip=np.zeros(len(rows), dtype=np.intp),
        on_ramp=np.zeros(len(rows), dtype=bool),
        trip_capacity_l=100.0,
        extra_stop_s=600.0,
        last_wet_leg=int(np.flatnonzero(kind == LoadKind.SCRUB)[-1]),
    )


def test_with_time_and_charge_to_spare_nothing_fails() -> None:
    found = asked(shift_loads(machine_tonight(charge_fraction=0.98), lanes=10, lane_s=60.0, tankfuls=1))
    assert found.chance_fraction == 1
    assert found.first_limit is Limit.NONE
    assert found.limits == ()


def test_certainty_carries_the_error_of_one_drawn_shift() -> None:
    found = asked(shift_loads(machine_tonight(charge_fraction=0.98), lanes=10, lane_s=60.0, tankfuls=1))
    assert found.samples == 512
    assert found.error_fraction == 1 / 512


def test_an_empty_pack_never_makes_it() -> None:
    found = asked(shift_loads(machine_tonight(charge_fraction=0.05), lanes=60, lane_s=85.0, tankfuls=3))
    assert found.chance_fraction == 0
    assert found.limits == ((Limit.CHARGE, 1.0),)


def test_no_time_is_never_enough() -> None:
    loads = shift_loads(machine_tonight(), lanes=30, lane_s=85.0, tankfuls=1)
    found = asked(loads, window_s=600.0)
    assert found.chance_fraction == 0
    assert found.first_limit is Limit.CLOCK


def test_a_reserve_that_cannot_be_kept_fails_by_charge_though_the_pack_lasts() -> None:
    loads = shift_loads(machine_tonight(pack=lithium_pack(), charge_fraction=0.9), lanes=60, lane_s=85.0, tankfuls=3)
    assert asked(loads, reserve_fraction=0.05).chance_fraction == 1
    assert asked(loads, reserve_fraction=0.85).limits == ((Limit.CHARGE, 1.0),)


def test_time_lost_only_by_unplanned_stops_is_laid_to_the_tank() -> None:
    loads = shift_loads(machine_tonight(charge_fraction=0.98), lanes=30, lane_s=60.0, tankfuls=1)
    window_s = 3 * float(loads.duration_s.sum())
    assert asked(replace(loads, trip_capacity_l=200.0), window_s=window_s).chance_fraction == 1
    found = asked(replace(loads, trip_capacity_l=10.0), window_s=window_s)
    assert found.chance_fraction < 0.5
    assert [limit for limit, _ in found.limits] == [Limit.TANK]


def test_a_pack_that_gives_out_on_a_climb_fails_by_the_ramp() -> None:
    tonight = machine_tonight(charge_fraction=0.2)
    loads = shift_loads(tonight, lanes=4, lane_s=60.0, tankfuls=2, ramp_s=120.0)
    steep = replace(loads, current_a=np.where(loads.on_ramp, 500.0, loads.current_a))
    assert asked(steep).limits == ((Limit.RAMP, 1.0),)
    level = replace(steep, on_ramp=np.zeros_like(steep.on_ramp))
    assert asked(level).limits == ((Limit.CHARGE, 1.0),)


def test_shares_of_the_limits_and_of_success_add_up_to_one_with_the_most_frequent_first() -> None:
    loads = shift_loads(machine_tonight(charge_fraction=0.6), lanes=60, lane_s=85.0, tankfuls=3, ramp_s=45.0)
    found = asked(loads, window_s=8000.0, samples=2048)
    shares = [share for _, share in found.limits]
    assert len(shares) > 2
    assert found.chance_fraction + sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)
    assert found.first_limit is found.limits[0][0]


def test_the_first_failure_in_time_counts() -> None:
    # Lithium of 210 Ah, 10 % full: 21 Ah last 1,260 s at 60 A. The hour to be dry comes before or after that.
    tonight = replace(
        machine_tonight(pack=lithium_pack(), charge_fraction=0.1), charge_sd_fraction=0.0, health_sd_ratio=1e-9
    )
    loads = legs(tonight, [(LoadKind.SCRUB, 7200.0, 60.0)])
    assert asked(loads, window_s=700.0).limits == ((Limit.CLOCK, 1.0),)
    assert asked(loads, window_s=3600.0).limits == ((Limit.CHARGE, 1.0),)


def test_lithium_is_counted_in_ampere_hours() -> None:
    # 210 Ah at 0.9 of health, 80 % full: 151.2 Ah. 2 h at 50 A and 1 h at 20 A leave 31.2 Ah of 189.
    tonight = machine_tonight(pack=lithium_pack(), charge_fraction=0.8)
    loads = legs(tonight, [(LoadKind.SCRUB, 7200.0, 50.0), (LoadKind.DRIVE, 3600.0, 20.0)])
    run = machine_runs(loads, by_plan(loads, health_ratio=0.9))
    assert run.end_charge_fraction == pytest.approx([31.2 / 189])
    # Half more current: 2 h at 75 A leave 1.2 Ah, which last 0.04 h at 30 A.
    heavy = machine_runs(loads, by_plan(loads, health_ratio=0.9, current_ratio=1.5))
    assert heavy.gives_out_s == pytest.approx([(2 + 1.2 / 30) * 3600])
    assert heavy.end_charge_fraction == pytest.approx([0])


def test_lead_is_run_through_the_wells_leg_by_leg() -> None:
    tonight = machine_tonight(charge_fraction=0.7)
    loads = shift_loads(tonight, lanes=30, lane_s=85.0, tankfuls=2)
    pack = pack_tonight(tonight)
    charge = rested(pack.wells, 0.7)
    for current_a, duration_s in zip(loads.current_a.tolist(), loads.duration_s.tolist(), strict=True):
        charge = stepped(pack.wells, charge, current_a * 1.1, duration_s / 3600)
    run = machine_runs(loads, by_plan(loads, current_ratio=1.1))
    assert run.end_charge_fraction == pytest.approx([float(charge_left_of_fraction(pack.wells, charge))])
    assert np.isinf(run.gives_out_s).all()


def test_lead_gives_out_when_the_lock_out_acts() -> None:
    tonight = machine_tonight(charge_fraction=0.5)
    loads = shift_loads(tonight, lanes=90, lane_s=85.0, tankfuls=4)
    pack = pack_tonight(tonight)
    load = Load(current_a=loads.current_a, duration_h=loads.duration_s / 3600)
    told = discharge(pack.wells, rested(pack.wells, 0.5), load, pack.watch)
    assert CAUSES[int(told.cause[0])] is StopCause.LOCK_OUT
    run = machine_runs(loads, by_plan(loads))
    assert run.gives_out_s == pytest.approx(told.stop_h * 3600)


def test_durations_follow_their_rates_and_hindrances_the_work() -> None:
    rows = [
        (LoadKind.SCRUB, 1000.0, 60.0),
        (LoadKind.DRIVE, 500.0, 25.0),
        (LoadKind.SERVICE, 600.0, 1.5),
        (LoadKind.WAIT, 300.0, 1.5),
        (LoadKind.SCRUB, 100.0, 60.0),
        (LoadKind.DRIVE, 50.0, 25.0),
    ]
    loads = legs(machine_tonight(), rows)
    draws = by_plan(loads, scrubbing_ratio=1.1, driving_ratio=1.2, stops_ratio=1.5, hindered_ratio=0.05)
    run = machine_runs(loads, draws)
    # (1000 + 100) 1.1 1.05 = 1270.5 and 500 1.2 1.05 = 630 and 600 1.5 and 300; then 50 1.2 1.05 = 63 on the way home.
    assert run.wet_s == pytest.approx([1270.5 + 630 + 900 + 300])
    assert run.finish_s == pytest.approx([1270.5 + 630 + 900 + 300 + 63])


def test_a_hindered_machine_draws_no_more_than_idling() -> None:
    tonight = machine_tonight(pack=lithium_pack(), charge_fraction=0.9)
    loads = legs(tonight, [(LoadKind.SCRUB, 3600.0, 60.0)])
    run = machine_runs(loads, by_plan(loads, hindered_ratio=0.5))
    # 60 Ah of work, and half an hour at 1.5 A.
    assert run.end_charge_fraction == pytest.approx([0.9 - 60.75 / 210])


@pytest.mark.parametrize(("water_ratio", "stops"), [(1.0, 0), (1.25, 0), (1.26, 1), (2.5, 1), (2.51, 2)])
def test_each_tankful_over_what_a_tank_gives_costs_one_stop_more(water_ratio: float, stops: int) -> None:
    # Two legs of 40 L each in one tankful of 100 L.
    rows = [(LoadKind.SCRUB, 600.0, 60.0), (LoadKind.SCRUB, 600.0, 60.0), (LoadKind.DRIVE, 60.0, 25.0)]
    loads = legs(machine_tonight(), rows)
    run = machine_runs(loads, by_plan(loads, water_ratio=water_ratio, stops_ratio=1.2))
    assert run.late_by_tank_s == pytest.approx([stops * 600.0 * 1.2])
    assert run.wet_s == pytest.approx([1200.0 + stops * 720.0])


def two_tankfuls(water_l: float) -> LegLoads:
    """Two tankfuls of so much each, with a planned stop of 500 s in two parts between them."""
    rows = [
        (LoadKind.SCRUB, 600.0, 60.0),
        (LoadKind.SERVICE, 200.0, 1.5),
        (LoadKind.DRIVE, 10.0, 25.0),
        (LoadKind.SERVICE, 300.0, 1.5),
        (LoadKind.SCRUB, 600.0, 60.0),
        (LoadKind.SERVICE, 200.0, 1.5),
    ]
    loads = legs(machine_tonight(), rows)
    return replace(loads, water_l=np.array([water_l, 0, 0, 0, water_l, 0]), trip=np.array([0, 0, 0, 1, 1, 1]))


@pytest.mark.parametrize(
    ("water_ratio", "early", "passed_by"),
    [
        (1.0, 0, 0),  # 90 L and 90 L of 100 L
        (1.1, 0, 0),  # 99 and 99
        (1.2, 2, 1),  # 108: full again 8 L before the planned stop, which is passed by; 8 + 108 asks for one more
        (2.0, 3, 1),  # 180: 80 L used since; 80 + 180 asks for two more
        (2.3, 4, 1),  # 207 asks for two; 7 + 207 for two more
    ],
)
def test_after_an_early_stop_the_planned_one_is_passed_by_and_its_time_saved(
    water_ratio: float, early: int, passed_by: int
) -> None:
    loads = two_tankfuls(90.0)
    run = machine_runs(loads, by_plan(loads, water_ratio=water_ratio))
    assert run.late_by_tank_s == pytest.approx([early * 600.0 - passed_by * 500.0])
    assert run.finish_s == pytest.approx([1910.0 + early * 600.0 - passed_by * 500.0])


def test_a_stop_after_the_last_floor_is_never_passed_by() -> None:
    loads = two_tankfuls(70.0)
    # 70 L, then 105 L: the second one ends early, and the tanks are still emptied at the end.
    loads = replace(loads, water_l=np.array([70.0, 0, 0, 0, 105.0, 0]))
    run = machine_runs(loads, by_plan(loads))
    assert run.finish_s == pytest.approx([1910.0 + 600.0])


def test_water_a_little_over_costs_one_stop_more_in_a_night_and_not_one_in_every_tankful() -> None:
    loads = shift_loads(machine_tonight(charge_fraction=1.0), lanes=160, lane_s=60.0, tankfuls=4)
    loads = replace(loads, trip_capacity_l=float(np.bincount(loads.trip, weights=loads.water_l).max()))
    needs = float(loads.water_l.sum()) / loads.trip_capacity_l * 1.1
    assert 4 < needs < 5
    run = machine_runs(loads, by_plan(loads, water_ratio=1.1))
    planned_s = float(loads.duration_s[loads.kind == LoadKind.SERVICE][0])
    # Each of the four runs dry a little early; for three of them the stop on the sheet is saved.
    assert run.late_by_tank_s == pytest.approx([4 * loads.extra_stop_s - 3 * planned_s])


def test_a_machine_without_legs_or_without_water_has_nothing_to_be_late_with() -> None:
    loads = two_tankfuls(0.0)
    dry = replace(loads, last_wet_leg=-1)
    assert machine_runs(dry, by_plan(dry)).wet_s == pytest.approx([0.0])
    names = ("kind", "duration_s", "current_a", "water_l", "trip", "on_ramp")
    idle = replace(dry, **{name: getattr(dry, name)[:0] for name in names})
    run = machine_runs(idle, by_plan(idle))
    assert run.finish_s == pytest.approx([0.0])
    assert run.end_charge_fraction == pytest.approx([0.95])


def test_an_unplanned_stop_draws_as_planned_drives_and_stops_do() -> None:
    rows = [(LoadKind.SCRUB, 600.0, 60.0), (LoadKind.DRIVE, 300.0, 30.0), (LoadKind.SERVICE, 600.0, 0.0)]
    loads = legs(machine_tonight(pack=lithium_pack(), charge_fraction=0.9), rows)
    dry, wet = (machine_runs(loads, by_plan(loads, water_ratio=ratio)) for ratio in (1.0, 3.0))
    # 300 s of 900 s at 30 A: 10 A over the 600 s of one more stop.
    taken = dry.end_charge_fraction - wet.end_charge_fraction
    assert taken * 210 == pytest.approx([10.0 * 600 / 3600])


@pytest.mark.parametrize("pack", [None, lithium_pack()])
def test_a_charger_on_the_way_brings_charge_and_never_more_than_full(pack: object) -> None:
    tonight = machine_tonight(charge_fraction=0.9)
    if pack is not None:
        tonight = replace(tonight, pack=lithium_pack())
    rows = [(LoadKind.SCRUB, 600.0, 60.0), (LoadKind.CHARGE, 1800.0, -30.0), (LoadKind.SCRUB, 1.0, 0.0)]
    loads = legs(tonight, rows)
    read_ah = float(np.asarray(pack_tonight(tonight).wells.read_ah))
    run = machine_runs(loads, by_plan(loads, current_ratio=1.3))
    # The charger's 15 Ah do not scale with what the machine draws.
    assert run.end_charge_fraction == pytest.approx([0.9 - (13.0 - 15.0) / read_ah])
    long = replace(loads, duration_s=np.array([600.0, 20 * 3600.0, 1.0]))
    assert machine_runs(long, by_plan(long)).end_charge_fraction <= 1 + 1e-12


def test_a_pack_that_gave_out_is_not_charged_afterwards() -> None:
    tonight = machine_tonight(pack=lithium_pack(), charge_fraction=0.1)
    rows = [(LoadKind.SCRUB, 3600.0, 60.0), (LoadKind.CHARGE, 3600.0, -30.0), (LoadKind.SCRUB, 600.0, 10.0)]
    loads = legs(tonight, rows)
    run = machine_runs(loads, by_plan(loads))
    assert run.gives_out_s == pytest.approx([21.0 / 60 * 3600])
    assert run.end_charge_fraction == pytest.approx([0])
    assert run.finish_s == pytest.approx([7800.0])


def test_the_same_generator_gives_the_same_answer_and_another_one_nearly() -> None:
    loads = shift_loads(machine_tonight(charge_fraction=0.6), lanes=60, lane_s=85.0, tankfuls=3)
    one, same, other = (asked(loads, seed=seed, samples=2048) for seed in (5, 5, 6))
    assert one == same
    assert one != other
    assert one.chance_fraction == pytest.approx(other.chance_fraction, abs=4 * np.hypot(one.error_fraction, 0.005))


def test_more_draws_than_are_run_at_once_give_the_same_within_the_error() -> None:
    loads = shift_loads(machine_tonight(charge_fraction=0.6), lanes=12, lane_s=425.0, tankfuls=3)
    few, many = asked(loads, samples=4096), asked(loads, samples=2**15)
    assert many.samples == 2**15
    assert many.error_fraction < few.error_fraction
    assert abs(few.chance_fraction - many.chance_fraction) < 4 * few.error_fraction


def test_bands_are_in_order_and_the_floor_dries_after_it_was_wetted() -> None:
    loads = shift_loads(machine_tonight(), lanes=30, lane_s=85.0, tankfuls=2)
    found = asked(loads)
    for band in (found.finish_s, found.dry_s, found.end_charge_fraction):
        assert list(band) == sorted(band)
    assert found.dry_s[1] > found.finish_s[1]
    assert found.finish_s[0] < loads.duration_s.sum() < found.finish_s[2]


def test_the_last_of_two_machines_and_the_emptier_one_are_told() -> None:
    short = shift_loads(machine_tonight(charge_fraction=0.5), lanes=10, lane_s=60.0, tankfuls=1)
    long = shift_loads(machine_tonight(charge_fraction=0.95), lanes=40, lane_s=60.0, tankfuls=2)
    both = asked(short, long)
    assert both.finish_s == pytest.approx(asked(long).finish_s, rel=0.02)
    assert both.end_charge_fraction == pytest.approx(asked(short).end_charge_fraction, rel=0.02)


def test_without_any_machine_there_is_no_chance_to_tell() -> None:
    with pytest.raises(BadInput, match="name at least one"):
        asked()


@pytest.mark.parametrize("window_s", [0.0, -1.0, float("nan")])
def test_no_time_at_all_is_refused(window_s: float) -> None:
    with pytest.raises(BadInput, match="above zero"):
        asked(shift_loads(machine_tonight(), lanes=3, lane_s=60.0, tankfuls=1), window_s=window_s)


@pytest.mark.parametrize("reserve_fraction", [-0.1, 1.0, float("nan")])
def test_a_reserve_outside_a_share_is_refused(reserve_fraction: float) -> None:
    with pytest.raises(BadInput, match=r"such as 0\.2"):
        asked(shift_loads(machine_tonight(), lanes=3, lane_s=60.0, tankfuls=1), reserve_fraction=reserve_fraction)
