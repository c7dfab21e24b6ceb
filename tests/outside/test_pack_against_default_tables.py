"""Capacity by temperature and life by depth against the lead-acid tables that NREL-PySAM carries."""

import numpy as np
import pytest
from PySAM import BatteryStateful

from scrubwright.battery.ageing import END_FRACTION, TABLE_LIFE, life_cycles
from scrubwright.battery.temperature import capacity_fraction
from scrubwright.measures.units import KELVIN_AT_0_C

DEFAULTS = BatteryStateful.default("LeadAcid")
BY_TEMPERATURE = np.array(DEFAULTS.ParamsPack.cap_vs_temp)
# Depth [%], discharges, capacity left [%].
FADING = np.array(DEFAULTS.ParamsCell.cycling_matrix)


def test_capacity_by_temperature_lies_within_two_and_a_half_hundredths() -> None:
    celsius, percent = BY_TEMPERATURE[(BY_TEMPERATURE[:, 0] > -4) & (BY_TEMPERATURE[:, 0] < 40)].T
    assert len(celsius) >= 9
    assert capacity_fraction(celsius + KELVIN_AT_0_C) == pytest.approx(percent / 100, abs=0.025)


def test_the_life_table_holds_every_depth_of_the_programs() -> None:
    assert {point.depth_fraction * 100 for point in TABLE_LIFE} == set(FADING[:, 0])


@pytest.mark.parametrize("depth_percent", sorted(set(FADING[:, 0])))
def test_life_is_where_the_fading_capacity_meets_eighty_per_cent(depth_percent: float) -> None:
    _, discharges, left_percent = FADING[FADING[:, 0] == depth_percent].T
    # Capacity rises at first, so only what follows its highest point is read backwards.
    highest = int(np.argmax(left_percent))
    ends_at = np.interp(END_FRACTION * 100, left_percent[highest:][::-1], discharges[highest:][::-1])
    assert life_cycles(depth_percent / 100) == pytest.approx(float(ends_at), abs=0.1)
