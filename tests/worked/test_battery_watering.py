"""Water of a charge, and how many charges a reserve lasts, worked by hand in the steps column."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.watering import (
    charge_factor_by_water_ratio,
    water_per_charge,
    watering_interval_cycles,
)
from scrubwright.measures.constants import WATER_KG_PER_L
from tests.rooms.charging_pairs import pack_of

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_watering.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['depth']} at {row['factor']}")
def test_a_charge_splits_the_water_worked_by_hand(row: dict[str, str]) -> None:
    out_ah = float(row["capacity_ah"]) * float(row["depth"])
    use = water_per_charge(pack_of(cells=int(row["cells"])), out_ah, float(row["factor"]))
    split_l = use.split_cell_kg / WATER_KG_PER_L
    assert 1000 * use.split_cell_kg == pytest.approx(float(row["cell_g"]), abs=0.001)
    assert use.cells * split_l == pytest.approx(float(row["pack_l"]), abs=0.00005)
    assert watering_interval_cycles(float(row["reserve_ml"]) / 1000, split_l) == int(row["charges"])


def test_what_dries_off_is_a_tenth_to_a_fifth_more() -> None:
    # From memory: 10 to 20 %, 15 in the middle. 0.1229 l x 1.10 = 0.1352, x 1.15 = 0.1413, x 1.20 = 0.1475.
    told = water_per_charge(pack_of(), 135.0, 1.15).figure
    assert (told.low, told.value, told.high) == pytest.approx((0.1352, 0.1413, 0.1475), abs=0.0001)


def test_the_charge_factor_comes_from_the_litres_put_in() -> None:
    # 30 shifts of 135 Ah, 18 cells, 4.25 l: 4.25 x 0.99705 / 1.15 = 3.6848 kg split; 0.33609 g x 18 x 4050 = 24.501 kg
    # if all of it were overcharge; 1 + 3.6848/24.501 = 1.1504.
    assert charge_factor_by_water_ratio(4.25, 18, 30 * 135.0) == pytest.approx(1.1504, abs=0.0001)
