"""Rates learned on invented sites whose truth is known, and what one wrong entry does to them."""

from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cache
from statistics import median
from typing import Any

import numpy as np
import pytest

from scrubwright.jobs.shift_draws import USUAL_HINDRANCES
from scrubwright.jobs.shift_entries import HINDRANCE_S, HINDRANCES_PER_H, RATES
from scrubwright.jobs.shift_learning import HALF_LIFE_SHIFTS, finish_s, learned_rates, lesson, looked_back
from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, MeterRun, PlannedShift, Reset
from scrubwright.jobs.shift_question import Rates
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from tests.rooms.logged_sites import FIRST_DAY, MACHINE, SITE, TODAY, SimulatedSite, nights, plan, played, site
from tests.rooms.shift_slips import SLIPS

PLATE = Rates()
PLAN = PlannedShift(
    scrub_s=9000.0, drive_s=1800.0, stops=2, stop_s=1440.0, water_l=250.0, charge_used_fraction=0.5, area_m2=6000.0
)
SITES = 80
# How much is written down besides start and finish: everything, as people do, and nothing.
KEPT = (1.0, 0.6, 0.0)


def logged(number: int, *, reset: Reset | None = None, **done: Any) -> LoggedShift:
    """A shift on the day of that number with some entries."""
    return LoggedShift(
        day=FIRST_DAY + timedelta(days=number),
        machine=MACHINE,
        site=SITE,
        planned=PLAN,
        done=DoneShift(**done),
        reset=reset,
    )


def run_h(hours: float, before_h: float = 500.3) -> MeterRun:
    """A meter that ran so long."""
    return MeterRun(before_h=before_h, after_h=before_h + hours)


def at_factors(**given: float) -> Rates:
    """The plate's rates with some factors."""
    return replace(PLATE, **{name: replace(getattr(PLATE, name), factor_ratio=given[name]) for name in given})


def factors(rates: Rates) -> dict[str, float]:
    return {name: getattr(rates, name).factor_ratio for name in RATES}


