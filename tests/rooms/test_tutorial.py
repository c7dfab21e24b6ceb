"""The tutorials do what they say: their commands run, and what they show is what comes out."""

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest

from scrubwright.cli.main import main

ROOT = Path(__file__).parents[2]
TUTORIALS = ROOT / "docs" / "tutorials"
FENCE = re.compile(r"^```(?:console|\w+ title=\"([\w.]+)(, more rows)?\")\n(.*?)^```", re.DOTALL | re.MULTILINE)
NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
# How far a number may stray from the page, as a share of itself: a plan may come out a little shorter tomorrow. On
# every other page it may not.
STRAYS = {"tonights-floor.md": 0.15}
# Counts that stray may do so by this much where the share is less.
STRAYS_LEAST = 2.0
# The program's own words for a paper that must be mended first, which is no complaint about the line.
REFUSED, REFUSED_CODE = "cannot be used yet", 2


def sessions(block: str) -> list[tuple[str, str]]:
    """Each command of a block with what the page shows below."""
    found: list[tuple[str, str]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line.removeprefix("$ "), ""))
        else:
            found[-1] = (found[-1][0], found[-1][1] + line + "\n")
    return found


def is_like(shown: str, said: str, strays: float) -> bool:
    """Whether two words are the same, and the numbers in them near each other."""
    if shown == said:
        return True
    if not strays or NUMBER.sub("#", shown) != NUMBER.sub("#", said):
        return False
    pairs = zip(NUMBER.findall(shown), NUMBER.findall(said), strict=True)
    return all(_near(float(a.replace(",", "")), float(b.replace(",", "")), strays) for a, b in pairs)


def _near(first: float, second: float, strays: float) -> bool:
    return abs(first - second) <= max(STRAYS_LEAST, strays * max(first, second))


def not_said(shown: str, said: str, strays: float) -> list[str]:
    """The passages shown that do not come out, in their order; "..." on a line stands for anything.

    Line ends do not count: another number may wrap a sentence elsewhere.
    """
    missing, rest = [], said.split()
    for passage in re.split(r"^ *\.\.\.$", shown, flags=re.MULTILINE):
        words = passage.split()
        places = range(len(rest) - len(words) + 1)
        alike = (n for n in places if all(is_like(a, b, strays) for a, b in zip(words, rest[n:], strict=False)))
        place = next(alike, None)
        if place is None:
            missing.append(passage.strip())
        else:
            rest = rest[place + len(words) :]
    return missing


Typed = Callable[[list[str]], tuple[int, str, str]]


@pytest.fixture
def typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Typed:
    """Runs a line in a folder that holds the examples: its exit code, what it says, and what it complains of."""
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    for name in ("LC_ALL", "LC_MESSAGES", "SCRUBWRIGHT_LANGUAGE", "SCRUBWRIGHT_UNITS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LANG", "C.UTF-8")

    def run(line: list[str]) -> tuple[int, str, str]:
        code = main(line)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def check_session(command: str, shown: str, typed: Typed, strays: float) -> None:
    """Type a command, and compare what it says with what the page shows."""
    program, *line = shlex.split(command)
    assert program == "scrubwright"
    code, said, complaint = typed(line)
    assert (command, code, complaint) == (command, REFUSED_CODE if REFUSED in shown else 0, "")
    assert (command, not_said(shown, said, strays)) == (command, [])


@pytest.mark.parametrize("name", sorted(page.name for page in TUTORIALS.glob("*.md")))
def test_every_command_of_a_tutorial_says_what_the_page_shows(name: str, tmp_path: Path, typed: Typed) -> None:
    commands = 0
    for file, more, block in FENCE.findall((TUTORIALS / name).read_text(encoding="utf-8")):
        if file:
            with (tmp_path / file).open("a" if more else "w", encoding="utf-8") as paper:
                paper.write(block)
            continue
        for command, shown in sessions(block):
            check_session(command, shown, typed, STRAYS.get(name, 0.0))
            commands += 1
    assert commands >= 5


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
    assert not_said(shown, said, strays=0.15) == missing


def test_where_nothing_may_stray_a_thousandth_is_caught() -> None:
    assert not_said("cell 7: 1.240", "cell 7: 1.240", strays=0.0) == []
    assert not_said("cell 7: 1.240", "cell 7: 1.241", strays=0.0) == ["cell 7: 1.240"]
