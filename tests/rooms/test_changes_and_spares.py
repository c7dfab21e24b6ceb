"""When to change a part, what to hold, what a tape says and which visits to make, and what is refused."""

import math

import numpy as np
import pytest

from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.wear.grouping import Urgency, VisitJob, VisitSite, visit_plan
from scrubwright.wear.life import WeibullLife
from scrubwright.wear.replacement import (
    ChangeCosts,
    ChangeRule,
    LastingCurve,
    best_age_h,
    curve_of_life,
    replacement_age,
)
from scrubwright.wear.spares import Demand, ageing_demand, jobs_demand, pieces_to_order, steady_demand
from scrubwright.wear.wear_line import Measured, told_left, wear_line

WEARS = WeibullLife(shape_ratio=2.5, scale_h=1000.0)


def measured(*points: tuple[float, float]) -> list[Measured]:
    """Hours and millimetres."""
    return [Measured(at_h=at_h, left_m=left_mm / 1000) for at_h, left_mm in points]


def test_a_change_is_told_as_a_stretch_of_ages() -> None:
    found = replacement_age(curve_of_life(WEARS), ChangeCosts(planned_money=100.0, failed_money=600.0))
    assert found.rule is ChangeRule.BY_AGE
    assert str(found.why).startswith("Any age from 38")
    assert "0.377 per hour, against 0.676 per hour when you wait" in str(found.why)


@pytest.mark.parametrize(
    ("shape", "failed_money", "said"), [(2.5, 90.0, "use the part to its end"), (1.0, 900.0, "change it when worn")]
)
def test_a_part_is_not_changed_by_age_where_nothing_is_gained(shape: float, failed_money: float, said: str) -> None:
    life = WeibullLife(shape_ratio=shape, scale_h=1000.0)
    costs = ChangeCosts(planned_money=100.0, failed_money=failed_money)
    found = replacement_age(curve_of_life(life), costs)
    assert found.rule is ChangeRule.WHEN_WORN
    assert said in str(found.why)
    with pytest.raises(NoAnswer, match="No age is better"):
        best_age_h(life, costs)


def test_costs_and_curves_that_are_none_are_refused() -> None:
    with pytest.raises(BadInput, match="planned_money is 0"):
        ChangeCosts(planned_money=0.0, failed_money=10.0)
    with pytest.raises(BadInput, match="only fall"):
        LastingCurve(ages_h=np.array([0.0, 1.0, 2.0]), lasting_fraction=np.array([1.0, 0.5, 0.6]), mean_h=1.0)


@pytest.mark.parametrize("share", [-0.1, 1.1, float("nan")])
def test_a_chance_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(BadInput, match="from 0 to 1"):
        ageing_demand([0.5, share])


def test_spares_that_make_no_sense_are_refused() -> None:
    with pytest.raises(BadInput, match="add up to one"):
        jobs_demand(0.01, 100.0, (0.5, 0.6))
    with pytest.raises(BadInput, match="do not add up to one"):
        Demand(chances_fraction=np.array([0.5, 0.4]))
    with pytest.raises(BadInput, match="pieces_per_h"):
        steady_demand(float("nan"), 100.0)
    with pytest.raises(OutOfRange, match="more than a shelf"):
        steady_demand(10.0, 1e6)
    with pytest.raises(BadInput, match="pack_pieces"):
        pieces_to_order(3, on_shelf=0, pack_pieces=0)


def test_many_jobs_are_counted_as_well_as_few() -> None:
    demand = jobs_demand(20.0, 100.0, (0.3, 0.7))
    assert demand.mean_ratio == pytest.approx(3400, rel=1e-9)
    assert demand.stock_for(0.95) == pytest.approx(3400 + 1.645 * math.sqrt(2000 * (0.3 + 4 * 0.7)), abs=2)


def test_a_part_that_is_no_longer_asked_for_needs_no_shelf() -> None:
    assert steady_demand(0.0, 100.0).stock_for(0.95) == 0
    assert ageing_demand([]).filled_fraction(0) == 1


def test_a_new_part_starts_a_new_line() -> None:
    old = measured((0, 60), (200, 40), (300, 30))
    fresh = [Measured(at_h=320.0, left_m=0.060, is_new_part=True), *measured((420, 50))]
    line = wear_line([*old, *fresh], limit_m=0.025)
    assert line.measurements == 2
    assert line.left_h == pytest.approx(250)
    assert line.questions == ()


def test_a_part_that_grows_is_asked_about_and_the_line_goes_by_what_came_before() -> None:
    line = wear_line(measured((0, 60), (200, 40), (300, 60)), limit_m=0.025)
    assert line.left_h == pytest.approx(150)
    assert line.last_h == 200
    (question,) = line.questions
    assert "Was a new part fitted" in str(question)