def misses(shifts: int, kept_fraction: float, off_ratio: float, seed: int) -> tuple[float, float, float]:
    """Median miss of the next finish by the plate and by the log, and of the finish to be expected by the log."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(SITES):
        where = site(rng, off_ratio)
        rates = learned_rates(PLATE, nights(rng, where, shifts, kept_fraction=kept_fraction), TODAY)
        planned = plan(rng)
        total_s = played(rng, where, planned, TODAY).done.total_s or 0.0
        found.append(
            (
                abs(finish_s(planned, PLATE) / total_s - 1),
                abs(finish_s(planned, rates) / total_s - 1),
                abs(finish_s(planned, rates) / where.expected_s(planned) - 1),
            )
        )
    by_plate, by_log, of_expected = (median(column) for column in zip(*found, strict=True))
    return by_plate, by_log, of_expected


@pytest.mark.parametrize("kept_fraction", KEPT)
@pytest.mark.parametrize("off_ratio", [1.22, 0.8], ids=["slower", "quicker"])
def test_after_five_shifts_a_finish_that_was_20_percent_off_is_foretold_within_4(
    off_ratio: float, kept_fraction: float
) -> None:
    by_plate, by_log, of_expected = misses(5, kept_fraction, off_ratio, seed=41)
    assert by_plate > 0.17
    assert by_log < 0.04
    assert of_expected < 0.025


def test_more_shifts_teach_more() -> None:
    expected = [misses(shifts, 0.6, 1.2, seed=5)[2] for shifts in (1, 5, 20)]
    assert expected == sorted(expected, reverse=True)
    assert expected[-1] < 0.012


@dataclass(frozen=True)
class RightLog:
    """Five shifts without a slip, a plan, and its finish as they foretell it: all of them, and without one night."""

    log: tuple[LoggedShift, ...]
    planned: PlannedShift
    night: int
    finish_s: float
    without_s: float


@cache
def right_logs(kept_fraction: float) -> tuple[RightLog, ...]:
    """Twenty-four of them, at sites slower, quicker and as their plate."""
    rng = np.random.default_rng(17)
    found = []
    for number in range(24):
        log = tuple(nights(rng, site(rng, (1.2, 1 / 1.2, 1.0)[number % 3]), 5, kept_fraction=kept_fraction))
        planned, night = plan(rng), number % 5
        all_s, without_s = (
            finish_s(planned, learned_rates(PLATE, each, TODAY)) for each in (log, log[:night] + log[night + 1 :])
        )
        found.append(RightLog(log=log, planned=planned, night=night, finish_s=all_s, without_s=without_s))
    return tuple(found)


@pytest.mark.parametrize("kept_fraction", KEPT)
@pytest.mark.parametrize("slip", SLIPS)
def test_one_slip_of_the_pen_among_five_shifts_moves_the_finish_by_less_than_3_percent(
    slip: str, kept_fraction: float
) -> None:
    by_slip, by_night = [], []
    for right in right_logs(kept_fraction):
        log = list(right.log)
        log[right.night] = replace(log[right.night], done=SLIPS[slip](log[right.night].done))
        by_slip.append(abs(finish_s(right.planned, learned_rates(PLATE, log, TODAY)) / right.finish_s - 1))
        # Without the shift altogether: what its right entries would have taught is gone too.
        by_night.append(abs(right.without_s / right.finish_s - 1))
    assert np.quantile(by_slip, 0.95) < 0.03
    assert all(slipped < max(0.03, gone + 0.005) for slipped, gone in zip(by_slip, by_night, strict=True))


def test_a_slip_that_everybody_sees_is_named_with_its_day_and_what_it_is() -> None:
    rng = np.random.default_rng(3)
    log = nights(rng, site(rng, 1.1), 8, kept_fraction=1.0)
    for night, slip in ((2, "the brush meter without its point"), (4, "afternoon for night")):
        log[night] = replace(log[night], done=SLIPS[slip](log[night].done))
    found = lesson(PLATE, log, TODAY)
    (left_out,) = [str(each) for each in found.left_out]
    assert left_out.startswith(f"{log[2].day}, brush meter: ")
    assert "too far apart" in left_out
    (doubted,) = [str(each) for each in found.doubted]
    assert doubted.startswith(f"{log[4].day}, time in all: ")


def test_good_logs_are_seldom_doubted() -> None:
    rng = np.random.default_rng(9)
    entries = doubted = 0
    for _ in range(60):
        log = nights(rng, site(rng, 1.15), 8, kept_fraction=0.7)
        found = lesson(PLATE, log, TODAY)
        assert found.left_out == ()
        entries += 8 * 5
        doubted += len(found.doubted)
    assert doubted / entries < 0.01


def test_without_a_log_the_plate_is_all_that_is_known() -> None:
    assert learned_rates(PLATE, (), TODAY) == PLATE
    assert learned_rates(PLATE, [logged(1)], TODAY) == PLATE


def test_each_entry_teaches_its_own_rate() -> None:
    def taught(**done: Any) -> set[str]:
        rates = learned_rates(PLATE, [logged(number, **done) for number in range(4)], TODAY)
        assert all(
            (getattr(rates, name).origin is Origin.MEASURED) == bool(getattr(rates, name).shifts) for name in RATES
        )
        return {name for name in RATES if getattr(rates, name).shifts}

    assert taught(brush=run_h(2.8)) == {"scrubbing"}
    assert taught(stop_s=1800.0) == {"stops"}
    assert taught(filled_l=280.0) == {"water"}
    assert taught(dumped_l=255.0) == {"water"}
    assert taught(traction=run_h(3.4)) == {"scrubbing", "driving"}
    assert taught(total_s=14_000.0) == {"scrubbing", "driving", "stops"}
    assert "current" in taught(charge_before_fraction=1.0, charge_after_fraction=0.4)


def test_the_rates_that_many_clean_shifts_show_are_found() -> None:
    scrub_h, drive_h = 1.15 * 9000 / 3600, 1.3 * 1800 / 3600
    log = [
        logged(
            number,
            brush=run_h(scrub_h),
            traction=run_h(scrub_h + drive_h),
            stop_s=0.8 * 1440.0,
            filled_l=1.1 * 250,
            # Current of 0.9, over a time that is 1.15 and 1.3 of the plan, driving at a quarter of the current.
            charge_before_fraction=1.0,
            charge_after_fraction=1 - 0.5 * 0.9 * (1.15 * 9000 + 1.3 * 450) / 9450,
        )
        for number in range(60)
    ]
    found = factors(learned_rates(PLATE, log, TODAY))
    truth = {"scrubbing": 1.15, "driving": 1.3, "water": 1.1, "current": 0.9, "stops": 0.8}
    assert found == pytest.approx(truth, rel=0.02)


def test_shifts_that_scatter_more_are_known_to_scatter_more() -> None:
    def scatter(sd: float) -> float:
        """Middle of twenty logs."""
        found = []
        for seed in range(20):
            rng = np.random.default_rng(seed)
            log = [logged(number, brush=run_h(2.5 * float(np.exp(rng.normal(0, sd))))) for number in range(60)]
            found.append(learned_rates(PLATE, log, TODAY).scrubbing.shift_sd_ratio)
        return median(found)

    assert scatter(0.01) < 0.03
    # Sixty shifts, old ones weighing less, count as 43; the usual 0.04 counts as ten.
    for sd in (0.04, 0.06, 0.10):
        assert scatter(sd) == pytest.approx(((10 * 0.04**2 + 43 * sd**2) / 53) ** 0.5, rel=0.1)


def test_an_odd_night_among_few_is_laid_to_the_night_and_not_to_the_site() -> None:
    one = learned_rates(PLATE, [logged(1, brush=run_h(3.0))], TODAY).scrubbing
    assert 1.1 < one.factor_ratio < 1.2
    assert one.sd_ratio < PLATE.scrubbing.sd_ratio


def test_what_is_old_fades_by_half_in_sixty_shifts() -> None:
    slow = [logged(number, brush=run_h(3.0)) for number in range(200)]
    quick = [logged(200 + number, brush=run_h(2.5)) for number in range(60)]
    rates = learned_rates(PLATE, slow + quick, TODAY)
    assert HALF_LIFE_SHIFTS == 60
    # The last sixty shifts weigh as much as all before them together: halfway, in logarithms.
    assert rates.scrubbing.factor_ratio == pytest.approx((1.0 * 1.2) ** 0.5, abs=0.03)


def test_new_blades_begin_the_deck_and_the_current_again_and_nothing_else() -> None:
    before = [logged(number, brush=run_h(3.0), stop_s=2000.0, filled_l=300.0) for number in range(20)]
    after = [logged(20, reset=Reset.SQUEEGEE, brush=run_h(2.5), stop_s=2000.0, filled_l=300.0)]
    found = lesson(PLATE, before + after, TODAY)
    assert found.rates.scrubbing.factor_ratio == pytest.approx(1.0, abs=0.02)
    assert (found.rates.scrubbing.shifts, found.rates.stops.shifts, found.rates.water.shifts) == (1, 21, 21)
    assert found.rates.water.factor_ratio == pytest.approx(1.2, abs=0.02)
    (told,) = found.begun_again
    assert str(told) == (
        f"{FIRST_DAY + timedelta(days=20)}, new: squeegee. Begun again from the plate: time with the deck down, "
        "current drawn."
    )


def test_a_new_beginning_of_everything_forgets_all_before_it() -> None:
    rng = np.random.default_rng(2)
    before = nights(rng, site(rng, 1.25), 10, kept_fraction=1.0)
    after = [
        replace(shift, day=TODAY - timedelta(days=20 - number), reset=None if number else Reset.EVERYTHING)
        for number, shift in enumerate(nights(rng, site(rng, 0.95), 4, kept_fraction=1.0))
    ]
    alone = [replace(after[0], reset=None), *after[1:]]
    both, one = (factors(learned_rates(PLATE, log, TODAY)) for log in (before + after, alone))
    assert both == pytest.approx(one, rel=1e-4)


def test_shifts_of_two_machines_or_sites_are_not_mixed() -> None:
    other = replace(logged(2, total_s=13_000.0), site="Depot")
    with pytest.raises(BadInput, match="one machine at one site at a time"):
        learned_rates(PLATE, [logged(1, total_s=13_000.0), other], TODAY)


def test_a_shift_to_come_is_left_out_and_told() -> None:
    found = lesson(PLATE, [logged(5, total_s=14_000.0)], FIRST_DAY)
    assert found.rates == PLATE
    assert [str(each) for each in found.left_out] == [
        f"Shifts of days that have not come yet: 1, the first {FIRST_DAY + timedelta(days=5)}; today is {FIRST_DAY}."
    ]


def test_the_finish_is_the_sum_of_its_parts_at_their_rates_and_the_usual_hindrances() -> None:
    # (9000 x 1.2 + 1800 x 1.5) x 61/60 + 1440 x 0.5 = 13 500 x 61/60 + 720 = 14 445.
    assert finish_s(PLAN, at_factors(scrubbing=1.2, driving=1.5, stops=0.5, water=2.0)) == pytest.approx(14_445)


def test_the_usual_hindrances_are_those_of_the_chance() -> None:
    assert (HINDRANCES_PER_H, HINDRANCE_S) == (USUAL_HINDRANCES.usual_per_h, USUAL_HINDRANCES.mean_s)


def test_looking_back_says_how_much_better_the_log_foretold_than_the_plate() -> None:
    rng = np.random.default_rng(6)
    log = nights(rng, site(rng, 1.25), 20, kept_fraction=0.8)
    found = looked_back(PLATE, log, TODAY)
    assert found is not None
    assert found.shifts == 12
    assert found.plate_off_fraction > 0.15
    assert found.log_off_fraction < 0.05
    assert looked_back(PLATE, log[:3], TODAY) is None


def test_hindrances_that_were_counted_are_not_laid_to_the_driver() -> None:
    where = SimulatedSite(
        scrubbing_ratio=1.1,
        driving_ratio=1.1,
        water_ratio=1.0,
        current_ratio=1.0,
        stops_ratio=1.1,
        night_sd_ratio=0.02,
        hindrances_per_h=6.0,
    )
    log = nights(np.random.default_rng(8), where, 40, kept_fraction=1.0)
    counted = [
        replace(shift, done=DoneShift(total_s=shift.done.total_s, hindrances=shift.done.hindrances)) for shift in log
    ]
    not_counted = [replace(shift, done=DoneShift(total_s=shift.done.total_s)) for shift in log]
    truth_s, counted_s, not_counted_s = (
        finish_s(PLAN, rates)
        for rates in (
            at_factors(scrubbing=1.1, driving=1.1, stops=1.1),
            learned_rates(PLATE, counted, TODAY),
            learned_rates(PLATE, not_counted, TODAY),
        )
    )
    # Six of a minute in each hour are a tenth of the work; where nobody counts, one in an hour is taken.
    assert counted_s == pytest.approx(truth_s, rel=0.015)
    assert not_counted_s / truth_s > 1.05
