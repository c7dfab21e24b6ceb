"""Noise of hydrometer readings, slopes and block limits against printed numbers."""

import csv
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from scrubwright.battery.block_volts import block_limit_v
from scrubwright.battery.cell_drift import theil_sen_per_visit
from scrubwright.battery.cells import SpreadLimits
from scrubwright.battery.noise import expected_range_ratio, range_chance_fraction, range_limit_ratio
from scrubwright.jobs.pack_steps import REPLACE_BELOW_FRACTION, TEST_BELOW_FRACTION

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_cell_range.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row['quantity']} {row['cells']} {row['chance']} {row['printed']}"
)
def test_the_range_of_normal_readings_is_as_printed(row: dict[str, str]) -> None:
    cells, printed = int(row["cells"]), Decimal(row["printed"])
    # Half of the last digit and a fiftieth: a source's own quadrature prints the true 3.734950 of 20 cells as 3.7349.
    half_digit = 0.51 * 10.0 ** int(printed.as_tuple().exponent)
    if row["quantity"] == "mean":
        assert expected_range_ratio(cells, 1.0) == pytest.approx(float(printed), abs=half_digit)
    else:
        chance = float(row["chance"])
        assert range_limit_ratio(cells, 1.0, chance) == pytest.approx(float(printed), abs=half_digit)
        assert range_chance_fraction(float(printed), cells, 1.0) == pytest.approx(chance, abs=0.001)


def test_a_slope_with_one_wild_reading_is_as_printed() -> None:
    # P. Sprent and N. C. Smeeton, Applied Nonparametric Statistical Methods, example 11.4, as printed in the tests of
    # the R package ANSM5: limits 0 to 6 and times 2.5 to 11.1 give a slope of 0.56666667.
    times = np.array([2.5, 3.1, 3.4, 4.0, 4.6, 5.1, 11.1])
    assert theil_sen_per_visit(np.arange(7), times) == pytest.approx(0.56666667, abs=5e-9)


def test_a_slope_over_seventeen_readings_is_as_printed() -> None:
    # The same, example 11.5: lengths at ages of 4 to 20 give a slope of 2.6458333.
    lengths = np.array([40, 45, 51, 55, 60, 67, 68, 65, 71, 74, 76, 76, 78, 83, 82, 85, 89], dtype=np.float64)
    assert theil_sen_per_visit(np.arange(4, 21), lengths) == pytest.approx(2.6458333, abs=5e-8)


@pytest.mark.parametrize(
    ("cells", "printed_v"),
    # A maker's answers to frequent questions about deep-cycle batteries: after a full charge and an hour at rest a
    # problem is indicated if the spread exceeds .15 volts for a 6-volt battery, or .22 volts for a 12-volt battery.
    [(3, 0.15), (6, 0.22)],
)
def test_block_limits_at_rest_are_as_printed(cells: int, printed_v: float) -> None:
    assert block_limit_v(cells) == pytest.approx(printed_v, abs=0.005)


def test_the_block_limit_under_load_is_the_one_remembered() -> None:
    # From memory, common practice: more than 0.1 V between 6 V blocks under load is to be looked at.
    assert block_limit_v(3, under_load=True) == pytest.approx(0.1, abs=0.005)


def test_spread_limits_are_those_of_handbooks() -> None:
    # 0.030: a maker's user guide of deep-cycle batteries, 7.3: more than 0.030 between cells, equalise the set.
    # 0.050: a trade school's training pages on battery service: condemned if cells differ by more than 0.050; and a
    # forklift trade's page on sulfated batteries: 50 points (.050) or more after treatment, have it analysed.
    limits = SpreadLimits()
    assert (limits.equalise_ratio, limits.ask_ratio) == (0.030, 0.050)


def test_health_limits_are_those_of_the_handbook() -> None:
    # US Bureau of Reclamation, FIST 3-6, Storage battery maintenance, 1997: test each year below 90 percent of the
    # rating, replace as soon as possible below 80 percent.
    assert (REPLACE_BELOW_FRACTION, TEST_BELOW_FRACTION) == (0.80, 0.90)
