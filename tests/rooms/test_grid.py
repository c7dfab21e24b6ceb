"""Occupancy grids: free is floor, never seen is not, and every slip in the YAML gets its sentence."""

import math
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from shapely import LineString

from scrubwright.floor.site import FloorPlan
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.paperwork.drawing import DrawingOptions, KnownDistance, read_drawing

FREE, UNSEEN, HIT = 254, 205, 0
YAML = """\
image: map.pgm
resolution: 0.05
origin: [-2.0, -3.0, 0.0]
negate: 0
occupied_thresh: 0.65
free_thresh: 0.196
"""


def hall() -> np.ndarray:
    """12 m x 8 m of free floor, hit walls round it, the rest never seen; 0.05 m pixels."""
    grid = np.full((200, 280), UNSEEN, dtype=np.uint8)
    grid[18:182, 18:262] = HIT
    grid[20:180, 20:260] = FREE
    return grid


def saved(folder: Path, grid: np.ndarray, header: str = YAML, name: str = "map.pgm") -> Path:
    Image.fromarray(grid).save(folder / name)
    (folder / "map.yaml").write_text(header, encoding="utf-8")
    return folder / "map.yaml"


def floor_of(path: Path) -> FloorPlan:
    return read_drawing(path).site.floor()


def test_free_pixels_are_the_floor_in_their_place(tmp_path: Path) -> None:
    floor = floor_of(saved(tmp_path, hall()))
    assert floor.outline.area == pytest.approx(96.0)
    assert floor.outline.bounds == pytest.approx((-1.0, -2.0, 11.0, 6.0))


def test_what_was_never_seen_is_no_floor(tmp_path: Path) -> None:
    grid = hall()
    grid[60:100, 60:120] = UNSEEN
    assert floor_of(saved(tmp_path, grid)).outline.area == pytest.approx(96.0 - 6.0)


def test_the_map_may_be_given_in_place_of_its_yaml(tmp_path: Path) -> None:
    saved(tmp_path, hall())
    assert floor_of(tmp_path / "map.pgm").outline.area == pytest.approx(96.0)


def test_a_turned_origin_turns_the_floor(tmp_path: Path) -> None:
    floor = floor_of(saved(tmp_path, hall(), YAML.replace("[-2.0, -3.0, 0.0]", f"[0.0, 0.0, {math.pi / 2}]")))
    assert floor.outline.bounds == pytest.approx((-9.0, 1.0, -1.0, 13.0), abs=0.002)


def test_negate_turns_dark_into_free(tmp_path: Path) -> None:
    floor = floor_of(saved(tmp_path, 255 - hall(), YAML.replace("negate: 0", "negate: 1")))
    assert floor.outline.area == pytest.approx(96.0)


def test_raw_values_are_hundredths(tmp_path: Path) -> None:
    raw = np.where(hall() == FREE, 0, np.where(hall() == HIT, 100, 255)).astype(np.uint8)
    assert floor_of(saved(tmp_path, raw, YAML + "mode: raw\n")).outline.area == pytest.approx(96.0)


def test_a_png_map_works_as_a_pgm_does(tmp_path: Path) -> None:
    path = saved(tmp_path, hall(), YAML.replace("map.pgm", "map.png"), name="map.png")
    assert floor_of(path).outline.area == pytest.approx(96.0)


def test_sixteen_bits_are_read_as_eight(tmp_path: Path) -> None:
    grid = hall().astype(">u2") * 257
    (tmp_path / "map.pgm").write_bytes(b"P5\n280 200\n65535\n" + grid.tobytes())
    (tmp_path / "map.yaml").write_text(YAML, encoding="utf-8")
    assert floor_of(tmp_path / "map.yaml").outline.area == pytest.approx(96.0)


def test_a_plain_text_map_is_read(tmp_path: Path) -> None:
    saved(tmp_path, hall())
    rows = "\n".join(" ".join(map(str, row)) for row in hall())
    (tmp_path / "map.pgm").write_text(f"P2\n# drawn by hand\n280 200\n255\n{rows}\n", encoding="ascii")
    assert floor_of(tmp_path / "map.yaml").outline.area == pytest.approx(96.0)


def test_a_keep_out_map_beside_it_gives_no_go_zones(tmp_path: Path) -> None:
    path = saved(tmp_path, hall())
    mask = hall()
    mask[40:60, 40:80] = HIT
    Image.fromarray(mask).save(tmp_path / "keep.pgm")
    (tmp_path / "map_keepout.yaml").write_text(YAML.replace("map.pgm", "keep.pgm"), encoding="utf-8")
    floor = floor_of(path)
    (zone,) = floor.no_go
    assert zone.name == "keep-out 1"
    assert zone.outline.area == pytest.approx(2.0)
    assert zone.outline.bounds == pytest.approx((0.0, 4.0, 2.0, 5.0))
    assert floor.outline.area == pytest.approx(96.0)


def test_a_map_without_yaml_takes_a_known_distance(tmp_path: Path) -> None:
    Image.fromarray(hall()).save(tmp_path / "alone.pgm")
    options = DrawingOptions(known_distance=KnownDistance(line=LineString([(20, 20), (260, 20)]), distance_m=12.0))
    assert read_drawing(tmp_path / "alone.pgm", options).site.floor().outline.area == pytest.approx(96.0)


