"""Rows of figures kept in a CSV file beside the code, each with the commit that it was measured at."""

import csv
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def commit() -> str:
    """The short id of the commit that is checked out, with a + where files differ from it."""
    found = _git("rev-parse", "--short", "HEAD")
    changed = _git("status", "--porcelain", "--untracked-files=no", "--", "src", "benchmarks/floors.py")
    return found + ("+" if changed else "")


def _git(*words: str) -> str:
    return subprocess.run(["git", *words], cwd=ROOT, check=True, capture_output=True, text=True).stdout.strip()


def keep(path: Path, rows: Sequence[Mapping[str, object]], *, key: Sequence[str]) -> None:
    """Add rows to a CSV file; a row with the same `key` values is replaced."""
    old: list[dict[str, str]] = []
    if path.exists():
        with path.open(newline="", encoding="utf-8") as file:
            old = list(csv.DictReader(file))
    said = [{name: _said(value) for name, value in row.items()} for row in rows]
    fresh = {tuple(row[name] for name in key) for row in said}
    kept = [row for row in old if tuple(row.get(name, "") for name in key) not in fresh]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, fieldnames=list(said[0]), extrasaction="ignore", restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows([*kept, *said])


def _said(value: object) -> str:
    return f"{value:.5g}" if isinstance(value, float) and abs(value) < 1000 else str(_rounded(value))


def _rounded(value: object) -> object:
    return round(value, 1) if isinstance(value, float) else value
