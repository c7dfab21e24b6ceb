"""The first tutorial does what it says: its commands run, and what it shows is what comes out."""

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TUTORIAL = ROOT / "docs" / "tutorials" / "tonights-floor.md"
NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
# A plan may come out a little shorter tomorrow than the tutorial shows today.
NEAR = 0.15


def sessions(text: str) -> list[tuple[str, str]]:
    """Each command of the tutorial with what it shows below."""
    found: list[tuple[str, str]] = []
    for block in re.findall(r"```console\n(.*?)```", text, re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line.removeprefix("$ "), ""))
            else:
                found[-1] = (found[-1][0], found[-1][1] + line + "\n")
    return found


def is_like(shown: str, said: str) -> bool:
    """Whether two words are the same, and the numbers in them near each other."""
    if NUMBER.sub("#", shown) != NUMBER.sub("#", said):
        return False
    pairs = zip(NUMBER.findall(shown), NUMBER.findall(said), strict=True)
    return all(_near(float(a.replace(",", "")), float(b.replace(",", ""))) for a, b in pairs)


def _near(first: float, second: float) -> bool:
    return abs(first - second) <= max(2.0, NEAR * max(first, second))


def not_said(shown: str, said: str) -> list[str]:
    """The passages shown that do not come out, in their order; "..." on a line stands for anything.

    Line ends do not count: another number may wrap a sentence elsewhere.
    """
    missing, rest = [], said.split()
    for passage in re.split(r"^ *\.\.\.$", shown, flags=re.MULTILINE):
        words = passage.split()
        places = (n for n in range(len(rest) - len(words) + 1) if all(map(is_like, words, rest[n:])))
        place = next(places, None)
        if place is None:
            missing.append(passage.strip())
        else:
            rest = rest[place + len(words) :]
    return missing


def test_every_command_of_the_tutorial_says_what_it_shows(tmp_path: Path) -> None:
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    environment = {"PATH": os.environ["PATH"], "LANG": "C.UTF-8"}
    steps = sessions(TUTORIAL.read_text(encoding="utf-8"))
    assert len(steps) >= 5
    for command, shown in steps:
        program, *line = shlex.split(command)
        assert program == "scrubwright"
        done = subprocess.run(
            [sys.executable, "-m", "scrubwright.cli.main", *line],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert (command, done.returncode, done.stderr) == (command, 0, "")
        assert (command, not_said(shown, done.stdout)) == (command, [])


@pytest.mark.parametrize(
    ("shown", "said", "missing"),
    [
        ("it takes 1 h 32 min", "it takes 1 h\n33 min", []),
        ("it takes 90 min", "it takes 60 min", ["it takes 90 min"]),
        ("1,863 m² in all", "so 1,900 m² in all.. and in all 1,900 m² in all", []),
        ("two stops", "three stops", ["two stops"]),
        ("a 1\n...\nc 900", "a 1 b c 2", ["c 900"]),
        ("b\n...\na", "a b", ["a"]),
    ],
)
def test_what_does_not_come_out_is_caught(shown: str, said: str, missing: list[str]) -> None:
    assert not_said(shown, said) == missing
