"""The lines of the shift page: night line, axis, charge and tanks, and the legs in the time of the shift."""

import re
from dataclasses import replace
from datetime import datetime, timedelta
from html import unescape

import numpy as np
import pytest

from scrubwright.jobs.route_answer import LegKind
from scrubwright.jobs.shift_answer import Doing, ShiftAnswer, ShiftVerdict, Stretch
from scrubwright.paperwork.shift_axis import Axis, apart_px, axis_of
from scrubwright.paperwork.shift_curves import charge_levels
from scrubwright.paperwork.shift_line import night_line, runs_of
from scrubwright.paperwork.shift_page import shift_page
from scrubwright.paperwork.shift_route import route_in_time, timed_legs
from scrubwright.paperwork.wording import Teller
from tests.rooms.closed_pages import night_of
from tests.rooms.shift_answer_example import CHARGE_S, CHARGE_STOP, DRY_BY, START_AT, WAIT_S, shift_answer

BOX = re.compile(r'<svg class="part (\w+)" x="([\d.]+)%" width="([\d.]+)%"')
# 04:00 to 05:45.
WINDOW_S = 6300.0


@pytest.fixture(scope="module")
def page() -> str:
    return shift_page(shift_answer(), Teller())


def boxes(answer: ShiftAnswer) -> list[tuple[str, float, float]]:
    """Kind, beginning and end of each box of the line, in seconds."""
    axis = axis_of(answer)
    drawn = night_line(answer, Teller(), axis)
    scale = axis.span_s / 100
    return [(kind, float(x) * scale, (float(x) + float(wide)) * scale) for kind, x, wide in BOX.findall(drawn)]


def test_every_stop_charge_wait_and_drying_is_a_box_at_its_time() -> None:
    answer = shift_answer()
    found = boxes(answer)
    kinds = {
        Doing.SERVICE: "service",
        Doing.CHARGE: "charge",
        Doing.WAIT: "wait",
        Doing.DRYING: "drying",
    }
    for doing, kind in kinds.items():
        wanted = [(each.start_s, each.end_s) for each in answer.machines[0].line if each.doing is doing]
        drawn = [(start_s, end_s) for each, start_s, end_s in found if each == kind]
        assert len(drawn) == len(wanted) > 0, kind
        # Percent are told to two decimals: 0.63 s of 6,300.
        assert np.array(drawn) == pytest.approx(np.array(wanted), abs=1.3), kind


def test_boxes_of_scrubbing_cover_the_time_of_all_blocks() -> None:
    answer = shift_answer()
    scrubbed = [each for each in answer.machines[0].line if each.doing is Doing.SCRUB]
    for stretch in scrubbed:
        assert any(
            kind == "scrub" and start_s <= stretch.start_s + 1.3 and end_s >= stretch.end_s - 1.3
            for kind, start_s, end_s in boxes(answer)
        )


def test_the_axis_ends_at_the_hour_it_must_be_dry() -> None:
    axis = axis_of(shift_answer())
    assert axis.span_s == axis.dry_by_s == WINDOW_S
    assert axis.x(WINDOW_S) == "100.00%"
    assert axis.ticks()[0] == (0.0, "04:00")


def test_a_shift_that_is_late_shows_what_comes_too_late() -> None:
    answer = shift_answer(ShiftVerdict.DOES_NOT_FIT)
    late = replace(answer, question=replace(answer.question, dry_by=DRY_BY - timedelta(minutes=40)))
    axis = axis_of(late)
    assert axis.dry_by_s == 3900.0
    # The last shift of ten is dry 900 s after the machine is back.
    assert axis.span_s == pytest.approx(1.02 * (answer.machines[0].finish_s + 900))
    assert "too late" in night_line(late, Teller(), axis)
    assert "too late" not in night_line(answer, Teller(), axis_of(answer))


def test_clock_times_on_the_axis_are_round_and_at_their_place() -> None:
    axis = Axis(start_at=datetime(2026, 3, 9, 21, 40), span_s=28_200.0, dry_by_s=28_200.0)
    assert axis.ticks() == (
        (1200.0, "22:00"),
        (8400.0, "00:00"),
        (15_600.0, "02:00"),
        (22_800.0, "04:00"),
    )


