"""Hours of areas, contact times and drying sections in drawn shifts, against a plain loop over one shift at a time."""

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.shift_scenarios import lithium_pack, machine_tonight
from scrubwright.jobs.shift_answer import Limit
from scrubwright.jobs.shift_chance import LIMITS, outcomes
from scrubwright.jobs.shift_draws import MachineDraws, ShiftDraws, even_points_fraction, shift_draws
from scrubwright.jobs.shift_loads import Closing, Hold, LegLoads, LoadKind

SHIFTS = 64
KINDS = (LoadKind.SCRUB, LoadKind.DRIVE)


def night(seed: int) -> LegLoads:
    """Twenty lanes with a drive after each; some lanes wait for the clock, for solution, for dry floor."""
    rng = np.random.default_rng(seed)
    kind = np.tile(np.array(KINDS, dtype=np.int8), 20)
    duration_s = np.where(kind == LoadKind.SCRUB, rng.uniform(100, 200, 40), 20.0)
    lanes = np.sort(rng.choice(np.arange(2, 40, 2), 6, replace=False)).tolist()
    holds = (
        Hold(leg=lanes[0], not_before_s=float(rng.uniform(0, 2000))),
        Hold(leg=lanes[1], acts_from=lanes[1] - 2, contact_s=float(rng.uniform(100, 400))),
        Hold(leg=lanes[2], dries_from=int(rng.integers(0, lanes[2]))),
        Hold(leg=lanes[3], not_before_s=float(rng.uniform(1000, 4000))),
        Hold(leg=lanes[3], acts_from=lanes[0], contact_s=float(rng.uniform(500, 2500))),
        Hold(leg=lanes[4], dries_from=lanes[3]),
    )
    return LegLoads(
        machine=machine_tonight(pack=lithium_pack(), charge_fraction=0.9),
        kind=kind,
        duration_s=duration_s,
        current_a=np.where(kind == LoadKind.SCRUB, 40.0, 25.0),
        water_l=np.where(kind == LoadKind.SCRUB, 4.5, 0.0),
        trip=np.zeros(40, dtype=np.intp),
        on_ramp=np.zeros(40, dtype=bool),
        trip_capacity_l=95.0,
        extra_stop_s=600.0,
        last_wet_leg=38,
        holds=holds,
        closings=(Closing(leg=lanes[3], dry_by_s=float(rng.uniform(3500, 6000))),),
    )


def plain_shift(
    loads: LegLoads, draws: MachineDraws, at: int, drying_s: float, *, stops: bool
) -> tuple[list[float], float]:
    """The end of each leg, and the charge taken [Ah], of one shift; with unplanned stops or without."""
    idle_a = 1.5
    now_s, taken_as = 0.0, 0.0
    begins_s: list[float] = []
    ends_s: list[float] = []
    slower = 1 + float(draws.hindered_ratio[at])
    # One tankful: as often as its water fills a tank after the first, the machine goes to the drain before the last
    # wet leg, and drives and stops draw alike there.
    extra = int(np.ceil(90.0 * draws.water_ratio[at] / loads.trip_capacity_l - 1e-9)) - 1
    for leg, kind in enumerate(loads.kind.tolist()):
        if stops and leg == loads.last_wet_leg:
            stop_s = extra * loads.extra_stop_s * draws.stops_ratio[at]
            now_s, taken_as = now_s + stop_s, taken_as + stop_s * 25.0 * draws.current_ratio[at]
        for hold in loads.holds:
            if hold.leg != leg:
                continue
            free_s = hold.not_before_s
            if hold.acts_from is not None:
                free_s = begins_s[hold.acts_from] + hold.contact_s
            if hold.dries_from is not None:
                free_s = ends_s[hold.dries_from] + drying_s
            if free_s > now_s:
                taken_as += (free_s - now_s) * idle_a * draws.current_ratio[at]
                now_s = free_s
        begins_s.append(now_s)
        rate = draws.scrubbing_ratio[at] if kind == LoadKind.SCRUB else draws.driving_ratio[at]
        work_s = loads.duration_s[leg] * rate
        now_s += work_s * slower
        taken_as += (work_s * loads.current_a[leg] + work_s * (slower - 1) * idle_a) * draws.current_ratio[at]
        ends_s.append(now_s)
    return ends_s, taken_as / 3600