def test_a_rise_within_the_tape_is_no_question() -> None:
    line = wear_line(measured((0, 60), (200, 40), (210, 41), (400, 20)), limit_m=0.010)
    assert line.questions == ()


def test_hardly_any_wear_has_no_late_end() -> None:
    line = wear_line(measured((0, 60), (10, 59.5)), limit_m=0.025)
    assert line.band_h[1] == math.inf
    told = told_left(line)
    assert told.high is None
    assert told.low is not None
    assert told.low < told.value


def test_a_part_past_its_limit_has_no_hours_left() -> None:
    line = wear_line(measured((0, 60), (220, 20)), limit_m=0.025)
    assert (line.left_h, *line.band_h) == (0, 0, 0)


@pytest.mark.parametrize(
    ("points", "error", "said"),
    [
        ([], NoAnswer, "0 measurements"),
        ([(0.0, 60.0)], NoAnswer, "1 measurements"),
        ([(0.0, 60.0), (100.0, 60.0)], NoAnswer, "No wear can be seen"),
        ([(100.0, 60.0), (100.0, 50.0)], BadInput, "meter must rise"),
        ([(100.0, 60.0), (50.0, 50.0)], BadInput, "meter must rise"),
    ],
)
def test_measurements_that_make_no_line_are_told(
    points: list[tuple[float, float]], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        wear_line(measured(*points), limit_m=0.025)


def job(name: str, **fields: object) -> VisitJob:
    given = {"site": "hall", "work_h": 1.0, "penalty_money": np.arange(5.0), "earliest_day": 0, "latest_day": 4}
    return VisitJob(name=name, **{**given, **fields})  # type: ignore[arg-type]


HALL = VisitSite(name="hall", trip_money=10.0, travel_h=1.0)


def test_jobs_share_a_dear_trip() -> None:
    plan = visit_plan([job("blade"), job("brush")], [HALL], day_h=np.full(5, 8.0))
    (visit,) = plan.visits
    assert (visit.day, visit.jobs) == (0, ("blade", "brush"))
    assert plan.cost_money == pytest.approx(10)


def test_what_is_urgent_gets_the_hours() -> None:
    jobs = [job("filter"), job("brake", urgency=Urgency.STOPS_MACHINE)]
    plan = visit_plan(jobs, [HALL], day_h=np.array([2.0, 0.0, 0.0, 0.0, 0.0]))
    assert [visit.jobs for visit in plan.visits] == [("brake",)]
    assert plan.not_planned == ("filter",)
    assert plan.machine_must_stand == ()


def test_a_safety_job_goes_first_and_is_never_late() -> None:
    jobs = [job("brake", is_safety=True, latest_day=1, penalty_money=np.array([50.0, 50.0, 0.0, 0.0, 0.0]))]
    jobs += [job(f"filter {number}", urgency=Urgency.STOPS_MACHINE) for number in range(3)]
    plan = visit_plan(jobs, [HALL], day_h=np.array([0.0, 2.0, 0.0, 0.0, 0.0]))
    assert [(visit.day, visit.jobs) for visit in plan.visits] == [(1, ("brake",))]


def test_a_safety_job_without_hours_makes_its_machine_stand() -> None:
    jobs = [job("brake", is_safety=True, latest_day=1), job("filter")]
    plan = visit_plan(jobs, [HALL], day_h=np.array([0.0, 0.0, 8.0, 0.0, 0.0]))
    assert plan.machine_must_stand == ("brake",)
    assert [visit.jobs for visit in plan.visits] == [("filter",)]


def test_nothing_to_do_is_a_plan_too() -> None:
    assert visit_plan([], [HALL], day_h=np.full(5, 8.0)).visits == ()


def test_plans_that_do_not_fit_together_are_refused() -> None:
    day_h = np.full(5, 8.0)
    with pytest.raises(BadInput, match="no site of this plan"):
        visit_plan([job("blade", site="moon")], [HALL], day_h=day_h)
    with pytest.raises(BadInput, match="one name"):
        visit_plan([job("blade"), job("blade")], [HALL], day_h=day_h)
    with pytest.raises(BadInput, match="cost for every day"):
        visit_plan([job("blade")], [HALL], day_h=np.full(6, 8.0))
    with pytest.raises(BadInput, match="hours of the technicians"):
        visit_plan([job("blade")], [HALL], day_h=np.full(5, float("nan")))
    with pytest.raises(BadInput, match="days of the plan"):
        job("blade", latest_day=5)
    with pytest.raises(BadInput, match="cost for every day"):
        job("blade", penalty_money=np.full(5, float("inf")))