def test_a_map_without_yaml_or_distance_is_refused(tmp_path: Path) -> None:
    Image.fromarray(hall()).save(tmp_path / "alone.pgm")
    with pytest.raises(BadInput, match=r"Put alone.yaml in the same folder"):
        read_drawing(tmp_path / "alone.pgm")


def test_a_map_with_another_name_than_the_yaml_says_is_found_and_told(tmp_path: Path) -> None:
    path = saved(tmp_path, hall(), YAML.replace("map.pgm", "other.pgm"))
    reading = read_drawing(path)
    assert reading.site.floor().outline.area == pytest.approx(96.0)
    assert any("other.pgm, which is not there" in str(warning) for warning in reading.warnings)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("resolution: 0.05", "resolution: 0", "resolution as 0; enter metres per pixel"),
        ("resolution: 0.05", "resolution: -0.05", "resolution as -0.05; enter metres per pixel"),
        ("resolution: 0.05", "resolution: .nan", "resolution as nan; enter metres per pixel"),
        ("resolution: 0.05", "resolution: 5.0", r"resolution as 5.0; .* at most 0.25"),
        ("resolution: 0.05", "resolution: five", "resolution as five; enter metres per pixel"),
        ("resolution: 0.05\n", "", "resolution as nothing; enter metres per pixel"),
        ("[-2.0, -3.0, 0.0]", "[-2.0]", "origin as .* enter x and y of the lower left corner"),
        ("[-2.0, -3.0, 0.0]", "[.inf, 0.0, 0.0]", "origin as .* enter x and y of the lower left corner"),
        ("negate: 0", "negate: 7", "negate as 7; enter 0, or 1"),
        ("occupied_thresh: 0.65", "occupied_thresh: 65", "occupied_thresh as 65; enter a share"),
        ("free_thresh: 0.196", "free_thresh: 0.9", "free must be the smaller one"),
        ("free_thresh: 0.196", "free_thresh: 0.196\nmode: odd", "mode as odd; enter trinary, scale or raw"),
        ("image: map.pgm", "image: [1, 2]", "image as .* enter the file name of the map"),
    ],
)
def test_a_slip_in_the_yaml_is_told_with_what_to_enter(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_drawing(saved(tmp_path, hall(), YAML.replace(old, new)))


@pytest.mark.parametrize("image", ["/etc/hostname", "../map.pgm", "sub/../../map.pgm"])
def test_a_map_outside_the_folder_is_refused(tmp_path: Path, image: str) -> None:
    folder = tmp_path / "maps"
    folder.mkdir()
    Image.fromarray(hall()).save(tmp_path / "map.pgm")
    with pytest.raises(BadInput, match="lies outside its folder"):
        read_drawing(saved(folder, hall(), YAML.replace("map.pgm", image)))


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "maps"
    folder.mkdir()
    Image.fromarray(hall()).save(tmp_path / "secret.pgm")
    path = saved(folder, hall(), YAML.replace("map.pgm", "link.pgm"))
    (folder / "link.pgm").symlink_to(tmp_path / "secret.pgm")
    with pytest.raises(BadInput, match="lies outside its folder"):
        read_drawing(path)


def test_a_missing_map_is_named(tmp_path: Path) -> None:
    (tmp_path / "map.yaml").write_text(YAML, encoding="utf-8")
    with pytest.raises(UnreadablePaper, match=r"names the map map.pgm, which is not in its folder"):
        read_drawing(tmp_path / "map.yaml")


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("image: map.pgm\nresolution: [0.05\n", "is not written as YAML"),
        ("image: !!python/object/apply:os.system ['true']\n", "is not written as YAML"),
        ("- image: map.pgm\n- resolution: 0.05\n", "holds no `name: value` lines"),
        ("image: map.pgm\n#" + "x" * 20_000, "is too long"),
        ("image: " + "[" * 5_000, "is not written as YAML"),
    ],
)
def test_a_yaml_that_is_none_is_refused(tmp_path: Path, header: str, said: str) -> None:
    with pytest.raises(UnreadablePaper, match=said):
        read_drawing(saved(tmp_path, hall(), header))


def test_a_yaml_bomb_of_aliases_is_refused_at_once(tmp_path: Path) -> None:
    lines = ["image: map.pgm", "a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 12)]
    with pytest.raises(BadInput, match="resolution as nothing"):
        read_drawing(saved(tmp_path, hall(), "\n".join(lines)))


def test_a_map_cut_short_is_refused(tmp_path: Path) -> None:
    path = saved(tmp_path, hall())
    whole = (tmp_path / "map.pgm").read_bytes()
    (tmp_path / "map.pgm").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(UnreadablePaper, match="damaged or cut short"):
        read_drawing(path)


def test_a_map_that_says_it_is_huge_is_refused_unread(tmp_path: Path) -> None:
    path = saved(tmp_path, hall())
    (tmp_path / "map.pgm").write_bytes(b"P5\n900000 900000\n255\n" + bytes(100))
    with pytest.raises(UnreadablePaper, match="larger than 40 million pixels"):
        read_drawing(path)


def test_a_map_where_nothing_is_free_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="No piece of floor"):
        read_drawing(saved(tmp_path, np.full((100, 100), UNSEEN, dtype=np.uint8)))
