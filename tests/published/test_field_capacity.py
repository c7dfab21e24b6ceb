"""Effective rates against printed field capacities: a mower, a spreader and a scrubber share the same sum."""

import csv
from pathlib import Path

import pytest

from scrubwright.machine.rates import effective_rate_m2_per_h, field_capacity_ha_per_h
from scrubwright.measures.units import METRES_PER_FOOT, METRES_PER_MILE

# International acre: 43,560 square feet.
SQUARE_METRES_PER_ACRE = 43_560 * METRES_PER_FOOT**2
ROWS = list(csv.DictReader((Path(__file__).parent / "field_capacity.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['machine']} {row['width_ft']} ft {row['speed_mph']} mph")
def test_effective_rate_agrees_with_the_printed_field_capacity(row: dict[str, str]) -> None:
    rate_m2_per_h = effective_rate_m2_per_h(
        float(row["width_ft"]) * METRES_PER_FOOT,
        float(row["speed_mph"]) * METRES_PER_MILE / 3600,
        overlap_m=0.0,
        efficiency_fraction=float(row["efficiency_percent"]) / 100,
    )
    printed = float(row["capacity_acre_per_h"])
    assert rate_m2_per_h / SQUARE_METRES_PER_ACRE == pytest.approx(printed, abs=0.05)


def test_field_capacity_follows_the_form_of_the_standard() -> None:
    # ANSI/ASAE D497.4, Agricultural Machinery Management Data: C = s w Ef / 10 with s in km/h and w in m.
    # 5 km/h, 0.80 m, 0.75: C = 5 x 0.80 x 0.75 / 10 = 0.3 ha/h.
    assert field_capacity_ha_per_h(0.80, 5 / 3.6, efficiency_fraction=0.75) == pytest.approx(0.3, abs=1e-9)
