"""Areas of real drawings, worked out from their pixels or their dimensions by other means than the readers."""

import resource
from pathlib import Path

import numpy as np
import pytest
import shapely

from scrubwright.floor.site import FloorPlan
from scrubwright.paperwork.drawing import read_drawing

PLANS = Path(__file__).parents[1] / "data" / "plans"


def grey_pixels(path: Path) -> np.ndarray[tuple[int, int], np.dtype[np.uint8]]:
    """The pixels of a binary PGM whose header is magic, one comment, width and height, and the largest value."""
    _, _, size, _, pixels = path.read_bytes().split(b"\n", 4)
    width, height = map(int, size.split())
    return np.frombuffer(pixels, dtype=np.uint8, count=width * height).reshape(height, width)


def free_pixels_within(floor: FloorPlan, pixels: np.ndarray, size_m: float, origin_m: tuple[float, float]) -> float:
    """The share of free pixels whose middle lies on the floor."""
    rows, columns = np.nonzero(pixels >= 250)
    x_m = origin_m[0] + (columns + 0.5) * size_m
    y_m = origin_m[1] + (pixels.shape[0] - rows - 0.5) * size_m
    shapely.prepare(floor.outline)
    return float(shapely.contains_xy(floor.outline, x_m, y_m).mean())


def computing_s() -> float:
    """Processor time of the child processes so far, whatever else the machine is doing."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def corner_count(floor: FloorPlan) -> int:
    return int(shapely.get_num_coordinates(floor.outline)) - len(shapely.get_rings(shapely.get_parts(floor.outline)))


def test_the_warehouse_map_keeps_its_area_within_one_percent_and_few_corners() -> None:
    # Free pixels (254 and 255): 1,422,292 of 0.03 m x 0.03 m, which is 1,280.06 m2; the loose ones among them
    # and the slits inside stacks of pallets, which no machine enters, are about half a percent of that.
    pixels = grey_pixels(PLANS / "nav2" / "warehouse.pgm")
    counted_m2 = int((pixels >= 250).sum()) * 0.03**2
    assert counted_m2 == pytest.approx(1280.06, abs=0.01)
    before_s = computing_s()
    floor = read_drawing(PLANS / "nav2" / "warehouse.yaml").site.floor()
    assert computing_s() - before_s < 5
    assert floor.outline.area == pytest.approx(counted_m2, rel=0.01)
    assert free_pixels_within(floor, pixels, 0.03, (-15.1, -25.0)) > 0.99
    assert corner_count(floor) < 300


def test_the_keep_out_zones_of_the_warehouse_are_what_its_mask_adds() -> None:
    walls = grey_pixels(PLANS / "nav2" / "warehouse.pgm")
    mask = grey_pixels(PLANS / "nav2" / "warehouse_keepout.pgm")
    counted_m2 = int(((mask < 90) & (walls >= 250)).sum()) * 0.03**2
    floor = read_drawing(PLANS / "nav2" / "warehouse.yaml").site.floor()
    kept_off = shapely.union_all([zone.outline for zone in floor.no_go]).intersection(floor.outline)
    assert kept_off.area == pytest.approx(counted_m2, rel=0.05)
    assert len(floor.no_go) == 3


def test_the_mask_alone_is_read_as_a_map_without_those_zones() -> None:
    pixels = grey_pixels(PLANS / "nav2" / "warehouse_keepout.pgm")
    floor = read_drawing(PLANS / "nav2" / "warehouse_keepout.yaml").site.floor()
    assert floor.outline.area == pytest.approx(int((pixels >= 250).sum()) * 0.03**2, rel=0.01)


def test_the_small_warehouse_map_keeps_its_area_within_one_percent_and_few_corners() -> None:
    # 585,573 free pixels of 0.02 m x 0.02 m: 234.23 m2.
    pixels = grey_pixels(PLANS / "aws_small_warehouse" / "002_map.pgm")
    counted_m2 = int((pixels >= 250).sum()) * 0.02**2
    assert counted_m2 == pytest.approx(234.23, abs=0.01)
    floor = read_drawing(PLANS / "aws_small_warehouse" / "002_map.yaml").site.floor()
    assert floor.outline.area == pytest.approx(counted_m2, rel=0.01)
    assert free_pixels_within(floor, pixels, 0.02, (-10.0, -20.24)) > 0.985
    assert corner_count(floor) < 250


def test_the_rooms_of_the_tall_building_are_its_slab_less_its_walls() -> None:
    pytest.importorskip("ifcopenshell")
    # Millimetres of the model: slab 8,200 x 8,200; outer walls 200 thick: 8,200 + 8,000 + 8,000 + 7,800 long;
    # inner walls 200 thick: 7,800 and 3,800 long.
    slab_m2 = 8.2 * 8.2
    walls_m2 = 0.2 * (8.2 + 8.0 + 8.0 + 7.8 + 7.8 + 3.8)
    assert walls_m2 == pytest.approx(8.72)
    site = read_drawing(PLANS / "bim_whale" / "TallBuilding.ifc").site
    assert [floor.name for floor in site.floors] == ["Level 1", "Level 2", "Level 4", "Level 5"]
    for floor in site.floors[1:]:
        assert floor.outline.area == pytest.approx(slab_m2 - walls_m2, abs=0.01)
        assert [round(part.area, 2) for part in floor.outline.geoms].count(14.44) == 2
    # Level 1 has doors: 3 of them to outside, 2 between rooms. One 1.55 m with two leaves, four of 0.915 m.
    doors_m2 = 0.2 * (1.55 - 0.12 + 4 * (0.915 - 0.06))
    ground = site.floors[0]
    assert len(ground.outline.geoms) == 1
    assert ground.outline.area == pytest.approx(slab_m2 - walls_m2 + doors_m2, abs=0.1)
