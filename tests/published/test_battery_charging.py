"""Charging against what makers, handbooks and papers print of it."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.charge_curve import Taper, charge_curve, usual_taper
from scrubwright.battery.charge_limits import (
    COLDEST_CHARGE_K,
    GASSING_CELL_V,
    HOTTEST_CHARGE_K,
    LAST_CELL_V,
    HeldAt,
    held_cell_v,
)
from scrubwright.battery.charging import charge_h, charge_run, charger_remarks
from scrubwright.battery.equalising import HOTTEST_K
from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.provenance import Origin
from scrubwright.measures.units import KELVIN_AT_0_C
from tests.rooms.charging_pairs import charger_of, pack_of

HERE = Path(__file__).parent
ROWS = list(csv.DictReader((HERE / "battery_charging.csv").read_text(encoding="utf-8").splitlines()))
VOLTS = list(csv.DictReader((HERE / "battery_charge_volts.csv").read_text(encoding="utf-8").splitlines()))


def named(row: dict[str, str]) -> str:
    return f"{row['kind']} {row['chemistry']} {row['profile']} {row['main_a']} A from {row['start']} {row['low']}"


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_a_charge_lies_where_it_is_printed(row: dict[str, str]) -> None:
    run = charge_run(
        pack_of(Chemistry(row["chemistry"]), float(row["capacity_ah"])),
        charger_of(ChargeProfile(row["profile"]), float(row["main_a"])),
        float(row["start"]),
    )
    found = {"hours": run.total_h, "factor": run.charge_factor_ratio, "finish": run.finish_a}[row["kind"]]
    assert float(row["low"]) - 1e-9 <= found <= float(row["high"]) + 1e-9


@pytest.mark.parametrize("row", VOLTS, ids=lambda row: f"{row['held_at']} {row['cells']} at {row['temperature_c']} °C")
def test_held_volts_are_the_printed_ones(row: dict[str, str]) -> None:
    cell_v = held_cell_v(HeldAt(row["held_at"]), KELVIN_AT_0_C + float(row["temperature_c"]))
    assert int(row["cells"]) * cell_v == pytest.approx(float(row["pack_v"]), abs=float(row["tolerance"]))


# German patent DE 975920, page 1: gassing begins at 2.35 to 2.45 V a cell, a falling charge ends at 2.7 V.
# Two charger manuals after DIN 41774, page 13: it ends at 2.65 to 2.70 V.
# Encyclopedia of a charger dealer, charging curves: gassing voltage 2.4 V a cell.
def test_gassing_volts_are_the_printed_ones() -> None:
    assert 2.35 <= GASSING_CELL_V <= 2.45
    assert GASSING_CELL_V == 2.4
    assert 2.65 <= LAST_CELL_V <= 2.70


# Two charger manuals after DIN 41774, page 13: first current about 16 % of the capacity, half of it at 2.40 V a cell,
# a quarter at 2.65 to 2.70 V.
def test_a_falling_charger_gives_half_at_the_gassing_point_and_a_quarter_at_the_end() -> None:
    pack, charger = pack_of(capacity_ah=100.0), charger_of(ChargeProfile.WA, 16.0)
    main, taper, finish = charge_curve(pack, charger, usual_taper(pack, charger))
    assert (main.from_a, main.until_a) == pytest.approx((16, 8))
    assert (taper.from_a, taper.until_a) == pytest.approx((8, 4))
    assert finish.until_a == pytest.approx(4)


# A page on Woodbridge's law of 1935: from 80 % of the capacity as first current, 90 % of the charge is back within
# 2 to 3 hours when the amperes follow the ampere-hours missing.
def test_ninety_percent_are_back_in_two_to_three_hours_by_the_ampere_hour_law() -> None:
    law = Taper(gassing_charge_fraction=0.2, share_fraction=1 - 1 / 80, origin=Origin.PUBLISHED)
    hours = charge_h(pack_of(capacity_ah=100.0), charger_of(main_a=80.0, finish_a=1.0), 0.0, law, 0.9)
    assert 2 <= hours <= 3


# Page of a charger dealer: main current 14 to 20 % of the ampere-hours for industrial, 10 % for small deep-cycle packs.
@pytest.mark.parametrize("share", [0.10, 0.14, 0.20])
def test_a_charger_of_printed_size_gets_no_remark(share: float) -> None:
    assert charger_remarks(pack_of(capacity_ah=200.0), charger_of(main_a=200 * share)) == ()


# Leaflet of a maker of traction cells, page 2: charge from 10 °C on, 55 °C is the upper limit.
# A page on equalising flooded packs: stop at 115 °F.
def test_temperature_limits_are_the_printed_ones() -> None:
    assert pytest.approx((10, 55)) == (COLDEST_CHARGE_K - KELVIN_AT_0_C, HOTTEST_CHARGE_K - KELVIN_AT_0_C)
    assert pytest.approx((115 - 32) / 1.8, abs=0.5) == HOTTEST_K - KELVIN_AT_0_C


# A support page of an energy modelling tool: round trip 80 %; an anonymous text: energy 70 %, ampere-hours 85 %;
# an encyclopedia: ampere-hours 70 to 84 %. Handbooks together: energy 70 to 80 %, ampere-hours 85 to 90 %.
# Out at 1.97 V a cell on average (from memory).
def test_what_comes_back_is_within_the_printed_efficiencies() -> None:
    run = charge_run(pack_of(), charger_of(efficiency_fraction=1.0), 0.2)
    out_ah = 0.8 * 240
    assert 0.85 <= out_ah / run.in_ah <= 0.90
    assert 0.70 <= out_ah * 18 * 1.97 / run.energy_wh <= 0.80
