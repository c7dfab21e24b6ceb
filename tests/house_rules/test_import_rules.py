"""The import rules hold, and a violation planted in a copy is caught."""

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.house_rules.source_tree import PACKAGE, ROOT


@pytest.fixture
def copy_of_the_house(tmp_path: Path) -> Path:
    shutil.copytree(PACKAGE, tmp_path / "src" / "scrubwright", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def verdict_on(house: Path) -> subprocess.CompletedProcess[str]:
    linter = Path(sys.executable).with_name("lint-imports")
    environment = {**os.environ, "PYTHONPATH": str(house / "src"), "PYTHONSAFEPATH": "1", "COLUMNS": "200"}
    return subprocess.run(
        [linter, "--no-cache"], cwd=house, env=environment, capture_output=True, text=True, check=False
    )


def test_the_house_keeps_its_import_rules(copy_of_the_house: Path) -> None:
    verdict = verdict_on(copy_of_the_house)
    assert verdict.returncode == 0, verdict.stdout + verdict.stderr


@pytest.mark.parametrize(
    ("room", "line"),
    [
        ("measures", "import scrubwright.jobs.route_answer"),
        ("floor", "from scrubwright.machine import plate"),
        ("jobs", "def late():\n    from scrubwright.paperwork import drawing\n    return drawing"),
        ("floor", "import os"),
        ("jobs", "import time"),
        ("water", "from random import random"),
    ],
)
def test_a_planted_violation_is_caught(copy_of_the_house: Path, room: str, line: str) -> None:
    folder = copy_of_the_house / "src" / "scrubwright" / room
    (folder / "planted.py").write_text(f'"""Planted."""\n\n{line}\n', encoding="utf-8")
    verdict = verdict_on(copy_of_the_house)
    assert verdict.returncode != 0
    assert f"scrubwright.{room}.planted" in verdict.stdout


def test_a_room_that_no_rule_knows_is_caught(copy_of_the_house: Path) -> None:
    folder = copy_of_the_house / "src" / "scrubwright" / "attic"
    folder.mkdir()
    (folder / "__init__.py").write_text('"""Planted."""\n', encoding="utf-8")
    verdict = verdict_on(copy_of_the_house)
    assert verdict.returncode != 0
    assert "attic" in verdict.stdout


def test_pytest_visits_every_folder_of_tests() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    visited = {path for path in settings["tool"]["pytest"]["ini_options"]["testpaths"] if path.startswith("tests/")}
    holding = {f"tests/{path.relative_to(ROOT / 'tests').parts[0]}" for path in ROOT.glob("tests/**/test_*.py")}
    assert holding - visited <= {"tests/outside"}
