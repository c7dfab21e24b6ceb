"""Charging files for tests, and what comes of them."""

from datetime import date, datetime
from pathlib import Path

from scrubwright.jobs.charging_answer import ChargingNight
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.charging_reading import ChargingReading, charging_of_text

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "examples" / "charging"
HALL = (FOLDER / "market_hall_night.toml").read_text(encoding="utf-8")
NOW = datetime(2026, 3, 10, 17, 0)
TWO = """
home = "22:00"
ready_by = "06:00"

[[machine]]
name = "Wide"
mains_a = 9
charge_h = 5

[[machine]]
name = "Narrow"
mains_a = 6
charge_h = 3
chemistry = "AGM"

[[circuit]]
name = "Panel, 4"
breaker_a = 16
"""


def read(text: str, *, now: datetime = NOW, day: date | None = None) -> ChargingReading:
    return charging_of_text(text, "tonight.toml", folder=FOLDER, now=now, day=day)


def changed(text: str, *changes: tuple[str, str]) -> ChargingReading:
    """A charging file with some lines changed."""
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return read(text)


def told(sentences: tuple[Sentence, ...]) -> list[str]:
    return [str(sentence) for sentence in sentences]


def night_in(reading: ChargingReading) -> ChargingNight:
    assert (told(reading.wrong), told(reading.missing)) == ([], [])
    assert reading.night is not None
    return reading.night


def problem_in(reading: ChargingReading) -> str:
    """The only problem of a file."""
    assert reading.night is None
    (only,) = told(reading.wrong + reading.missing)
    return only


def asked(reading: ChargingReading) -> list[str]:
    """The keys that a file lacks, and nothing is wrong with the others."""
    assert reading.night is None
    assert told(reading.wrong) == []
    return [each.partition(" is missing")[0] for each in told(reading.missing)]
