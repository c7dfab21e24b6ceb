"""The current on a ramp, worked by hand as a balance of energy in the comment above it."""

from dataclasses import replace
from pathlib import Path

import pytest

from scrubwright.machine.draws import current_a, scrubbing, travelling
from scrubwright.machine.plate import Plate
from scrubwright.paperwork.plates import read_plate


def mid_machine() -> Plate:
    plate = read_plate(Path(__file__).parents[2] / "examples" / "plates" / "mid_cylindrical_080.toml").plate
    assert plate is not None
    return plate


def test_a_ramp_costs_the_height_it_climbs_over_the_efficiency_of_the_drive() -> None:
    # A ramp 3 m high and 60 m long along the floor: slope = 3 / sqrt(60² - 3²) = 0.0500626 rise over run.
    # 705 kg lifted by 3 m: 705 x 9.80665 x 3 = 20,741 J. From the pack at 60 %: 34,568 J.
    # 60 m at 6.5 km/h take 60 x 3.6 / 6.5 = 33.231 s, so 34,568 / 33.231 = 1,040.2 W, at 36 V 28.896 A.
    slope = 3 / (60**2 - 3**2) ** 0.5
    plate = mid_machine()
    level_a = current_a(plate, travelling(plate), 36.0)
    uphill_a = current_a(plate, travelling(plate, slope_fraction=slope), 36.0)
    assert uphill_a - level_a == pytest.approx(28.896, abs=0.001)
    # At half the speed the ramp takes twice as long and half the current more: the height costs the same energy.
    slow = replace(travelling(plate, slope_fraction=slope), speed_m_per_s=6.5 / 3.6 / 2)
    assert current_a(plate, slow, 36.0) - level_a == pytest.approx(28.896 / 2, abs=0.001)


def test_a_ramp_is_scrubbed_uphill_with_all_of_the_machine_running() -> None:
    # Key 1.2 + brushes at "normal" 32 + suction 21 + pump 2 + traction on level 16 = 72.2 A.
    # 5 % slope: sine = 0.05 / sqrt(1 + 0.05²) = 0.0499376. 5 km/h = 1.38889 m/s.
    # 705 x 9.80665 x 0.0499376 x 1.38889 = 479.52 W at the wheel, / 0.6 = 799.20 W, / 36 V = 22.200 A.
    plate = mid_machine()
    assert current_a(plate, scrubbing(plate, slope_fraction=0.05), 36.0) == pytest.approx(94.400, abs=0.001)


def test_downhill_the_slope_takes_over_until_the_motor_only_brakes() -> None:
    # 1 % down at 6.5 km/h (1.80556 m/s): 705 x 9.80665 x 0.0099995 x 1.80556 / 0.6 / 36 = 5.779 A less than 17.2 A.
    plate = mid_machine()
    assert current_a(plate, travelling(plate, slope_fraction=-0.01), 36.0) == pytest.approx(11.421, abs=0.001)
    # 10 % down: 57.5 A less than 16 A of traction is braking, and only the key's 1.2 A are left.
    assert current_a(plate, travelling(plate, slope_fraction=-0.10), 36.0) == pytest.approx(1.2)
