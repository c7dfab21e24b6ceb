"""`scrubwright plate` tells what is wrong with a plate, and hands out a blank one and its schema."""

import json
from pathlib import Path

import pytest

from scrubwright.cli import plate_command
from scrubwright.cli.parsing import Parser
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.wording import Language, Teller

EXAMPLES = Path(__file__).parents[2] / "examples" / "plates"
MID = EXAMPLES / "mid_cylindrical_080.toml"


def run(*line: str, language: Language = Language.ENGLISH, system: UnitSystem = UnitSystem.SI) -> int:
    teller = Teller(language=language, system=system)
    whole = Parser(teller=teller, prog="scrubwright", description="")
    plate_command.describe(whole.add_commands())
    return plate_command.run(whole.parse_args(["plate", *line]), teller)


def test_a_good_plate_is_shown_with_figures_and_their_origins(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(MID)) == 0
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert lines[0] == "mid_cylindrical_080.toml can be used: Mid cylindrical, 0.80 m."
    assert "Scrubbed width 0.80 m plate" in lines
    assert "Speed while scrubbing 5.0 km/h measured" in lines
    # 2.4 L/min over 0.75 m at 5 km/h, 3,750 m² an hour.
    assert "Solution on the floor 38 mL/m² estimate" in lines
    # 110 L x 0.95 = 104.5 L, less than 115 L x 0.90 / 0.92 = 112.5 L.
    assert any(line.startswith("Solution between two stops 10") for line in lines)


def test_figures_are_told_in_the_readers_units_and_language(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(MID), language=Language.SPANISH, system=UnitSystem.US) == 0
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert lines[0] == "mid_cylindrical_080.toml se puede usar: Mid cylindrical, 0.80 m."
    assert "Depósito de solución 29 gal ficha" in lines


def test_a_plate_with_faults_lists_them_and_exits_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(MID.read_text(encoding="utf-8").replace("max_work_slope_percent = 6", ""), encoding="utf-8")
    assert run(str(path)) == 2
    out = capsys.readouterr().out
    assert out.startswith("mine.toml cannot be used yet. Things to mend: 1.\n")
    assert "slopes.max_work_slope_percent is missing" in out


def test_a_blank_and_a_schema_are_handed_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blank = tmp_path / "blank.toml"
    assert run("--blank", "-o", str(blank)) == 0
    assert "scrub_width_m" in blank.read_text(encoding="utf-8")
    assert run("--schema") == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Plate of one floor scrubber"


@pytest.mark.parametrize("line", [(), ("--blank", "--schema"), (str(MID), "--blank")])
def test_one_thing_is_asked_for_at_a_time(line: tuple[str, ...]) -> None:
    with pytest.raises(BadInput, match="Ask for one thing"):
        run(*line)


def test_a_plate_is_never_overwritten_by_what_is_said_about_it(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(MID.read_bytes())
    with pytest.raises(BadInput, match="is the plate itself"):
        run(str(path), "--out", str(path))
    assert path.read_bytes() == MID.read_bytes()
