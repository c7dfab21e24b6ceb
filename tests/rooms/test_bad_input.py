"""What cannot be planned is refused in one sentence, with exit code 2 and nothing written."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from shapely import MultiPolygon, Polygon, box

from scrubwright.cli.main import DONE, REFUSED, main
from scrubwright.floor.site import Area, FloorPlan, Place, ServicePoint, Site, Use
from scrubwright.paperwork.sites import site_text

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATE = EXAMPLES / "plates" / "narrow_disc_055.toml"
HALL = box(0, 0, 14, 9)
BOTH = frozenset({Use.DRAIN, Use.TAP})
CLOSET = ServicePoint(name="Closet", x_m=12.5, y_m=1.5, uses=BOTH)
BAY = Place(name="Bay", x_m=1.5, y_m=1.5)
FLOOR = FloorPlan(name="Hall", outline=MultiPolygon([HALL]), service_points=(CLOSET,), parking=BAY)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


def two_rooms(door_m: float) -> MultiPolygon:
    """The hall, and a room east of it behind a door."""
    room = box(14.2, 0, 20, 9)
    door = box(14, 4, 14.2, 4 + door_m)
    return MultiPolygon([polygon_of(HALL.union(door).union(room))])


def polygon_of(shape: object) -> Polygon:
    assert isinstance(shape, Polygon)
    return shape


def refusal(folder: Path, line: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """The one sentence that a line is refused with, once it is sure that no file came or changed."""
    before = {path: path.read_bytes() for path in folder.iterdir() if path.stat().st_size < 1_000_000}
    assert main(line) == REFUSED
    told = capsys.readouterr()
    after = {path: path.read_bytes() for path in folder.iterdir() if path.stat().st_size < 1_000_000}
    assert after == before
    assert told.out == ""
    assert told.err.endswith(".\n")
    assert "Traceback" not in told.err
    return told.err.strip()


def route_line(folder: Path, floor: FloorPlan, plate: Path = PLATE) -> list[str]:
    site = folder / "site.geojson"
    site.write_text(site_text(Site(name="Site", floors=(floor,))), encoding="utf-8")
    outputs = [str(folder / name) for name in ("a.json", "a.geojson", "a.svg", "a.html")]
    line = ["route", str(site), "--machine", str(plate)]
    return [*line, *("--json", outputs[0], "--geojson", outputs[1], "--svg", outputs[2], "--html", outputs[3])]


def test_a_floor_without_a_service_point(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = refusal(tmp_path, route_line(tmp_path, replace(FLOOR, service_points=())), capsys)
    assert "drain" in told
    assert "--drain 2.5,1.0" in told


def test_a_floor_with_a_tap_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tap = replace(CLOSET, name="Tap", uses=frozenset({Use.TAP}))
    assert "drain" in refusal(tmp_path, route_line(tmp_path, replace(FLOOR, service_points=(tap,))), capsys)


def test_a_room_behind_a_door_narrower_than_the_machine_is_named_and_the_rest_planned(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(route_line(tmp_path, replace(FLOOR, outline=two_rooms(0.7)))) == DONE
    told = capsys.readouterr().out
    unreachable = told.partition("Cannot be reached")[2].partition("\n\n")[0]
    assert "52 m²" in unreachable
    assert "0.86 m" in " ".join(unreachable.split())


def test_a_drain_behind_a_door_narrower_than_the_machine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    closet = replace(CLOSET, x_m=17.0, y_m=4.5)
    floor = replace(FLOOR, outline=two_rooms(0.7), service_points=(closet,))
    told = refusal(tmp_path, route_line(tmp_path, floor), capsys)
    assert "Closet" in told
    assert "0.86 m" in told


def test_a_tank_of_zero(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = PLATE.read_text(encoding="utf-8")
    plate = tmp_path / "zero.toml"
    plate.write_text(text.replace("solution_l = 70", "solution_l = 0"), encoding="utf-8")
    told = refusal(tmp_path, route_line(tmp_path, FLOOR, plate), capsys)
    assert "solution" in told


def test_an_area_outside_the_floor(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    yard = Area(name="Yard", outline=box(30, 0, 40, 9))
    told = refusal(tmp_path, route_line(tmp_path, replace(FLOOR, areas=(yard,))), capsys)
    assert "Yard" in told


def test_a_plan_in_feet_read_as_metres(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawn = (EXAMPLES / "small_store.dxf").read_text(encoding="utf-8")
    assert "$INSUNITS" in drawn
    out = tmp_path / "site.geojson"
    told = refusal(tmp_path, ["floor", str(in_feet(tmp_path)), "-o", str(out)], capsys)
    assert "feet" in told
    assert "known distance" in told


def in_feet(folder: Path) -> Path:
    """The small store drawn in feet by a hand that told the file it was metres."""
    import ezdxf
    from ezdxf import transform

    document = ezdxf.filemanagement.readfile(EXAMPLES / "small_store.dxf")
    transform.scale_uniform(document.modelspace(), 1 / 304.8)
    document.header["$INSUNITS"] = ezdxf.units.M
    path = folder / "feet.dxf"
    document.saveas(path)
    return path


def test_a_drawing_of_100_megabytes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = tmp_path / "huge.dxf"
    with drawing.open("wb") as file:
        file.write(b"  0\nSECTION\n")
        file.truncate(100_000_000)
    told = refusal(tmp_path, ["floor", str(drawing), "-o", str(tmp_path / "site.geojson")], capsys)
    assert told.startswith("huge.dxf is 100.0 MB; a drawing may be 64.0 MB.")


def test_a_folder_that_is_not_there_is_told_before_any_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = [*route_line(tmp_path, FLOOR)[:4], "--svg", str(tmp_path / "nowhere" / "a.svg")]
    assert refusal(tmp_path, line, capsys).startswith("There is no folder")


def test_one_file_for_two_outputs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = [*route_line(tmp_path, FLOOR)[:4], "--svg", str(tmp_path / "a"), "--html", str(tmp_path / "a")]
    assert "is named twice on the line" in refusal(tmp_path, line, capsys)


def test_a_drawing_where_a_site_is_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["route", str(EXAMPLES / "small_store.dxf"), "--machine", str(PLATE)]) == REFUSED
    told = capsys.readouterr().err
    assert told.startswith("small_store.dxf is no site file. Make one first: scrubwright floor ")


def test_the_site_over_its_own_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    site = Path(route_line(tmp_path, FLOOR)[1])
    assert "is the drawing itself" in refusal(tmp_path, ["floor", str(site), "-o", str(site)], capsys)


def test_the_program_itself_ends_with_2_and_writes_nothing(tmp_path: Path) -> None:
    line = route_line(tmp_path, replace(FLOOR, service_points=()))
    done = subprocess.run(
        [sys.executable, "-m", "scrubwright.cli.main", *line], capture_output=True, text=True, check=False
    )
    assert done.returncode == REFUSED
    assert done.stderr.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["site.geojson"]
