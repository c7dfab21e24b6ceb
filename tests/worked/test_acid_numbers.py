"""Acid, water and the voltage of rested cells, worked by hand."""

import math

import pytest

from scrubwright.battery.acid import (
    ACID_KG_PER_AH,
    WATER_MADE_KG_PER_AH,
    acid_fraction,
    acid_mol_per_kg,
    drawn_ah,
    electrolyte_by_ah_l,
    gravity_after_ah_ratio,
    gravity_after_topping_up_ratio,
)
from scrubwright.battery.charge_left import FULL_1265, charge_left_fraction
from scrubwright.battery.rested_voltage import rested_cell_v, rule_bias_v, rule_gravity_ratio


def test_acid_used_and_water_made_by_an_ampere_hour() -> None:
    # One electron for each molecule: 3600 / 96485.332 = 0.0373114 mol.
    # Acid 0.0373114 x 98.079 = 3.6595 g, water 0.0373114 x 18.015 = 0.6722 g.
    assert 1000 * ACID_KG_PER_AH == pytest.approx(3.6595, abs=0.0005)
    assert 1000 * WATER_MADE_KG_PER_AH == pytest.approx(0.6722, abs=0.0005)


@pytest.mark.parametrize(
    ("gravity", "share", "molality", "cell_v"),
    [
        # Density at 25 °C = gravity x 0.99705. Table at 20 °C less 5 K x (0.000235 + 0.00139 share):
        # 36 %: 1.2685 - 0.00368 = 1.26482; 38 %: 1.2855 - 0.00382 = 1.28168.
        # 1.280: 1.27622; share = 36 + 2 x (1.27622 - 1.26482) / 0.01686 = 37.352 %.
        # Molality 0.37352 / 0.62648 / 0.098079 = 6.079; log = 0.78383.
        # 1.922 + 0.11601 + 0.03871 + 0.03564 + 0.01283 = 2.1252 V.
        (1.280, 0.37352, 6.079, 2.1252),
        # 26 %: 1.1872 - 0.00298 = 1.18422; 28 %: 1.2031 - 0.00312 = 1.19998.
        # 1.200: 1.19646; share = 26 + 2 x (1.19646 - 1.18422) / 0.01576 = 27.553 %; 3.878; log = 0.58861.
        # 1.922 + 0.08711 + 0.02183 + 0.01509 + 0.00408 = 2.0501 V.
        (1.200, 0.27553, 3.878, 2.0501),
        # 16 %: 1.1094 - 0.00229 = 1.10711; 18 %: 1.1245 - 0.00243 = 1.12207.
        # 1.120: 1.11670; share = 16 + 2 x (1.11670 - 1.10711) / 0.01496 = 17.282 %; 2.130; log = 0.32838.
        # 1.922 + 0.04860 + 0.00679 + 0.00262 + 0.00040 = 1.9804 V.
        (1.120, 0.17282, 2.130, 1.9804),
    ],
)
def test_a_rested_cell_from_gravity_to_volts(gravity: float, share: float, molality: float, cell_v: float) -> None:
    assert acid_fraction(gravity) == pytest.approx(share, abs=0.0001)
    assert acid_mol_per_kg(gravity) == pytest.approx(molality, abs=0.002)
    assert rested_cell_v(gravity) == pytest.approx(cell_v, abs=0.0002)


@pytest.mark.parametrize(
    ("density", "cell_v"),
    # The same polynomial where 1.120, 1.200, 1.265 and 1.280 are kg/L: as gravities these are 1.1233 to 1.2838, and
    # the volts 3 to 4 mV higher than for gravities of 1.120 to 1.280.
    [(1.120, 1.984), (1.200, 2.054), (1.265, 2.114), (1.280, 2.129)],
)
def test_volts_of_densities_are_a_little_higher_than_of_gravities(density: float, cell_v: float) -> None:
    assert rested_cell_v(density / 0.99705) == pytest.approx(cell_v, abs=0.001)
    assert 0.002 < rested_cell_v(density / 0.99705) - rested_cell_v(density) < 0.005


@pytest.mark.parametrize(
    ("gravity", "bias_mv"),
    # 2.1252 - 2.120 = 5 mV; 2.0501 - 2.040 = 10 mV; 1.9804 - 1.960 = 20 mV.
    [(1.280, 5), (1.200, 10), (1.120, 20)],
)
def test_the_rule_of_thumb_is_most_wrong_for_a_flat_cell(gravity: float, bias_mv: float) -> None:
    assert 1000 * rule_bias_v(gravity) == pytest.approx(bias_mv, abs=1)


def test_the_rule_of_thumb_finds_a_seventh_of_the_charge_in_a_flat_cell() -> None:
    # 1.9804 - 0.84 = 1.1404; (1.1404 - 1.120) / 0.035 x 25 % = 14.6 %.
    told = rule_gravity_ratio(float(rested_cell_v(1.120)))
    assert 100 * charge_left_fraction(FULL_1265, told) == pytest.approx(14.6, abs=0.3)


def test_warmth_raises_a_rested_cell_a_little() -> None:
    # From memory: 0.2 mV for each kelvin in a charged cell; 10 K are 2 mV.
    assert rested_cell_v(1.280, 308.15) - rested_cell_v(1.280, 298.15) == pytest.approx(0.002, abs=0.0005)


@pytest.mark.parametrize(
    ("water_l", "after"),
    # 2.4 L x 1.277 x 0.99705 = 3.0557 kg at 36.998 % hold 1.1305 kg of acid.
    # + 0.05 L: 1.1305 / 3.1056 = 36.403 %, 1.2720. + 0.10 L: 1.1305 / 3.1554 = 35.828 %, 1.2671.
    # + 0.20 L: 1.1305 / 3.2551 = 34.730 %, 1.2580.
    [(0.05, 1.272), (0.10, 1.267), (0.20, 1.258)],
)
def test_water_in_a_cell_of_2_4_litres(water_l: float, after: float) -> None:
    assert gravity_after_topping_up_ratio(1.277, 2.4, water_l) == pytest.approx(after, abs=0.0005)


def test_a_cell_whose_gravity_falls_by_225_ah_holds_2_8_litres() -> None:
    # 1.277: 36.998 %, 1.27323 kg/L; 1.120: 17.282 %.
    # For each litre 1.27323 x (0.36998 - 0.17282) = 0.25103 kg; for each Ah 3.6595 - 0.17282 x 2.9873 = 3.1432 g.
    # 251.03 / 3.1432 = 79.86 Ah for each litre; 225 / 79.86 = 2.817 L.
    assert electrolyte_by_ah_l(1.277, 1.120, 225) == pytest.approx(2.817, abs=0.005)
    assert drawn_ah(1.277, 1.120, 2.817) == pytest.approx(225, abs=0.5)


def test_gravity_falls_almost_straight_with_the_ampere_hours() -> None:
    # The straight line from 1.277 to 1.119 over 225 Ah in a cell of 2.8 L; the cell lags behind by at most 4 points.
    flat = gravity_after_ah_ratio(1.277, 2.8, 225)
    lags = [
        ah / 225 - (1.277 - gravity_after_ah_ratio(1.277, 2.8, ah)) / (1.277 - flat) for ah in (45, 90, 112.5, 135, 180)
    ]
    assert all(0.01 < lag < 0.05 for lag in lags)
    assert math.isclose(max(lags), lags[2], abs_tol=0.003)
