"""Temperature correction and charge left against printed tables and worked examples."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.charge_left import FULL_1265, FULL_1280, charge_left_fraction
from scrubwright.battery.gravity import (
    SLOPE_PER_K,
    corrected_gravity_ratio,
    density_of_gravity_kg_per_l,
    gravity_of_density_ratio,
)

HERE = Path(__file__).parent
CORRECTIONS = list(csv.DictReader((HERE / "battery_gravity.csv").read_text(encoding="utf-8").splitlines()))
CHARGES = list(csv.DictReader((HERE / "battery_charge_left.csv").read_text(encoding="utf-8").splitlines()))
FAMILIES = {"1.265": FULL_1265, "1.280": FULL_1280}


def kelvin(value: str, degrees: str) -> float:
    return float(value) + 273.15 if degrees == "C" else (float(value) + 459.67) / 1.8


@pytest.mark.parametrize(
    "row", CORRECTIONS, ids=lambda row: f"{row['reading']} {row['unit']} at {row['temperature']} {row['degrees']}"
)
def test_a_reading_is_corrected_as_printed(row: dict[str, str]) -> None:
    reading = float(row["reading"])
    is_density = row["unit"] == "kg/L"
    corrected = corrected_gravity_ratio(
        gravity_of_density_ratio(reading) if is_density else reading,
        kelvin(row["temperature"], row["degrees"]),
        kelvin(row["reference"], row["degrees"]),
    )
    shown = density_of_gravity_kg_per_l(corrected) if is_density else corrected
    assert shown == pytest.approx(float(row["printed"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    "printed_per_k",
    [
        # Workshop manuals of four car makers: S20 = St + 0.0007 (t - 20), d25 = dt + 0.0007 (t - 25).
        0.0007,
        # A traction battery leaflet: 0.007 kg/L for each 10 °C.
        0.007 / 10,
        # Trade table: 0.004 for each 10 °F, so 0.004 x 1.8 / 10.
        0.004 * 1.8 / 10,
    ],
)
def test_the_slope_is_the_one_that_handbooks_print(printed_per_k: float) -> None:
    assert pytest.approx(printed_per_k, abs=0.00003) == SLOPE_PER_K


@pytest.mark.parametrize("row", CHARGES, ids=lambda row: f"{row['family']} family at {row['gravity']}")
def test_charge_left_is_the_one_printed(row: dict[str, str]) -> None:
    charge = charge_left_fraction(FAMILIES[row["family"]], float(row["gravity"]))
    assert 100 * charge == pytest.approx(float(row["percent"]), abs=0.5)


@pytest.mark.parametrize(
    ("charge", "low", "high"),
    # A battery maker's support page, specific gravity at 25 °C for 1.265 when full, bands.
    [(1.0, 1.255, 1.275), (0.75, 1.215, 1.235), (0.5, 1.180, 1.200), (0.25, 1.155, 1.165), (0.0, 1.110, 1.130)],
)
def test_a_second_source_prints_bands_around_the_same_gravities(charge: float, low: float, high: float) -> None:
    gravity = next(point.gravity_ratio for point in FULL_1265.points if point.charge_fraction == charge)
    assert low <= gravity <= high
