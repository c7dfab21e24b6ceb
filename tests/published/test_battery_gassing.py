"""Gas and water against printed values."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.gassing import (
    WATER_KG_PER_AH,
    gassing_a_per_ah,
    hydrogen_l_per_ah,
    oxygen_l_per_ah,
    split_water_kg,
)
from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.units import KELVIN_AT_0_C, METRES_PER_FOOT

ROWS = list(csv.DictReader((Path(__file__).parent / "battery_gas.csv").read_text(encoding="utf-8").splitlines()))
LITRES_PER_FT3 = METRES_PER_FOOT**3 * 1000


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['quantity']} {row['value']}")
def test_hydrogen_is_as_printed(row: dict[str, str]) -> None:
    litres = hydrogen_l_per_ah(KELVIN_AT_0_C + float(row["temperature_c"]))
    found = {
        "hydrogen l/Ah": litres,
        "hydrogen m3/Ah": litres / 1000,
        "hydrogen ft3/Ah": litres / LITRES_PER_FT3,
        "hydrogen ft3/min": litres / LITRES_PER_FT3 / 60,
    }[row["quantity"]]
    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


# A page on battery care prints 0.335 g of water for each ampere-hour; with atomic weights to five digits it is 0.3361:
# 3600 s x 18.015 g/mol / (2 x 96,485 As/mol).
def test_an_ampere_hour_splits_a_third_of_a_gram_of_water() -> None:
    assert 1000 * WATER_KG_PER_AH == pytest.approx(0.335, rel=0.005)
    assert 1000 * split_water_kg(1.0, 1) == pytest.approx(3600 * 18.015 / (2 * 96_485), abs=0.00005)


# Water is 2.016 parts of hydrogen to 15.999 of oxygen (IUPAC 2021): gases of 2.016 and 31.998 g/mol at 24.465 l/mol
# (25 °C, 1 atm) weigh together what the water weighed.
def test_the_gases_weigh_what_the_water_weighed() -> None:
    hydrogen_g = hydrogen_l_per_ah(298.15) / 24.465 * 2.016
    oxygen_g = oxygen_l_per_ah(298.15) / 24.465 * 31.998
    assert hydrogen_g + oxygen_g == pytest.approx(1000 * WATER_KG_PER_AH, rel=1e-4)


# EN 50272-3, 2002, table of gas currents as quoted by a maker, A for each 100 Ah: IU to 2.4 V 2, IUI without limit at
# most 6, W taper 5 to 7.
@pytest.mark.parametrize(
    ("profile", "low", "high"),
    [
        (ChargeProfile.IUOU, 2, 2),
        (ChargeProfile.IUIA, 6, 6),
        (ChargeProfile.WA, 5, 7),
        (ChargeProfile.WOWA, 5, 7),
    ],
)
def test_gas_currents_of_vented_cells_are_the_printed_ones(profile: ChargeProfile, low: float, high: float) -> None:
    assert low <= round(100 * gassing_a_per_ah(Chemistry.FLOODED, profile), 9) <= high


def test_the_worst_gas_current_is_taken_where_something_is_not_known() -> None:
    assert gassing_a_per_ah(None, ChargeProfile.IUOU) == gassing_a_per_ah(Chemistry.FLOODED, None) == 0.07
    assert gassing_a_per_ah(Chemistry.LITHIUM, ChargeProfile.IUOU) == 0


# From memory: the same standard, valve-regulated cells: IU 1, IUI 1.5 A for each 100 Ah.
def test_gas_currents_of_sealed_cells_are_those_from_memory() -> None:
    assert gassing_a_per_ah(Chemistry.AGM, ChargeProfile.IUOU) == 0.01
    assert gassing_a_per_ah(Chemistry.GEL, ChargeProfile.IUIA) == 0.015
