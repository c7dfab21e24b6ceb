"""Lives of parts as a shop writes them down: few, mixed, and sometimes impossible."""

import numpy as np
import pytest

from benchmarks.quality.lives import PRIOR, tenths
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.provenance import Origin
from scrubwright.wear.life import Ending, PartLife, WeibullLife, gone_by_h
from scrubwright.wear.life_belief import LifePrior, belief, end_within_fraction, lasting_fraction, told_gone_by
from scrubwright.wear.life_pooling import PartGroup, pooled_prior
from scrubwright.wear.likelihood import gone_by_bounds_h, likeliest_life, shape_bounds_ratio

USUAL = LifePrior(life_h=400.0, origin=Origin.COMMON_PRACTICE)


def ended(*hours: float, ending: Ending = Ending.FAILED) -> list[PartLife]:
    return [PartLife(run_h=at, ending=ending) for at in hours]


def test_a_shop_without_a_record_is_told_the_usual_life_and_where_it_comes_from() -> None:
    told = told_gone_by(belief([], USUAL))
    assert told.origin is Origin.COMMON_PRACTICE
    assert "usual life alone" in str(told.detail)
    assert told.low is not None
    assert told.high is not None
    assert told.low < told.value < told.high


def test_three_blades_give_a_sane_estimate() -> None:
    told = told_gone_by(
        belief(ended(60.0, 75.0, 90.0, ending=Ending.WORN_OUT), LifePrior(life_h=80.0, origin=Origin.COMMON_PRACTICE))
    )
    assert told.origin is Origin.ESTIMATE
    assert "3 of your own parts" in str(told.detail)
    assert 15 < told.value < 70


def test_many_records_outvote_a_usual_life_five_times_too_long() -> None:
    truth = WeibullLife(shape_ratio=2.5, scale_h=80.0)
    lives = ended(*(80 * np.random.default_rng(1).weibull(2.5, 400)).tolist())
    known = belief(lives, USUAL)
    assert known.scale_at_h(0.5) == pytest.approx(80, rel=0.05)
    # A narrow belief is laid on a closer grid, so it is the likeliest curve with its own small band.
    assert known.scale_at_h(0.5) == pytest.approx(likeliest_life(lives).scale_h, rel=0.01)
    low, high = shape_bounds_ratio(lives)
    assert (known.shape_at_ratio(0.1), known.shape_at_ratio(0.9)) == pytest.approx((low, high), rel=0.02)
    low_h, high_h = gone_by_bounds_h(lives, 0.1)
    assert (known.gone_by_at_h(0.1, 0.1), known.gone_by_at_h(0.1, 0.9)) == pytest.approx((low_h, high_h), rel=0.03)
    assert gone_by_h(truth, 0.1) == pytest.approx(known.gone_by_at_h(0.1, 0.5), rel=0.1)


# The same parts with the one or the other reason: 300 h true scale, half of them taken off because they looked worn.
def test_the_reason_a_part_came_off_changes_its_life() -> None:
    hours = (180.0, 220.0, 250.0, 270.0, 300.0, 340.0)
    worn = belief(ended(*hours, ending=Ending.WORN_OUT), USUAL)
    good = belief(
        ended(*hours[:3], ending=Ending.CHANGED_WHILE_GOOD) + ended(*hours[3:], ending=Ending.WORN_OUT), USUAL
    )
    assert good.gone_by_at_h(0.5, 0.5) > 1.1 * worn.gone_by_at_h(0.5, 0.5)


def test_forgetting_that_a_record_began_late_makes_parts_look_better() -> None:
    rng = np.random.default_rng(3)
    ends_h, entered_h = 300 * rng.weibull(2.5, 400), rng.uniform(0, 250, 400)
    seen = ends_h > entered_h
    with_entry = [
        PartLife(run_h=float(end), ending=Ending.FAILED, entered_h=float(entered))
        for end, entered in zip(ends_h[seen], entered_h[seen], strict=True)
    ]
    without = ended(*ends_h[seen].tolist())
    assert likeliest_life(with_entry).scale_h == pytest.approx(300, rel=0.06)
    assert likeliest_life(without).scale_h > 1.04 * likeliest_life(with_entry).scale_h


def test_an_old_part_is_likelier_to_end_than_a_new_one() -> None:
    known = belief(ended(210.0, 260.0, 330.0), USUAL)
    assert end_within_fraction(known, 250.0, 50.0) > 3 * end_within_fraction(known, 0.0, 50.0)
    assert float(lasting_fraction(known, 0.0)) == pytest.approx(1)


def test_a_fleet_moves_the_usual_life_and_keeps_some_width() -> None:
    rng = np.random.default_rng(2)
    groups = [
        PartGroup(name=f"site {number}", lives=tuple(ended(*(150 * rng.weibull(2.5, 4)).tolist())))
        for number in range(10)
    ]
    common = pooled_prior(groups, USUAL)
    assert common.origin is Origin.ESTIMATE
    assert common.life_h == pytest.approx(150, rel=0.2)
    assert common.life_sd_ratio >= 0.7 * USUAL.life_sd_ratio
    assert pooled_prior(groups[:2], USUAL) == USUAL


def test_bands_of_simulated_fleets_hold_the_truth_about_as_often_as_they_say() -> None:
    told = tenths(5, lambda _: PRIOR, fleets=10)
    assert 0.75 < told.coverage_fraction < 0.95
    assert told.off_ratio < 0.55


def test_two_groups_of_one_name_are_refused() -> None:
    with pytest.raises(BadInput, match="one name"):
        pooled_prior([PartGroup(name="hall", lives=()), PartGroup(name="hall", lives=())], USUAL)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"run_h": 0.0}, "run_h is 0.0; enter a number above zero"),
        ({"run_h": float("nan")}, "above zero"),
        ({"run_h": 100.0, "entered_h": 100.0}, "beginning before the end"),
        ({"run_h": 100.0, "last_good_h": 100.0}, "last good look after its record began"),
        ({"run_h": 100.0, "entered_h": 50.0, "last_good_h": 20.0}, "last good look after its record began"),
        ({"run_h": 100.0, "last_good_h": 50.0, "ending": Ending.STILL_RUNNING}, "leave that empty"),
    ],
)
def test_impossible_records_are_refused(fields: dict[str, float | Ending], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        PartLife(**{"ending": Ending.FAILED, **fields})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("lives", "said"),
    [
        ([], "0 parts are known"),
        (ended(100.0), "1 parts are known"),
        (ended(100.0, 100.0, 100.0), "3 records leave the curve of lives open"),
    ],
)
def test_too_few_ends_leave_the_likeliest_curve_open_but_not_the_belief(lives: list[PartLife], said: str) -> None:
    with pytest.raises(NoAnswer, match=said):
        likeliest_life(lives)
    assert belief(lives, USUAL).gone_by_at_h(0.1, 0.5) > 0


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, float("nan")])
def test_a_share_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(BadInput, match="between 0 and 1"):
        gone_by_h(WeibullLife(shape_ratio=2.0, scale_h=100.0), share)
