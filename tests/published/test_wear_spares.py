"""Pieces to hold against standard tables and a printed lesson."""

import csv
from pathlib import Path

import pytest

from scrubwright.wear.spares import steady_demand

ROWS = list(csv.DictReader((Path(__file__).parent / "wear_poisson.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"mean {row['mean']} pieces {row['pieces']}")
def test_the_share_served_is_the_printed_one(row: dict[str, str]) -> None:
    demand = steady_demand(float(row["mean"]) / 100, 100.0)
    assert demand.served_fraction(int(row["pieces"])) == pytest.approx(float(row["printed"]), abs=5e-5)


# University of Southampton, teaching set on spares (edshare 6210): a mean of 104 and a level of 95 % ask for 121, by
# the normal law 104 + 1.645 x sqrt(104) = 120.8.
def test_a_mean_of_104_asks_for_121_pieces() -> None:
    assert steady_demand(104 / 1000, 1000.0).stock_for(0.95) == 121