def drawn(loads: LegLoads, seed: int) -> ShiftDraws:
    points = even_points_fraction(1, SHIFTS, np.random.default_rng(seed))
    return shift_draws(points, [loads], dry_s=(300.0, 600.0, 1200.0))


@pytest.mark.parametrize("seed", range(8))
def test_each_drawn_shift_goes_as_a_plain_loop_says(seed: int) -> None:
    loads, window_s = night(seed), 6500.0
    draws = drawn(loads, seed)
    told = outcomes([loads], draws, window_s=window_s, reserve_fraction=0.1)
    closing = loads.closings[0]
    seen = set()
    for at, drying_s in enumerate(draws.drying_s.tolist()):
        ends_s, taken_ah = plain_shift(loads, draws.machines[0], at, drying_s, stops=True)
        as_planned_s, _ = plain_shift(loads, draws.machines[0], at, drying_s, stops=False)
        assert told.finish_s[at] == pytest.approx(ends_s[-1], abs=1e-6)
        assert told.dry_s[at] == pytest.approx(ends_s[38] + drying_s, abs=1e-6)
        most_ah = 210.0 * draws.machines[0].health_ratio[at]
        left = draws.machines[0].charge_fraction[at] - taken_ah / most_ah
        assert told.end_charge_fraction[at] == pytest.approx(max(left, 0.0), abs=1e-6)
        if left < 0.1:
            continue
        late = [hour_s for leg, hour_s in ((38, window_s), (closing.leg, closing.dry_by_s)) if
                as_planned_s[leg] + drying_s > hour_s]  # fmt: skip
        late_by_tank = ends_s[38] + drying_s > window_s and as_planned_s[38] + drying_s <= window_s
        wanted = Limit.NONE
        if late or late_by_tank:
            wanted = Limit.CLOCK if late else Limit.TANK
        assert LIMITS[told.first_limit[at]] is wanted
        seen.add(wanted)
    assert seen


def test_a_night_of_hours_shows_both_good_and_late_shifts() -> None:
    found = np.concatenate(
        [
            outcomes([night(seed)], drawn(night(seed), seed), window_s=6500.0, reserve_fraction=0.1).first_limit
            for seed in range(8)
        ]
    )
    assert {LIMITS[each] for each in found.tolist()} >= {Limit.NONE, Limit.CLOCK}


def test_whoever_comes_late_waits_less_and_whoever_comes_early_waits_longer() -> None:
    # One lane of 1,000 s, then one that may not begin before 1,500 s and is to be dry by 2,300 s; 600 s to dry.
    loads = replace(
        night(0),
        kind=np.array([LoadKind.SCRUB, LoadKind.WAIT, LoadKind.SCRUB], dtype=np.int8),
        duration_s=np.array([1000.0, 500.0, 150.0]),
        current_a=np.array([40.0, 1.5, 40.0]),
        water_l=np.array([1.0, 0.0, 1.0]),
        trip=np.zeros(3, dtype=np.intp),
        on_ramp=np.zeros(3, dtype=bool),
        last_wet_leg=2,
        holds=(Hold(leg=2, not_before_s=1500.0),),
        closings=(Closing(leg=2, dry_by_s=2300.0),),
    )
    pace = np.array([0.8, 1.0, 1.4, 1.6])
    same = np.ones(4)
    machine = MachineDraws(
        health_ratio=same,
        charge_fraction=0.9 * same,
        scrubbing_ratio=pace,
        driving_ratio=same,
        stops_ratio=same,
        current_ratio=same,
        water_ratio=same,
        hindered_ratio=0 * same,
    )
    told = outcomes([loads], ShiftDraws(machines=(machine,), drying_s=600.0 * same), window_s=1e5, reserve_fraction=0.0)
    # 800 s of work wait 700 s, 1,000 wait 500, 1,400 wait 100, 1,600 wait not at all.
    assert told.finish_s == pytest.approx([1500 + 120, 1500 + 150, 1500 + 210, 1600 + 240])
    assert [LIMITS[each] for each in told.first_limit] == [Limit.NONE, Limit.NONE, Limit.CLOCK, Limit.CLOCK]
