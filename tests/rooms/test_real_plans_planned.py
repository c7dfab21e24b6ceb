"""Real drawings that others published, from the file to a route, by the command line's own advice; or refused."""

import json
import re
from pathlib import Path

import pytest

from scrubwright.cli.main import DONE, REFUSED, main

ROOT = Path(__file__).parents[2]
PLANS = ROOT / "tests" / "data" / "plans"
PLATE = ROOT / "examples" / "plates" / "narrow_disc_055.toml"
ADVICE = re.compile(r"(--(?:drain|tap|park)) (-?[\d.]+,-?[\d.]+)")
DRAWN = (".geojson", ".ifc", ".yaml", ".dxf", ".png", ".pdf")

# Floor areas [m2] about those that SOURCE.md beside each file has, less what stands on the floor.
REAL: tuple[tuple[str, list[str], float, float, float], ...] = (
    ("indoor_geojson/westport-house-floor-2.geojson", [], 1_900, 2_200, 0.97),
    ("indoor_geojson/example-office-floor-g.geojson", [], 700, 740, 0.97),
    ("bim_whale/TallBuilding.ifc", ["--storey", "Level 1"], 50, 60, 0.95),
    ("nav2/warehouse.yaml", [], 1_150, 1_285, 0.96),
    ("aws_small_warehouse/002_map.yaml", [], 220, 236, 0.90),
)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


def told(line: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(line) == DONE
    return " ".join(capsys.readouterr().out.split())


def planned(drawing: Path, more: list[str], folder: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """The answer for a drawing, its service point and parking place put where the program says that they could be."""
    first = told(["floor", str(drawing), *more], capsys)
    points = [f"{option}={spot}" for option, spot in ADVICE.findall(first)]
    assert {point.partition("=")[0] for point in points} == {"--drain", "--tap", "--park"}
    site = folder / "site.geojson"
    assert "Next: scrubwright route" in told(["floor", str(drawing), *more, *points, "-o", str(site)], capsys)
    assert main(["route", str(site), "--machine", str(PLATE), "--json"]) == DONE
    answer: dict[str, object] = json.loads(capsys.readouterr().out)
    return answer


@pytest.mark.parametrize(("name", "more", "least_m2", "most_m2", "least_coverage"), REAL)
def test_a_real_drawing_becomes_a_route(
    name: str,
    more: list[str],
    least_m2: float,
    most_m2: float,
    least_coverage: float,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    drawing = PLANS / name
    if name.endswith(".ifc"):
        pytest.importorskip("ifcopenshell")
    answer = planned(drawing, more, tmp_path, capsys)
    floor_m2, covered = answer["floor_area_m2"], answer["coverage_fraction"]
    assert isinstance(floor_m2, float)
    assert least_m2 <= floor_m2 <= most_m2
    assert isinstance(covered, float)
    assert covered >= least_coverage
    assert answer["lanes"]


def test_rooms_keep_the_names_that_the_drawing_gives(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = PLANS / "indoor_geojson" / "westport-house-floor-2.geojson"
    site = tmp_path / "site.geojson"
    assert main(["floor", str(drawing), "-o", str(site)]) == DONE
    capsys.readouterr()
    rooms = [
        feature["properties"]["name"]
        for feature in json.loads(site.read_text(encoding="utf-8"))["features"]
        if feature["properties"]["role"] == "room"
    ]
    assert {"Women's Bathroom", "Meeting Room Large", "Server room"} <= set(rooms)


def test_a_drawing_that_shows_no_floor_is_refused_in_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("ifcopenshell")
    assert main(["floor", str(PLANS / "bim_whale" / "SimpleWall.ifc"), "-o", str(tmp_path / "site.geojson")]) == REFUSED
    refused = capsys.readouterr()
    assert refused.err.startswith("SimpleWall.ifc shows no floor on Level 1: ")
    assert refused.out == ""
    assert list(tmp_path.iterdir()) == []


def test_every_drawing_among_the_real_plans_is_tried() -> None:
    drawings = {path.relative_to(PLANS) for path in PLANS.rglob("*") if path.suffix in DRAWN}
    # One wall is no floor; the keep-out mask is read with the map that it belongs to.
    beside = {Path("bim_whale/SimpleWall.ifc"), Path("nav2/warehouse_keepout.yaml")}
    assert drawings - beside == {Path(name) for name, *_ in REAL}
