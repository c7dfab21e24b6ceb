"""The command line as a whole: language, units, exit codes, and a sentence for what it cannot understand."""

import os
import subprocess
import sys

import pytest

from scrubwright.cli import floor_command
from scrubwright.cli.main import DONE, REFUSED, STOPPED, main


@pytest.fixture(autouse=True)
def plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("SCRUBWRIGHT_LANGUAGE", "SCRUBWRIGHT_UNITS", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)


def test_without_a_command_it_shows_what_it_can_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == DONE
    assert "Usage: scrubwright COMMAND [choices]" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["floor", "plate", "route"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_command_has_short_help_with_an_example(
    command: str, language: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, "--help", "--language", language]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert f"  scrubwright {command} " in [line[: len(f"  scrubwright {command} ")] for line in lines[-3:]]
    assert max(len(line) for line in lines[: lines.index("Ejemplo:" if language == "es" else "Example:")]) <= 80
    assert len(lines) < 60


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("LANG", "es_MX.UTF-8", "Falta algo: FILE."),
        ("LANG", "de_DE.UTF-8", "Something is missing: FILE."),
        ("SCRUBWRIGHT_LANGUAGE", "es", "Falta algo: FILE."),
    ],
)
def test_the_language_comes_from_the_surroundings(
    name: str, value: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(name, value)
    assert main(["floor"]) == REFUSED
    assert said in capsys.readouterr().err


def test_the_language_on_the_line_wins(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("LANG", "es_ES.UTF-8")
    assert main(["floor", "--language", "en"]) == REFUSED
    assert capsys.readouterr().err.startswith("Something is missing: FILE.")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["--language", "fr", "floor", "x"], 'There is no language "fr" here; choose en or es.'),
        (["floor", "x", "--units", "yards"], 'There are no units "yards" here; choose si or us.'),
        (["floor", "x", "--language"], 'There is no language "" here; choose en or es.'),
        (["floor"], "Something is missing: FILE. Help: scrubwright floor --help"),
        (["polish"], "There is no polish; choose from: "),
        (
            ["floor", "x", "--drain", "north"],
            '--drain is "north"; enter 2 numbers with commas between them, such as 12.5,3.',
        ),
        (["floor", "x", "--scale", "1,2,3"], '--scale is "1,2,3"; enter two points'),
        (["floor", "x", "--unit", "yd"], '--unit is "yd"; choose one of: mm, cm, m, in, ft.'),
        (["floor", "x", "--layer", "A-WALL"], '--layer is "A-WALL"; enter the layer, = and what it holds'),
        (["floor", "x", "--page", "1", "--storey", "1"], "Both --page and --storey are given"),
    ],
)
def test_a_line_that_cannot_be_understood_ends_with_2_and_one_sentence(
    line: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(line) == REFUSED
    told = capsys.readouterr()
    assert told.err.startswith(said)
    assert told.err.count("\n") == 1
    assert told.out == ""


def test_a_point_may_begin_with_a_minus(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["floor", "nowhere.dxf", "--drain", "-3,4"]) == REFUSED
    assert capsys.readouterr().err.startswith("There is no file nowhere.dxf")


def test_stopping_by_hand_is_said_and_ends_with_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(floor_command, "read_drawing", stopped)
    assert main(["floor", "x"]) == STOPPED
    assert capsys.readouterr().err == "Stopped before it was done.\n"


def test_a_mistake_of_the_program_keeps_its_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(floor_command, "read_drawing", broken)
    with pytest.raises(ZeroDivisionError):
        main(["floor", "x"])


def test_it_runs_as_a_program_on_a_terminal_that_knows_only_ascii() -> None:
    environment = {"PATH": os.environ["PATH"], "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = subprocess.run(
        [sys.executable, "-m", "scrubwright.cli.main", "floor", "--help", "--language", "es"],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == DONE
    assert "Qu? indicar" in done.stdout
    assert done.stderr == ""
