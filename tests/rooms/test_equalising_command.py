"""The command beside a charger that equalises: go on, or stop now."""

from pathlib import Path

import pytest

from scrubwright.cli.main import DONE, REFUSED, main

PACKS = Path(__file__).parents[2] / "examples" / "packs"


def log(tmp_path: Path, rows: list[tuple[str, float, float]]) -> str:
    """Hourly rows: clock, electrolyte in °C, gravity of cell 11; the others stand at 1.275."""
    lines = ["date,time,moment,temperature_c," + ",".join(f"cell_{n}" for n in range(1, 19))]
    for clock, celsius, low in rows:
        cells = ",".join("1.275" if n != 11 else f"{low:.3f}" for n in range(1, 19))
        lines.append(f"2026-03-02,{clock},in between,{celsius},{cells}")
    path = tmp_path / "hours.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SCRUBWRIGHT_LANGUAGE", "en")
    monkeypatch.setenv("SCRUBWRIGHT_UNITS", "si")


def test_it_goes_on_while_the_lowest_cell_rises(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hours = log(tmp_path, [("18:00", 25, 1.225), ("19:00", 26, 1.240)])
    assert main(["equalising", str(PACKS / "market_hall_36v.toml"), hours]) == DONE
    told = capsys.readouterr().out
    assert told.startswith("GO ON\nThe lowest cells (1, 2, 3, 11) may still rise")
    assert "«in between»" in told
    assert "face shield" in told


def test_heat_stops_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hours = log(tmp_path, [("18:00", 25, 1.225), ("19:00", 47, 1.225)])
    assert main(["equalising", str(PACKS / "market_hall_36v.toml"), hours]) == DONE
    assert capsys.readouterr().out.startswith("STOP NOW")


@pytest.mark.parametrize("seen", ["--boils", "--hot-cell"])
def test_what_a_person_sees_stops_it(tmp_path: Path, capsys: pytest.CaptureFixture[str], seen: str) -> None:
    hours = log(tmp_path, [("18:00", 25, 1.225), ("19:00", 26, 1.240)])
    assert main(["equalising", str(PACKS / "market_hall_36v.toml"), hours, seen]) == DONE
    assert capsys.readouterr().out.startswith("STOP NOW")


def test_a_sealed_pack_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hours = tmp_path / "hours.csv"
    hours.write_text("date,time,moment,rested_v\n2026-03-02,18:00,in between,25.6\n", encoding="utf-8")
    assert main(["equalising", str(PACKS / "narrow_agm_24v.toml"), str(hours)]) == REFUSED
    assert "must never be equalised" in capsys.readouterr().err