def test_short_blocks_are_drawn_as_one_run_but_never_over_a_stop() -> None:
    axis = Axis(start_at=START_AT, span_s=10_000.0, dry_by_s=10_000.0)

    def scrub(block: int, start_s: float, end_s: float) -> Stretch:
        return Stretch(doing=Doing.SCRUB, start_s=start_s, end_s=end_s, block=block)

    line = (
        scrub(1, 0, 1000),
        scrub(2, 1000, 1100),
        Stretch(doing=Doing.MOVE, start_s=1100, end_s=1150),
        scrub(3, 1150, 1200),
        Stretch(doing=Doing.SERVICE, start_s=1200, end_s=1800, stop=1),
        scrub(4, 1800, 1900),
        scrub(6, 1900, 1950),
        scrub(7, 1950, 4000),
        scrub(8, 4000, 6000),
    )
    assert [(run.first, run.last, run.start_s, run.end_s) for run in runs_of(line, axis)] == [
        (1, 3, 0, 1200),
        (4, 4, 1800, 1900),
        (6, 7, 1900, 4000),
        (8, 8, 4000, 6000),
    ]


def test_a_stop_at_two_places_has_its_number_once() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    at = next(index for index, each in enumerate(shift.line) if each.stop == 1)
    whole = shift.line[at]
    middle_s = (whole.start_s + whole.end_s) / 2
    halves = (replace(whole, end_s=middle_s), replace(whole, start_s=middle_s))
    split = replace(shift, line=(*shift.line[:at], *halves, *shift.line[at + 1 :]))
    drawn = night_line(replace(answer, machines=(split,)), Teller(), axis_of(answer))
    assert drawn.count('y="5">1</text>') == 1


def test_the_chance_and_the_hour_stand_at_the_lines_end(page: str) -> None:
    line = page[page.index('<svg class="row line"') :]
    line = line[: line.index('<svg class="row hours"')]
    assert re.search(r'class="chance" x="100%" dx="12" y="[\d.]+">78 %</text>', line)
    assert re.search(r'class="give" x="100%" dx="12" y="[\d.]+">± 2</text>', line)
    assert re.search(r'class="must" x="100.00%" dx="-6" y="13">must be dry 05:45</text>', line)


def test_who_does_not_see_the_drawings_hears_what_they_say(page: str) -> None:
    labels = [unescape(each) for each in re.findall(r'class="row[^>]*aria-label="(.*?)"', page)]
    assert labels == [
        "The night line. From 04:00 until it must be dry at 05:45; back at 05:20, dry at 05:28; chance 78 % ± 2.",
        "Charge through the shift: 35 % at the start, 24 % at the end, 8 times in 10 between 18 % and 29 %.",
        "Tanks of machine 1: emptied and filled 4 times.",
    ]


def test_two_machines_have_a_strip_each_under_their_names_and_one_chance() -> None:
    answer = shift_answer(machines=2)
    drawn = night_line(answer, Teller(), axis_of(answer))
    assert re.findall(r'class="machine"[^>]*>(M\d)<', drawn) == ["M1", "M2"]
    assert drawn.count('class="chance"') == 1


# --- charge, tanks and pauses ---


def test_legs_follow_each_other_without_a_gap_and_end_with_the_shift() -> None:
    for machines in (1, 2):
        answer = shift_answer(machines=machines)
        for shift in answer.machines:
            legs = timed_legs(answer, shift)
            ends_s = np.array([leg.end_s for leg in legs])
            starts_s = np.array([leg.leg.start_s for leg in legs])
            assert starts_s[0] == 0.0
            assert starts_s[1:] == pytest.approx(ends_s[:-1], abs=0.06)
            assert ends_s[-1] == pytest.approx(shift.finish_s)
            assert len([leg for leg in legs if leg.pause is None]) == len(shift.course.end_s)


