"""How long films take to dry, each worked by hand in the comment above it."""

import math

import pytest

from scrubwright.water.drying import drying_s, evaporated_l_per_m2, film_l_per_m2, vapour_pressure_pa
from scrubwright.water.flow import dose_l_per_m2

GRAM_L = 0.001


def minutes(film_g_per_m2: float, celsius: float, humidity_fraction: float) -> list[float]:
    return [each_s / 60 for each_s in drying_s(film_g_per_m2 * GRAM_L, celsius + 273.15, humidity_fraction, 0.1)]


def test_air_of_20_degrees_and_50_percent_takes_up_2_76_grams_a_minute() -> None:
    # Magnus' form with 17.62 and 243.12 °C: 0.6112 exp(17.62 x 20 / 263.12) = 2.3326 kPa, half of it missing:
    # 1.1663 kPa. (0.089 + 0.0782 x 0.1) x 1.1663 / 2,453 kJ/kg = 4.6034e-5 kg/(m² s) = 2.762 g/(m² min).
    # Steam tables stand 0.3 % above that form of Magnus.
    assert evaporated_l_per_m2(60, 293.15, 0.5, 0.1) / GRAM_L == pytest.approx(2.762, rel=0.004)


@pytest.mark.parametrize(
    ("film_g_per_m2", "celsius", "humidity_fraction", "low_min", "high_min"),
    [
        # 10 g / 2.762 g a minute = 3.62 min, twice that at half the activity.
        (10, 20, 0.5, 3.62, 7.24),
        # Five times the film, five times as long.
        (50, 20, 0.5, 18.1, 36.2),
        # 20 % missing instead of 50 %: 2.5 times as long.
        (10, 20, 0.8, 9.05, 18.1),
        # 15 °C: 0.6112 exp(17.62 x 15 / 258.12) = 1.7017 kPa, 40 % missing: 0.6807 kPa; Y = 2,466 kJ/kg.
        # 0.09682 x 0.6807 / 2,466 x 60,000 = 1.6036 g/(m² min): 10 g in 6.24 min.
        (10, 15, 0.6, 6.24, 12.5),
    ],
)
def test_a_film_dries_in_the_minutes_worked_by_hand(
    film_g_per_m2: float, celsius: float, humidity_fraction: float, low_min: float, high_min: float
) -> None:
    low, middle, high = minutes(film_g_per_m2, celsius, humidity_fraction)
    assert low == pytest.approx(low_min, rel=0.006)
    assert high == pytest.approx(high_min, rel=0.006)
    # Half way in ratio: the middle is as many times the low end as the high end is the middle.
    assert middle**2 == pytest.approx(low * high)


def test_a_film_of_a_night_is_what_the_litres_leave_or_what_a_blade_leaves() -> None:
    # 2.4 L/min at 3,600 m²/h lay 40 mL/m². 92 % back would leave 3.2 mL, but a good blade leaves 10 g on a flat floor.
    dose = dose_l_per_m2(2.4, 3600.0)
    assert dose == pytest.approx(0.040)
    assert film_l_per_m2(dose, 0.92) == pytest.approx(0.010)
    # 82.5 % back lies half way between good (0.85, 10 g) and worn (0.80, 25 g): 17.5 g, more than the 7 mL of litres.
    assert film_l_per_m2(dose, 0.825) == pytest.approx(0.0175)
    # A heavy dose of 150 mL with 80 % back leaves 30 mL, more than the worn blade's 25 g.
    assert film_l_per_m2(0.150, 0.80) == pytest.approx(0.030)
    # Squeegee up, all of it stays.
    assert film_l_per_m2(dose, 0.0) == pytest.approx(0.040)
    # 8 mL cannot leave 10.
    assert film_l_per_m2(0.008, 0.92) == pytest.approx(0.008)


def test_a_concrete_floor_cools_little_while_a_film_dries() -> None:
    # The heat comes out of the floor: 2.768 g/(m² min) x 2,454 kJ/kg / 60 = 113.2 W/m². A thick floor that gives a
    # steady heat q cools by 2 q sqrt(t / pi) / e; concrete of 1.7 W/(m K), 2,300 kg/m³ and 880 J/(kg K) has
    # e = sqrt(1.7 x 2,300 x 880) = 1,855 W sqrt(s)/(m² K). In the 307 s that 10 g take in the middle of the band that
    # is 2 x 113.2 x 9.886 / 1,855 = 1.21 degrees at most.
    taken_w_per_m2 = evaporated_l_per_m2(1, 293.15, 0.5, 0.1) * 2454e3
    cooled = 2 * taken_w_per_m2 * (minutes(10, 20, 0.5)[1] * 60 / math.pi) ** 0.5 / 1855
    assert cooled == pytest.approx(1.21, abs=0.01)
    # Over water of 18.79 °C stand 0.6108 exp(17.27 x 18.79 / 256.09) = 2.1686 kPa; the air has 2.3383 / 2 = 1.1691.
    # The drive falls from 1.1691 to 0.9995 kPa, to 85.5 %: well inside a band that goes down to 50 %.
    air_pa = vapour_pressure_pa(293.15) / 2
    assert (vapour_pressure_pa(293.15 - cooled) - air_pa) / air_pa == pytest.approx(0.855, abs=0.001)
