"""What must hold for any pack, charger, depth and course of charge."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scrubwright.battery.ageing import life_cycles, life_used_fraction, swings
from scrubwright.battery.charge_curve import SEALED_FINISH_A_PER_AH, charge_curve, usual_taper
from scrubwright.battery.charge_log import ChargeLog, learned_taper
from scrubwright.battery.charging import charge_h, charge_run
from scrubwright.battery.equalising import HOTTEST_K
from scrubwright.battery.equalising_stop import EqualiseReading, equalise_stop
from scrubwright.battery.gassing import held_gassing_a_per_ah, split_water_kg
from scrubwright.battery.pack import SEALED, ChargeProfile, Charger, Chemistry, Pack
from scrubwright.battery.watering import charge_factor_by_water_ratio, water_per_charge, watering_interval_cycles
from tests.rooms.charging_pairs import charger_of, pack_of

capacities = st.floats(60, 900)
shares = st.floats(0.05, 0.5)
starts = st.floats(0.0, 0.95)


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Pack, Charger]:
    chemistry = draw(st.sampled_from(Chemistry))
    fitting = {Chemistry.FLOODED: list(ChargeProfile), Chemistry.LITHIUM: [ChargeProfile.IUOU]}
    profile = draw(st.sampled_from(fitting.get(chemistry, list(SEALED_FINISH_A_PER_AH))))
    capacity_ah = draw(capacities)
    main_a = capacity_ah * draw(shares)
    finish = draw(st.one_of(st.none(), st.floats(0.02, 1.0)))
    charger = charger_of(
        profile,
        main_a,
        finish_a=None if finish is None else main_a * finish,
        charge_factor_ratio=draw(st.one_of(st.none(), st.floats(1.0, 1.5))),
        mains_v=230.0,
        circulates=draw(st.booleans()) and chemistry not in SEALED,
    )
    return pack_of(chemistry, capacity_ah, draw(st.integers(1, 40))), charger


@given(pairs(), starts)
def test_a_charge_puts_in_what_is_missing_and_takes_energy_and_time(pair: tuple[Pack, Charger], start: float) -> None:
    pack, charger = pair
    run = charge_run(pack, charger, start)
    assert run.in_ah >= (1 - start) * pack.capacity_ah * (1 - 1e-12)
    assert min(run.main_h, run.taper_h, run.finish_h) >= 0
    assert run.total_h > 0
    assert run.energy_wh > 0
    assert 0 <= run.gassing_from_h <= run.total_h
    assert run.mains_a is not None
    assert run.mains_a > 0
    assert run.finish_a <= charger.main_a
    for figure in run.figures:
        assert figure.low is None or figure.low <= figure.value * (1 + 1e-12)
        assert figure.high is None or figure.high >= figure.value * (1 - 1e-12)


@given(pairs(), starts)
def test_the_time_is_the_charge_over_the_current_in_small_steps(pair: tuple[Pack, Charger], start: float) -> None:
    pack, charger = pair
    run = charge_run(pack, charger, start)
    curve = charge_curve(pack, charger, usual_taper(pack, charger))
    edges = np.linspace(start * pack.capacity_ah, start * pack.capacity_ah + run.in_ah, 20_001)
    middles = (edges[1:] + edges[:-1]) / 2
    # A straight line for the current in each stretch, and each stretch found by its charge.
    current = np.empty_like(middles)
    for piece in curve:
        inside = (middles >= piece.from_ah) & (middles <= piece.until_ah)
        width = piece.until_ah - piece.from_ah
        slope = 0.0 if np.isinf(width) or width == 0 else (piece.until_a - piece.from_a) / width
        current[inside] = piece.from_a + slope * (middles[inside] - piece.from_ah)
    assert run.total_h == pytest.approx(float(np.sum(np.diff(edges) / current)), rel=2e-3)


@given(pairs())
def test_the_current_never_rises_while_a_pack_fills(pair: tuple[Pack, Charger]) -> None:
    pack, charger = pair
    curve = charge_curve(pack, charger, usual_taper(pack, charger))
    ends = [end for piece in curve for end in (piece.from_a, piece.until_a)]
    assert ends == sorted(ends, reverse=True)
    assert ends[-1] > 0


@given(capacities, st.tuples(shares, shares), starts, st.sampled_from([ChargeProfile.IUIA, ChargeProfile.IUOU]))
def test_more_current_never_takes_longer(
    capacity_ah: float, two: tuple[float, float], start: float, profile: ChargeProfile
) -> None:
    # Not so for WoWa: it switches down at the gassing point, which more current reaches earlier.
    pack = pack_of(capacity_ah=capacity_ah)
    chargers = (charger_of(profile, capacity_ah * share) for share in sorted(two))
    less_h, more_h = (charge_run(pack, charger, start).total_h for charger in chargers)
    assert more_h <= less_h * (1 + 1e-9)


@given(pairs(), st.tuples(starts, starts))
def test_a_deeper_discharge_never_charges_faster(pair: tuple[Pack, Charger], two: tuple[float, float]) -> None:
    pack, charger = pair
    deep, shallow = (charge_run(pack, charger, start) for start in sorted(two))
    assert deep.total_h >= shallow.total_h * (1 - 1e-9)
    assert deep.in_ah >= shallow.in_ah


@given(pairs(), st.lists(st.tuples(st.floats(0.0, 0.7), st.floats(0.5, 30)), min_size=1, max_size=12))
def test_what_was_learned_stays_in_its_range_and_counts_its_logs(
    pair: tuple[Pack, Charger], given_logs: list[tuple[float, float]]
) -> None:
    pack, charger = pair
    usual = usual_taper(pack, charger)
    learned = learned_taper(pack, charger, [ChargeLog(start_fraction=a, total_h=b) for a, b in given_logs])
    assert 0 <= learned.logs <= len(given_logs)
    assert 0.4 <= learned.gassing_charge_fraction <= 0.98
    if learned.logs == 0:
        assert learned == usual


@given(pairs(), st.floats(0.55, 0.90), st.lists(st.floats(0.05, 0.5), min_size=30, max_size=40))
def test_many_logs_of_one_kind_give_their_hours_back(
    pair: tuple[Pack, Charger], true: float, log_starts: list[float]
) -> None:
    pack, charger = pair
    taper = usual_taper(pack, charger)
    truth = type(taper)(gassing_charge_fraction=true, share_fraction=taper.share_fraction, origin=taper.origin)
    logs = [ChargeLog(start_fraction=s, total_h=charge_h(pack, charger, s, truth)) for s in log_starts]
    learned = learned_taper(pack, charger, logs)
    assume(learned.logs > 20)
    before = abs(charge_h(pack, charger, 0.3, taper) - charge_h(pack, charger, 0.3, truth))
    after = abs(charge_h(pack, charger, 0.3, learned) - charge_h(pack, charger, 0.3, truth))
    assert after <= 0.25 * before + 1e-6


@given(st.floats(0, 500), st.tuples(st.floats(1, 1.5), st.floats(1, 1.5)), st.integers(1, 60))
def test_a_larger_charge_factor_costs_more_water(out_ah: float, two: tuple[float, float], cells: int) -> None:
    less, more = (water_per_charge(pack_of(cells=cells), out_ah, factor).pack_l for factor in sorted(two))
    assert 0 <= less <= more


@given(st.floats(1, 5000), st.floats(1.01, 1.5), st.integers(1, 60))
def test_the_charge_factor_comes_back_from_its_water(out_ah: float, factor: float, cells: int) -> None:
    use = water_per_charge(pack_of(cells=cells), out_ah, factor)
    assert charge_factor_by_water_ratio(use.pack_l, cells, out_ah) == pytest.approx(factor)


@given(st.floats(0.01, 1), st.floats(0.001, 0.1))
def test_the_reserve_lasts_the_charges_told_and_no_more(reserve_l: float, cell_l: float) -> None:
    charges = watering_interval_cycles(reserve_l, cell_l)
    assert charges * cell_l <= reserve_l * (1 + 1e-6)
    assert (charges + 1) * cell_l > reserve_l * (1 - 1e-6)


@given(st.floats(0, 1000), st.integers(1, 60))
def test_water_adds_up_over_cells_and_ampere_hours(overcharge_ah: float, cells: int) -> None:
    assert split_water_kg(overcharge_ah, cells) == pytest.approx(cells * split_water_kg(overcharge_ah / 2, 2))


@given(st.floats(2.0, 2.8), st.floats(2.0, 2.8), st.floats(275, 333), st.floats(275, 333))
def test_more_volts_or_warmth_make_more_gas(a_v: float, b_v: float, a_k: float, b_k: float) -> None:
    assert held_gassing_a_per_ah(min(a_v, b_v), min(a_k, b_k)) <= held_gassing_a_per_ah(max(a_v, b_v), max(a_k, b_k))


@given(st.floats(0.01, 1), st.floats(0.01, 1))
def test_deeper_discharges_last_fewer_times(a: float, b: float) -> None:
    assert life_cycles(max(a, b)) <= life_cycles(min(a, b)) * (1 + 1e-12)


@given(st.lists(st.floats(0.01, 1), max_size=30), st.lists(st.floats(0.01, 1), max_size=30))
def test_life_used_adds_up(first: list[float], then: list[float]) -> None:
    both = life_used_fraction(first + then)
    assert both == pytest.approx(life_used_fraction(first) + life_used_fraction(then), abs=1e-12)


@given(st.floats(0.05, 1.0), st.integers(1, 40))
def test_one_full_charge_a_shift_needs_no_counting_of_swings(depth: float, shifts: int) -> None:
    course = [1.0, 1.0 - depth] * shifts + [1.0]
    assert life_used_fraction(swings(course)) == pytest.approx(life_used_fraction([depth] * shifts))


@given(st.lists(st.integers(0, 20), min_size=2, max_size=40))
def test_swings_hold_the_whole_way_up_and_down(levels: list[int]) -> None:
    course = [level / 20 for level in levels]
    way = float(np.abs(np.diff(course)).sum())
    assert sum(2 * swing.depth_fraction * swing.count_cycles for swing in swings(course)) == pytest.approx(way)


gravities = st.lists(st.floats(1.1, 1.3), min_size=6, max_size=6)


@given(st.lists(gravities, min_size=1, max_size=6), st.floats(HOTTEST_K, HOTTEST_K + 30))
def test_a_hot_cell_always_stops_the_equalising(rows: list[list[float]], hot_k: float) -> None:
    readings = [
        EqualiseReading(at_h=float(hour), gravities_ratio=tuple(row), electrolyte_k=(298.0,))
        for hour, row in enumerate(rows)
    ]
    last = EqualiseReading(at_h=float(len(rows)), gravities_ratio=tuple(rows[-1]), electrolyte_k=(298.0, hot_k))
    assert equalise_stop([*readings, last]).stop


@given(st.lists(st.floats(0.01, 0.03), min_size=1, max_size=4), gravities)
def test_cells_that_rise_each_hour_go_on(rises: list[float], start: list[float]) -> None:
    levels = np.concatenate([[0.0], np.cumsum(rises)])
    readings = [
        EqualiseReading(
            at_h=float(hour), gravities_ratio=tuple(value + level for value in start), electrolyte_k=(300.0,)
        )
        for hour, level in enumerate(levels)
    ]
    assert not equalise_stop(readings).stop
