"""Drying floors: an ordinary night, air that takes nothing, and what is refused."""

import pytest

from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.water.drying import drying_s, evaporated_l_per_m2, film_l_per_m2, vapour_pressure_pa

AIR_K = 293.15


def test_a_good_blade_leaves_a_floor_that_is_dry_in_minutes() -> None:
    low_s, middle_s, high_s = drying_s(0.010, AIR_K, 0.5, 0.1)
    assert 3 * 60 < low_s < middle_s < high_s < 8 * 60


def test_no_water_is_dry_at_once() -> None:
    assert drying_s(0.0, AIR_K, 0.5, 0.1) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("humidity_fraction", [1.0, 0.9999])
def test_air_that_is_full_of_water_dries_no_floor(humidity_fraction: float) -> None:
    with pytest.raises(NoAnswer) as refused:
        drying_s(0.010, AIR_K, humidity_fraction, 0.1)
    assert str(refused.value) == (
        "At 20.0 °C and 100.0 % humidity the air takes up next to no water, so 10 mL/m² may still be wet after a day. "
        "Warm the room or let drier air in, measure again, and enter the new humidity."
    )


def test_a_puddle_that_lasts_past_a_day_has_no_answer() -> None:
    # 1 L/m² at 80 %: a hundred times 10 g, which take 9 to 18 min: 15 to 30 h.
    with pytest.raises(NoAnswer, match="may still be wet after a day"):
        drying_s(1.0, AIR_K, 0.8, 0.1)


@pytest.mark.parametrize("air_k", [20.0, 272.0, 324.0, float("nan")])
def test_air_that_no_thermometer_shows_indoors_is_refused(air_k: float) -> None:
    with pytest.raises(OutOfRange, match="enter what a thermometer shows indoors"):
        vapour_pressure_pa(air_k)
    with pytest.raises(OutOfRange):
        drying_s(0.010, air_k, 0.5, 0.1)


@pytest.mark.parametrize("humidity_fraction", [50.0, -0.1, 1.01, float("nan")])
def test_a_humidity_in_percent_is_refused(humidity_fraction: float) -> None:
    with pytest.raises(BadInput, match="enter a share from 0 to 1"):
        drying_s(0.010, AIR_K, humidity_fraction, 0.1)


@pytest.mark.parametrize("speed_m_per_s", [-0.1, 10.0, float("nan")])
def test_wind_outside_is_out_of_range(speed_m_per_s: float) -> None:
    with pytest.raises(OutOfRange, match=r"0\.1 being still air"):
        drying_s(0.010, AIR_K, 0.5, speed_m_per_s)


@pytest.mark.parametrize("film", [-0.01, float("nan"), float("inf")])
def test_a_film_below_zero_is_refused(film: float) -> None:
    with pytest.raises(BadInput):
        drying_s(film, AIR_K, 0.5, 0.1)


def test_time_and_activity_are_checked() -> None:
    with pytest.raises(BadInput):
        evaporated_l_per_m2(-1.0, AIR_K, 0.5, 0.1)
    with pytest.raises(BadInput, match="enter above 0 and at most 1"):
        evaporated_l_per_m2(60.0, AIR_K, 0.5, 0.1, 0.0)


@pytest.mark.parametrize(("dose", "recovered"), [(-0.01, 0.9), (0.04, 1.2), (0.04, float("nan"))])
def test_a_film_needs_a_dose_and_a_share(dose: float, recovered: float) -> None:
    with pytest.raises(BadInput):
        film_l_per_m2(dose, recovered)
