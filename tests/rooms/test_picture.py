"""Pictures of plans: light is floor, gaps are found and told, and no picture can stop the program."""

import io
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely import LineString, Point

from scrubwright.floor.site import FloorPlan
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.paperwork import child
from scrubwright.paperwork.drawing import DrawingOptions, KnownDistance, Reading, read_drawing

# The outer wall's middle runs from pixel 100 to pixel 1300, which is 60 m: 5 cm a pixel.
SCALE = KnownDistance(line=LineString([(100, 100), (1300, 100)]), distance_m=60.0)
INSIDE_M2 = (1192 * 692 - 6 * 692) * 0.0025
RACKS_M2 = 3 * 41 * 401 * 0.0025


def plan(*, gap: int = 0, door: int = 60, swing: bool = False) -> Image.Image:
    """Two rooms of one building, a doorway between them, three racks in the west one."""
    picture = Image.new("L", (1400, 900), 255)
    pen = ImageDraw.Draw(picture)
    pen.rectangle((96, 96, 1303, 803), outline=0, width=8)
    pen.rectangle((697, 104, 702, 795), fill=0)
    if door:
        pen.rectangle((697, 400, 702, 400 + door - 1), fill=255)
    for left in (200, 320, 440):
        pen.rectangle((left, 200, left + 40, 600), outline=0, width=2)
    if gap:
        pen.rectangle((1296, 500, 1303, 500 + gap - 1), fill=255)
    if swing:
        pen.line((700, 400, 700, 400 + door - 1), fill=0, width=1)
    return picture


def read(path: Path, **options: Any) -> Reading:
    return read_drawing(path, DrawingOptions(**{"known_distance": SCALE, **options}))


def saved(folder: Path, picture: Image.Image, name: str = "plan.png", **how: Any) -> Path:
    picture.save(folder / name, **how)
    return folder / name


def floor_of(path: Path, **options: Any) -> FloorPlan:
    return read(path, **options).site.floor()


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> FloorPlan:
    """The floor of the plan as it is, to hold others against."""
    return floor_of(saved(tmp_path_factory.mktemp("plain"), plan()))


def told(reading: Reading) -> str:
    return " ".join(map(str, reading.warnings))


def chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


def png(width: int, height: int, content: bytes) -> bytes:
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", content) + chunk(b"IEND", b"")


def test_the_floor_of_a_picture_is_what_lies_between_its_walls(plain: FloorPlan) -> None:
    floor = plain
    assert floor.outline.area == pytest.approx(INSIDE_M2 + 60 * 6 * 0.0025 - RACKS_M2, rel=0.002)
    assert sum(len(part.interiors) for part in floor.outline.geoms) == 3
    assert floor.outline.contains(Point(10.0, 40.0 - 1.0))
    assert floor.outline.bounds == pytest.approx((5.2, 5.2, 64.8, 39.8), abs=0.05)


def test_a_picture_without_scale_asks_for_two_points_and_their_distance(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="two points of the picture and the metres between them"):
        read_drawing(saved(tmp_path, plan()))


@pytest.mark.parametrize("gap", [18, 40, 75])
def test_a_gap_in_the_outline_is_closed_and_told_with_its_place_and_width(
    tmp_path: Path, plain: FloorPlan, gap: int
) -> None:
    reading = read(saved(tmp_path, plan(gap=gap)))
    assert reading.site.floor().outline.area == pytest.approx(plain.outline.area, abs=0.5)
    (said,) = [warning for warning in reading.warnings if "gap near" in warning.template]
    values = dict(said.values)
    assert values["x_m"] == pytest.approx(65.0, abs=0.3)
    assert values["y_m"] == pytest.approx((900 - 500 - gap / 2) * 0.05, abs=0.3)
    assert values["width_m"] == pytest.approx(gap * 0.05, abs=0.15)


def test_a_gap_narrower_than_any_machine_needs_no_word(tmp_path: Path) -> None:
    assert "gap near" not in told(read(saved(tmp_path, plan(gap=5))))


@pytest.mark.parametrize("parking_m", [None, (10.0, 7.0)])
@pytest.mark.parametrize("gap", [0, 40])
def test_the_frame_of_a_drawing_sheet_is_not_taken_for_the_building(
    tmp_path: Path, gap: int, parking_m: tuple[float, float] | None
) -> None:
    sheet = plan(gap=gap)
    pen = ImageDraw.Draw(sheet)
    pen.rectangle((10, 10, 1390, 890), outline=0, width=3)
    pen.rectangle((1000, 840, 1390, 890), outline=0, width=3)
    reading = read(saved(tmp_path, sheet), parking_m=parking_m)
    expected = INSIDE_M2 + 60 * 6 * 0.0025 - RACKS_M2
    assert reading.site.floor().outline.area == pytest.approx(expected, rel=0.002)
    assert told(reading).count("gap near") == (1 if gap else 0)


