"""More water, damper or colder air, stiller air: never sooner dry; and water neither comes from nor goes to nowhere."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.water.drying import drying_s, evaporated_l_per_m2, film_l_per_m2, vapour_pressure_pa

films = st.floats(0.0005, 0.1)
air = st.floats(283.15, 318.15)
humidities = st.floats(0.0, 0.9)
speeds = st.floats(0.0, 3.0)
doses = st.floats(0.0, 0.3)
shares = st.floats(0.0, 1.0)
pairs = st.tuples


@given(films, air, humidities, speeds)
def test_the_band_is_in_order_and_twice_as_wide_as_it_is_short(
    film: float, air_k: float, humidity: float, speed: float
) -> None:
    low, middle, high = drying_s(film, air_k, humidity, speed)
    assert 0 < low < middle < high == pytest.approx(2 * low)


@given(pairs(films, films), air, humidities, speeds)
def test_more_water_takes_longer_in_proportion(
    two: tuple[float, float], air_k: float, humidity: float, speed: float
) -> None:
    one, other = (drying_s(film, air_k, humidity, speed)[1] for film in two)
    assert one * two[1] == pytest.approx(other * two[0])


@given(films, air, pairs(humidities, humidities), speeds)
def test_damper_air_never_dries_sooner(film: float, air_k: float, two: tuple[float, float], speed: float) -> None:
    dry, damp = (drying_s(film, air_k, humidity, speed) for humidity in sorted(two))
    assert all(sooner <= later for sooner, later in zip(dry, damp, strict=True))


@given(films, air, humidities, pairs(speeds, speeds))
def test_more_wind_never_dries_later(film: float, air_k: float, humidity: float, two: tuple[float, float]) -> None:
    still, windy = (drying_s(film, air_k, humidity, speed) for speed in sorted(two))
    assert all(sooner <= later for sooner, later in zip(windy, still, strict=True))


@given(films, pairs(air, air), humidities, speeds)
def test_warmer_air_of_one_humidity_never_dries_later(
    film: float, two: tuple[float, float], humidity: float, speed: float
) -> None:
    cold, warm = (drying_s(film, air_k, humidity, speed) for air_k in sorted(two))
    assert all(sooner <= later for sooner, later in zip(warm, cold, strict=True))


@given(films, air, humidities, speeds)
def test_the_air_takes_up_the_film_in_just_the_time_it_dries(
    film: float, air_k: float, humidity: float, speed: float
) -> None:
    for activity, each_s in zip((1.0, 0.5**0.5, 0.5), drying_s(film, air_k, humidity, speed), strict=True):
        assert evaporated_l_per_m2(each_s, air_k, humidity, speed, activity) == pytest.approx(film)


@given(air, speeds)
def test_full_air_takes_up_nothing(air_k: float, speed: float) -> None:
    assert evaporated_l_per_m2(3600, air_k, 1.0, speed) == 0


@given(pairs(air, air))
def test_warmer_air_holds_more(two: tuple[float, float]) -> None:
    cold, warm = (vapour_pressure_pa(air_k) for air_k in sorted(two))
    assert cold <= warm


@given(doses, pairs(shares, shares))
def test_a_worse_blade_never_leaves_less_nor_more_than_was_laid(dose: float, two: tuple[float, float]) -> None:
    worse, better = (film_l_per_m2(dose, recovered) for recovered in sorted(two))
    assert 0 <= better <= worse <= dose


@given(pairs(doses, doses), shares)
def test_a_larger_dose_never_leaves_less(two: tuple[float, float], recovered: float) -> None:
    small, large = (film_l_per_m2(dose, recovered) for dose in sorted(two))
    assert small <= large


@given(doses, shares)
def test_no_less_is_left_than_the_litres_say(dose: float, recovered: float) -> None:
    assert film_l_per_m2(dose, recovered) >= dose * (1 - recovered)
