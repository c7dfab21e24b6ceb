"""The market hall as its architect drew it: names, surfaces, points, the ramp, and the store nobody gets into."""

import math
from pathlib import Path

import pytest

from scrubwright.floor.free_floor import free_floor
from scrubwright.floor.site import Site, Use
from scrubwright.jobs.route_left_out import unreachable_floor
from scrubwright.jobs.route_service import ramps_for, stations, vehicle_of
from scrubwright.paperwork.drawing import Reading, read_drawing
from scrubwright.paperwork.plates import plate_from
from tests.rooms.shop_drawings import warned

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def reading() -> Reading:
    return read_drawing(EXAMPLES / "market_hall.dxf")


@pytest.fixture(scope="module")
def site(reading: Reading) -> Site:
    return reading.site


def test_areas_carry_the_names_and_surfaces_written_in_them(site: Site) -> None:
    assert {area.name: area.surface for area in site.floor().areas} == {
        "Fish": "quartz resin",
        "Produce": "terrazzo",
        "Bakery": "quarry tile",
        "Dry goods": "sealed concrete",
        "Goods-in": "sealed concrete",
        "Avenue": "terrazzo",
        "Cafe wing": "vinyl",
    }


def test_drains_taps_and_the_parking_place_carry_the_names_of_their_blocks(site: Site) -> None:
    floor = site.floor()
    assert {point.name for point in floor.with_use(Use.DRAIN)} == {"closet drain", "fish drain"}
    assert {point.name for point in floor.with_use(Use.TAP)} == {"closet tap", "fish tap"}
    assert floor.parking is not None
    assert floor.parking.name == "scrubber place"


def test_the_ramp_climbs_as_its_text_and_arrow_say(site: Site, reading: Reading) -> None:
    (ramp,) = site.floor().ramps
    assert (ramp.name, ramp.slope_fraction) == ("Loading ramp", 0.06)
    assert ramp.uphill_rad == pytest.approx(math.pi / 2)
    assert "Loading ramp climbs 6.0 % towards 88.00 m, 70.00 m" in warned(reading)


def test_one_plate_scrubs_the_ramp_and_another_only_crosses_it(site: Site) -> None:
    mid, narrow = (
        plate_from(EXAMPLES / "plates" / name) for name in ("mid_cylindrical_080.toml", "narrow_disc_055.toml")
    )
    (ramp,) = site.floor().ramps
    assert ramps_for(site.floor(), mid).scrubbed == (ramp,)
    assert ramps_for(site.floor(), narrow).crossed == (ramp,)


def test_rooms_are_known_by_the_words_in_them(site: Site) -> None:
    # Store room 16 x 12 m, closet 7 x 5 m, as the drawing's own code has them.
    rooms = {room.name: room.outline.area for room in site.floor().rooms}
    assert rooms == pytest.approx({"Store room": 192.0, "Cleaning closet": 35.0}, abs=0.5)


def out_of_reach(site: Site, plate_name: str) -> dict[str, str]:
    """What a machine cannot come to or may not scrub, and why, the largest piece of each name."""
    plate = plate_from(EXAMPLES / "plates" / plate_name)
    plan, ramps = site.floor(), ramps_for(site.floor(), plate)
    floor = free_floor(plan, vehicle_of(plate, None), stations(plan, plate).places_m, ramps.closed)
    pieces = unreachable_floor(plan, floor, plate, ramps.crossed, ramps.closed)
    return {piece.name: str(piece.reason) for piece in reversed(pieces)}


def test_the_store_room_is_named_as_out_of_reach_for_a_machine_wider_than_its_door(site: Site) -> None:
    found = out_of_reach(site, "mid_cylindrical_080.toml")
    assert list(found)[-1] == "Store room"
    assert "this machine needs 1.16 m" in found["Store room"]
    assert "Loading ramp" not in found


def test_a_narrow_machine_gets_into_the_store_and_leaves_the_ramp_unscrubbed(site: Site) -> None:
    found = out_of_reach(site, "narrow_disc_055.toml")
    assert "Store room" not in found
    assert "6.0 %; this machine may scrub up to 2.0 %" in found["Loading ramp"]
