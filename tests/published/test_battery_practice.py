"""Limits and rules of thumb that the battery room and its jobs go by, against where they are printed."""

import csv
import re
from pathlib import Path

import pytest

from scrubwright.battery.charge_left import FULL_1265, FULL_1280
from scrubwright.battery.charge_limits import PAUSE_CHARGE_K
from scrubwright.battery.equalising import READINGS_ALIKE, SPREAD_LIMIT_RATIO
from scrubwright.battery.gravity import HYDROMETER_SD_RATIO
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.peukert import HIGH_EXPONENT_RATIO, LOW_EXPONENT_RATIO
from scrubwright.battery.rested_voltage import REST_H, rested_cell_v
from scrubwright.battery.room_air import AFTER_GAS_H, ALARM_FRACTION, BURNS_FRACTION, SPARK_M
from scrubwright.battery.spill import spill
from scrubwright.battery.watering import USUAL_MARK_M, mark_told
from scrubwright.jobs.charging_answer import Circuit
from scrubwright.jobs.pack_state import PackState
from scrubwright.jobs.pack_steps import steps_for
from scrubwright.measures.units import KELVIN_AT_0_C, METRES_PER_FOOT
from tests.rooms.charging_pairs import pack_of

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_practice.csv").read_text(encoding="utf-8").splitlines()))


def stood(days: int) -> dict[str, float]:
    """The values of the step that asks to charge a pack after it stood; none where no step asks."""
    steps = steps_for(PackState(chemistry=Chemistry.FLOODED, stood_days=days))
    told = next((step.told for step in steps if "has stood" in step.told.template), None)
    return {} if told is None else {name: value for name, value in told.values if isinstance(value, float)}


def minutes_for_eyes() -> float:
    found = re.search(r"for (\d+) minutes", str(spill(1.0).steps[0]))
    assert found is not None
    return float(found[1])


FOUND = {
    "full gravity of the 1.265 table": lambda: FULL_1265.full_ratio,
    "full gravity of the 1.280 table": lambda: FULL_1280.full_ratio,
    "hours of rest before volts are read": lambda: REST_H,
    "gravity that a float hydrometer strays by": lambda: HYDROMETER_SD_RATIO,
    "percent lost in a month by itself at least": lambda: 100 * stood(40)["least_fraction"],
    "percent lost in a month by itself at most": lambda: 100 * stood(40)["most_fraction"],
    "days that a pack may stand": lambda: next(days for days in range(100) if stood(days)),
    "lowest usual exponent of flooded cells": lambda: LOW_EXPONENT_RATIO,
    "highest usual exponent of flooded cells": lambda: HIGH_EXPONENT_RATIO,
    "degrees at which a charge pauses": lambda: PAUSE_CHARGE_K - KELVIN_AT_0_C,
    "readings alike that end a charge": lambda: READINGS_ALIKE,
    "spread that asks for equalising": lambda: SPREAD_LIMIT_RATIO,
    "inches below the vent well": lambda: USUAL_MARK_M / METRES_PER_FOOT * 12,
    "percent of hydrogen that burns in air": lambda: 100 * BURNS_FRACTION,
    "percent of hydrogen at which codes stop": lambda: 100 * ALARM_FRACTION,
    "metres from sparks to vents": lambda: SPARK_M,
    "hours that gas goes on after the charger": lambda: AFTER_GAS_H,
    "share of a breaker for hours": lambda: Circuit(name="One", breaker_a=20.0).limit_a / 20.0,
    "minutes of water for eyes": minutes_for_eyes,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["what"])
def test_a_rule_of_practice_is_the_one_printed(row: dict[str, str]) -> None:
    assert FOUND[row["what"]]() == pytest.approx(float(row["printed"]), abs=float(row["tolerance"]))


def test_the_usual_mark_is_told_in_both_units() -> None:
    # As the watering guides print it.
    assert str(mark_told(pack_of())).startswith("3 mm (1/8 in) below the vent well")


@pytest.mark.parametrize(
    ("gravity", "block_v"),
    # A page for owners of motor homes: a rested 12 V block of 1.265 stands at 12.66 V, of 1.225 (75 %) at 12.45 V; its
    # numbers are six times the gravity and 0.845 (0.845: from memory).
    [(1.265, 12.66), (1.225, 12.45)],
)
def test_a_rested_block_stands_at_the_volts_of_a_second_source(gravity: float, block_v: float) -> None:
    assert 6 * rested_cell_v(gravity) == pytest.approx(block_v, abs=0.03)
