import re

import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UNITS, UnitSystem, shown, unit_of


@pytest.mark.parametrize(
    ("name", "suffix"),
    [
        ("gap_m", "m"),
        ("speed_m_per_s", "m_per_s"),
        ("dose_l_per_m2", "l_per_m2"),
        ("turn_rad_per_s", "rad_per_s"),
        ("area_m2", "m2"),
        ("charge_ah", "ah"),
        ("m", "m"),
    ],
)
def test_the_longest_suffix_names_the_unit(name: str, suffix: str) -> None:
    unit = unit_of(name)
    assert unit is not None
    assert unit.suffix == suffix


@pytest.mark.parametrize("name", ["speed", "m_per", "team", "gap_mm", "", "_"])
def test_a_name_without_a_known_suffix_has_no_unit(name: str) -> None:
    assert unit_of(name) is None


def test_no_suffix_stands_twice_in_the_table() -> None:
    suffixes = [unit.suffix for unit in UNITS]
    assert sorted(set(suffixes)) == sorted(suffixes)


def test_every_suffix_can_end_a_python_name() -> None:
    assert all(re.fullmatch(r"[a-z][a-z0-9_]*", unit.suffix) for unit in UNITS)


@pytest.mark.parametrize(
    ("name", "value", "si", "us"),
    [
        ("gap_m", 0.88, "0.88 m", "2.9 ft"),
        ("floor_m2", 9000.0, "9,000 m²", "96,875 ft²"),
        ("tank_l", 190.0, "190 L", "50 gal"),
        ("mass_kg", 600.0, "600 kg", "1,323 lb"),
        ("speed_m_per_s", 1.25, "4.5 km/h", "2.8 mph"),
        ("film_l_per_m2", 0.065, "65 mL/m²", "1.60 gal/1000 ft²"),
        ("flow_l_per_min", 3.8, "3.8 L/min", "1.00 gpm"),
        ("tyre_pa", 200_000.0, "200 kPa", "29.0 psi"),
        ("coverage_fraction", 0.9934, "99.3 %", "99.3 %"),
        ("turn_rad", 3.141592653589793, "180°", "180°"),
        ("length_bound_ratio", 1.1234, "1.123", "1.123"),
        ("drawing_bytes", 104_857_600.0, "104.9 MB", "104.9 MB"),
    ],
)
def test_a_number_is_shown_as_people_write_it(name: str, value: float, si: str, us: str) -> None:
    assert shown(name, value) == si
    assert shown(name, value, UnitSystem.US) == us


def test_a_number_without_a_unit_is_refused_by_name() -> None:
    with pytest.raises(BadInput, match="speed names no unit; end it in one of the units table"):
        shown("speed", 1.0)