def test_a_machine_stands_while_it_waits_and_while_it_is_plugged_in() -> None:
    answer = shift_answer()
    legs = timed_legs(answer, answer.machines[0])
    pauses = {leg.pause: (index, leg) for index, leg in enumerate(legs) if leg.pause is not None}
    assert pauses[Doing.CHARGE][1].leg.duration_s == pytest.approx(CHARGE_S)
    assert pauses[Doing.WAIT][1].leg.duration_s == pytest.approx(WAIT_S)
    assert all(len(leg.leg.points_m) == 1 for _, leg in pauses.values())
    # It waits where the next leg begins, and charges where the stop was.
    index, wait = pauses[Doing.WAIT]
    assert wait.leg.points_m[0].tolist() == legs[index + 1].leg.points_m[0].tolist()
    index, charge = pauses[Doing.CHARGE]
    assert legs[index - 1].leg.stop == CHARGE_STOP
    assert charge.leg.points_m[0].tolist() == legs[index - 1].leg.points_m[-1].tolist()


def test_the_charge_falls_while_it_works_and_rises_only_on_the_plug() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    legs = timed_legs(answer, shift)
    levels = charge_levels(answer, 1, legs)
    assert levels[0].full_fraction == 0.35
    assert levels[-1].full_fraction == pytest.approx(shift.end_charge_fraction)
    for leg, before, after in zip(legs, levels, levels[1:], strict=False):
        if leg.pause is Doing.CHARGE:
            assert after.full_fraction > before.full_fraction + 0.02
        else:
            assert after.full_fraction <= before.full_fraction


def test_at_the_end_of_every_leg_the_page_holds_what_the_course_says(page: str) -> None:
    answer, night = shift_answer(), night_of(page)
    course = answer.machines[0].course
    charge = dict(night["charges"][0])
    for end_s, share in zip(course.end_s, course.charge_fraction, strict=True):
        assert charge[round(float(end_s), 1)] == pytest.approx(share, abs=6e-5)
    works = [leg for leg in night["machines"][0]["legs"] if leg[0] < 4]
    assert [leg[3] for leg in works] == pytest.approx(course.solution_l, abs=0.06)
    assert [leg[4] for leg in works] == pytest.approx(course.recovered_l, abs=0.06)
    assert night["drying"] == answer.dry_s[1]
    assert night["startsAt"] == 4 * 60


def test_the_route_in_time_adds_up_to_the_shift() -> None:
    answer = shift_answer()
    (route,) = route_in_time(answer).routes
    assert route.total_time_s == pytest.approx(answer.machines[0].finish_s)
    # The wait and the charge are time in which it stands.
    assert route.stop_time_s == pytest.approx(answer.route.routes[0].stop_time_s + CHARGE_S + WAIT_S, abs=0.01)
    assert route.scrub_time_s == pytest.approx(answer.route.routes[0].scrub_time_s)


def test_floor_of_a_first_pass_stays_wet_until_the_second_has_ended() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    route = answer.route.routes[0]
    first, second = (index for index, leg in enumerate(route.legs) if leg.lane in (1, 5))
    # The fifth lane goes over the first once more, the other way.
    again = replace(route.legs[second], points_m=route.legs[first].points_m[::-1])
    legs = tuple(again if index == second else leg for index, leg in enumerate(route.legs))
    squeegee_down = np.ones(len(legs), dtype=np.bool_)
    squeegee_down[first] = False
    shift = replace(shift, course=replace(shift.course, squeegee_down=squeegee_down))
    answer = replace(answer, route=replace(answer.route, routes=(replace(route, legs=legs),)), machines=(shift,))
    timed = [leg for leg in timed_legs(answer, shift) if leg.leg.kind is LegKind.SCRUB]
    by_lane = {leg.leg.lane: leg for leg in timed}
    assert by_lane[1].wet_until_s == by_lane[5].end_s > by_lane[1].end_s
    assert by_lane[2].wet_until_s == by_lane[2].end_s


def test_labels_that_would_cover_each_other_move_apart_as_little_as_need_be() -> None:
    assert apart_px([30.0, 30.0], 14.0) == pytest.approx([23.0, 37.0])
    assert apart_px([40.0, 10.0], 14.0) == [40.0, 10.0]
    assert apart_px([24.0, 20.0, 22.0, 90.0], 15.0) == pytest.approx([37.0, 7.0, 22.0, 90.0])