def test_narrow_aisles_stay_open_where_a_wide_gap_is_closed(tmp_path: Path) -> None:
    picture = plan(gap=75)
    pen = ImageDraw.Draw(picture)
    for left in range(800, 1200, 60):
        pen.rectangle((left, 200, left + 40, 600), outline=0, width=2)
    floor = floor_of(saved(tmp_path, picture))
    expected = INSIDE_M2 + 60 * 6 * 0.0025 - 10 * 41 * 401 * 0.0025
    assert floor.outline.area == pytest.approx(expected, rel=0.003)
    assert floor.outline.contains(Point(850 * 0.05, 25.0))


def test_a_service_point_says_which_closed_part_is_the_floor(tmp_path: Path) -> None:
    path = saved(tmp_path, plan(door=0))
    east = floor_of(path, drains_m=((60.0, 10.0),))
    west = floor_of(path, drains_m=((6.0, 10.0),))
    assert east.outline.area == pytest.approx(594 * 692 * 0.0025, rel=0.002)
    assert west.outline.area == pytest.approx(592 * 692 * 0.0025 - RACKS_M2, rel=0.003)


def test_a_tap_drawn_on_the_wall_belongs_to_the_floor_inside(tmp_path: Path) -> None:
    floor = floor_of(saved(tmp_path, plan()), taps_m=((20.0, 5.0),))
    assert floor.outline.area == pytest.approx(INSIDE_M2 + 60 * 6 * 0.0025 - RACKS_M2, rel=0.002)


def test_a_door_drawn_shut_is_told_as_a_closed_room(tmp_path: Path) -> None:
    reading = read(saved(tmp_path, plan(swing=True)), drains_m=((60.0, 10.0),))
    assert "Closed parts were taken as" in told(reading)
    assert "with its swing" in told(reading)


def test_a_floor_that_runs_off_the_picture_ends_at_its_edge(tmp_path: Path) -> None:
    path = saved(tmp_path, plan().crop((150, 150, 650, 700)))
    reading = read(path, parking_m=(1.0, 1.0))
    assert "runs to the edge of the picture" in told(reading)
    with pytest.raises(BadInput, match="outline in the picture is open, or cut off"):
        read(path)


@pytest.mark.parametrize("form", ["CMYK", "P", "RGB", "RGBA", "LA", "1", "I;16"])
def test_every_form_of_colour_gives_the_same_floor(tmp_path: Path, plain: FloorPlan, form: str) -> None:
    grey = plan()
    if form == "CMYK":
        path = saved(tmp_path, grey.convert("CMYK"), "plan.jpg", quality=95)
    elif form == "I;16":
        path = saved(tmp_path, Image.fromarray(np.asarray(grey).astype(np.uint16) * 257))
    elif form in ("RGBA", "LA"):
        # Black everywhere, and see-through where the floor is.
        empty = Image.new("L", grey.size, 0)
        path = saved(tmp_path, Image.merge("LA", (empty, grey.point(lambda tone: 255 - tone))).convert(form))
    else:
        path = saved(tmp_path, grey.convert(form))
    assert floor_of(path).outline.area == pytest.approx(plain.outline.area, rel=0.003)


def test_a_photo_is_read_the_way_up_it_was_taken(tmp_path: Path) -> None:
    turned = plan().transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = 6
    path = saved(tmp_path, turned, "photo.jpg", exif=exif, quality=95)
    assert floor_of(path).outline.bounds == pytest.approx((5.2, 5.2, 64.8, 39.8), abs=0.1)


