"""The ramp caution stands at the blocks whose lanes meet a ramp, or whose way there or home does."""

from dataclasses import replace
from pathlib import Path

from shapely import box

from scrubwright.floor.site import Ramp
from scrubwright.jobs.route_answer import Bites, RouteAnswer
from scrubwright.jobs.route_cautions import cautions_for
from scrubwright.paperwork.plates import plate_from
from tests.rooms.hall_answer import hall_answer

PLATE = plate_from(Path(__file__).parents[2] / "examples" / "plates" / "narrow_disc_055.toml")


def ramp_blocks(answer: RouteAnswer, *ramps: Ramp) -> tuple[int, ...]:
    plan = replace(answer.plan, ramps=ramps)
    found = [each.blocks for each in cautions_for(plan, PLATE, answer.routes) if each.bites is Bites.BLOCKS]
    return found[0] if found else ()


def ramp(x0_m: float, y0_m: float, x1_m: float, y1_m: float) -> Ramp:
    return Ramp(name="Ramp", outline=box(x0_m, y0_m, x1_m, y1_m), slope_fraction=0.05, uphill_rad=0.0)


def test_the_ramp_caution_names_the_block_whose_lanes_lie_on_it() -> None:
    # Aisle 3, block 4, is driven between x = 6 and 36 m, y = 10.6 and 14.4 m; nothing else comes to its middle.
    assert ramp_blocks(hall_answer(), ramp(20, 11.5, 22, 12.5)) == (4,)


def test_two_ramps_share_one_caution() -> None:
    assert ramp_blocks(hall_answer(), ramp(20, 11.5, 22, 12.5), ramp(20, 17, 22, 18)) == (4, 5)


def test_a_ramp_on_the_way_home_is_told_at_the_last_block() -> None:
    answer = hall_answer(machines=1)
    (route,) = answer.routes
    home = route.legs[-1]
    other = [leg for leg in route.legs[:-1] if len(leg.points_m) > 1]
    x_m, y_m = (float(value) for value in (home.points_m[-1] + home.points_m[-2]) / 2)
    far = replace(answer, routes=(replace(route, legs=(*other[:1], home)),))
    blocks = ramp_blocks(far, ramp(x_m - 0.1, y_m - 0.1, x_m + 0.1, y_m + 0.1))
    assert blocks == (route.blocks[-1].number,)