def test_a_page_of_a_pdf_is_scaled_by_points_on_its_paper(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    blank = Image.new("L", (1400, 900), 255)
    blank.save(path, save_all=True, append_images=[plan()], resolution=100)
    points = KnownDistance(line=LineString([(72, 72), (936, 72)]), distance_m=60.0)
    floor = floor_of(path, known_distance=points, storey="2")
    assert floor.outline.area == pytest.approx(INSIDE_M2 + 60 * 6 * 0.0025 - RACKS_M2, rel=0.01)


@pytest.mark.parametrize("page", [None, "0", "3", "ground"])
def test_a_pdf_of_several_pages_asks_which(tmp_path: Path, page: str | None) -> None:
    path = tmp_path / "plan.pdf"
    plan().save(path, save_all=True, append_images=[plan()])
    with pytest.raises(BadInput, match=r"has 2 pages .* from 1 to 2"):
        read(path, storey=page)


def test_a_pdf_that_is_damaged_is_refused(tmp_path: Path) -> None:
    (tmp_path / "plan.pdf").write_bytes(b"%PDF-1.7\nnothing that is a PDF\n%%EOF")
    with pytest.raises(UnreadablePaper, match="damaged or protected"):
        read(tmp_path / "plan.pdf")


def test_a_pdf_page_as_large_as_a_field_stays_within_its_limits(tmp_path: Path) -> None:
    sheet = b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 14400 14400] >>"
    pages = b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>"
    body = b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n2 0 obj " + pages + b" endobj\n3 0 obj "
    (tmp_path / "plan.pdf").write_bytes(body + sheet + b" endobj\ntrailer << /Root 1 0 R >>\n%%EOF")
    with pytest.raises(BadInput, match="is of one tone"):
        read(tmp_path / "plan.pdf")


def test_a_bomb_of_1600_million_pixels_in_200_kb_is_refused_unread(tmp_path: Path) -> None:
    packer = zlib.compressobj(9)
    rows = b"".join(packer.compress(bytes(10_000_000)) for _ in range(4)) + packer.flush()
    path = tmp_path / "bomb.png"
    path.write_bytes(png(40_000, 40_000, rows))
    assert path.stat().st_size < 200_000
    with pytest.raises(UnreadablePaper, match="larger than 40 million pixels"):
        read(path, known_distance=SCALE)


def test_a_picture_one_pixel_over_the_limit_is_refused_and_needs_no_memory(tmp_path: Path) -> None:
    path = tmp_path / "large.png"
    path.write_bytes(png(40_001, 1_000, zlib.compress(bytes(1000))))
    with pytest.raises(UnreadablePaper, match="larger than 40 million pixels"):
        read_drawing(path, DrawingOptions(known_distance=SCALE), limits=child.Limits(memory_bytes=1_200_000_000))


def test_a_text_chunk_that_swells_is_refused(tmp_path: Path) -> None:
    swollen = b"Comment\x00\x00" + zlib.compress(bytes(80_000_000), 9)
    whole = png(2, 2, zlib.compress(bytes(6)))
    path = tmp_path / "text.png"
    path.write_bytes(whole[:33] + chunk(b"zTXt", swollen) + whole[33:])
    with pytest.raises((UnreadablePaper, BadInput)):
        read(path)


def test_a_picture_cut_short_is_refused(tmp_path: Path) -> None:
    for name in ("plan.png", "plan.jpg"):
        whole = saved(tmp_path, plan(), name).read_bytes()
        (tmp_path / name).write_bytes(whole[: len(whole) // 2])
        with pytest.raises(UnreadablePaper, match="damaged or cut short"):
            read(tmp_path / name)


def test_a_picture_of_no_pixels_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "none.png"
    path.write_bytes(png(0, 0, zlib.compress(b"")))
    with pytest.raises(UnreadablePaper, match=r"no pixels|damaged or cut short"):
        read(path)


def test_a_picture_that_only_begins_like_one_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "fake.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"not a picture" * 50)
    with pytest.raises(UnreadablePaper, match="damaged or cut short"):
        read(path)


def test_a_white_sheet_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is of one tone"):
        read(saved(tmp_path, Image.new("L", (400, 300), 255)))


def test_a_grainy_photo_is_refused_in_time(tmp_path: Path) -> None:
    grain = np.random.default_rng(2).integers(0, 256, (1500, 1500), dtype=np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(grain).save(buffer, "PNG")
    (tmp_path / "grain.png").write_bytes(buffer.getvalue())
    with pytest.raises(BadInput):
        read(tmp_path / "grain.png", parking_m=(10.0, 10.0))


@pytest.mark.parametrize(
    ("distance_m", "said"), [(600.0, "walls need 0.25 m or less"), (0.6, "points are given in pixels")]
)
def test_a_distance_in_the_wrong_unit_is_caught(tmp_path: Path, distance_m: float, said: str) -> None:
    scale = KnownDistance(line=SCALE.line, distance_m=distance_m)
    with pytest.raises(BadInput, match=said):
        read(saved(tmp_path, plan()), known_distance=scale)


def test_a_point_off_the_picture_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="lies in a wall or off the picture"):
        read(saved(tmp_path, plan()), drains_m=((500.0, 500.0),))
