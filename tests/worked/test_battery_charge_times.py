"""Charge times, mains current and energy, each worked by hand beside it."""

import csv
from pathlib import Path

import pytest

from scrubwright.battery.charge_curve import Taper, usual_taper
from scrubwright.battery.charging import charge_h, charge_run, mains_a
from scrubwright.battery.pack import ChargeProfile
from scrubwright.measures.provenance import Origin
from tests.rooms.charging_pairs import charger_of, pack_of

ROWS = list(
    csv.DictReader((Path(__file__).parent / "battery_charge_times.csv").read_text(encoding="utf-8").splitlines())
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['capacity_ah']} Ah from {row['start']}, {row['hours']} h")
def test_a_charge_takes_the_hours_worked_by_hand(row: dict[str, str]) -> None:
    taper = Taper(
        gassing_charge_fraction=float(row["gassing"]), share_fraction=float(row["share"]), origin=Origin.MEMORY
    )
    run = charge_run(
        pack_of(capacity_ah=float(row["capacity_ah"])),
        charger_of(
            main_a=float(row["main_a"]),
            finish_a=float(row["finish_a"]),
            charge_factor_ratio=float(row["factor"]),
        ),
        float(row["start"]),
        taper,
    )
    assert run.total_h == pytest.approx(float(row["hours"]), abs=float(row["tolerance"]))


def test_the_usual_taper_follows_the_ampere_hour_law() -> None:
    # 240 Ah, 38.4 A: gassing when 38.4 Ah are missing, (240 - 38.4)/240 = 0.84; from there on as many amperes as
    # ampere-hours missing, down to 12 A: 26.4 of 38.4 Ah go in, in ln(38.4/12) = 1.163 h.
    pack, charger = pack_of(), charger_of()
    taper = usual_taper(pack, charger)
    assert taper.gassing_charge_fraction == pytest.approx(0.84)
    assert taper.share_fraction == pytest.approx(26.4 / 38.4)
    run = charge_run(pack, charger, 0.2)
    # Main (0.84 - 0.20) x 240 / 38.4 = 4.00 h; finish (220.8 - 153.6 - 26.4)/12 = 3.40 h.
    assert (run.main_h, run.taper_h, run.finish_h) == pytest.approx((4.0, 1.1632, 3.4), abs=1e-4)
    assert run.gassing_from_h == pytest.approx(4.0)


def test_a_falling_charger_takes_twelve_hours_for_four_fifths() -> None:
    # 100 Ah, 16 A falling to 8 A where 8 Ah are missing, at 92 Ah. At 20 Ah: 16 - 8 x 20/92 = 14.261 A. 72 Ah at
    # (14.261 - 8)/ln(14.261/8) = 10.831 A: 6.648 h. Then 8 Ah from 8 to 4 A: 8 x ln 2 / 4 = 1.386 h. 1.20 x 80 = 96 Ah
    # are needed, 16 are left: 16/4 = 4 h.
    run = charge_run(pack_of(capacity_ah=100.0), charger_of(ChargeProfile.WA, 16.0), 0.2)
    assert (run.main_h, run.taper_h, run.finish_h) == pytest.approx((6.648, 1.386, 4.0), abs=0.001)


def test_a_falling_charger_with_a_switch_halves_the_last_current() -> None:
    # 100 Ah, 24 A falling to 12 A at 88 Ah, then 2 x 4 A falling to 4 A (4 A for each 100 Ah) at 100 Ah:
    # at 20 Ah 24 - 12 x 20/88 = 21.273 A; 68 Ah at 9.273/ln(21.273/12) = 16.197 A: 4.198 h; 12 x ln 2 / 4 = 2.079 h;
    # 16/4 = 4 h.
    run = charge_run(pack_of(capacity_ah=100.0), charger_of(ChargeProfile.WOWA, 24.0), 0.2)
    assert (run.main_h, run.taper_h, run.finish_h) == pytest.approx((4.198, 2.079, 4.0), abs=0.001)


def test_half_a_pack_goes_in_within_the_main_part() -> None:
    # 100 Ah from empty to 50 Ah with 10 A: 5 h, all of it in the main part.
    taper = Taper(gassing_charge_fraction=0.9, share_fraction=0.5, origin=Origin.MEMORY)
    assert charge_h(pack_of(capacity_ah=100.0), charger_of(main_a=10.0), 0.0, taper, 0.5) == pytest.approx(5.0)


def test_the_mains_current_is_worked_out_from_the_plate() -> None:
    # 18 cells x 2.45 V x 25 A = 1,102.5 W; / (0.87 x 0.95 x 115 V) = 1,102.5 / 95.0475 = 11.60 A.
    charger = charger_of(main_a=25.0, mains_v=115.0, efficiency_fraction=0.87, power_factor_fraction=0.95)
    wall = mains_a(pack_of(capacity_ah=225.0), charger)
    assert wall.value == pytest.approx(11.60, abs=0.005)
    assert wall.low == wall.high == wall.value


def test_energy_is_amperes_times_volts_over_efficiency() -> None:
    # 240 Ah from 20 %: 153.6 Ah at 2.25 V, 26.4 at 2.40 V, 40.8 at 2.60 V a cell: 345.6 + 63.36 + 106.08 = 515.04 Wh
    # a cell, x 18 = 9,270.7 Wh, / 0.90 = 10,300.8 Wh.
    run = charge_run(pack_of(), charger_of(efficiency_fraction=0.90), 0.2)
    assert run.energy_wh == pytest.approx(10_300.8, abs=0.1)


# From memory: charge factor 1.15 to 1.20 without, 1.05 to 1.07 with air blown through the electrolyte.
@pytest.mark.parametrize(
    ("profile", "circulates", "low", "high"),
    [
        (ChargeProfile.IUIA, False, 1.15, 1.20),
        (ChargeProfile.WA, False, 1.15, 1.20),
        (ChargeProfile.WOWA, False, 1.15, 1.20),
        (ChargeProfile.IUIA, True, 1.05, 1.07),
    ],
)
def test_the_charge_factor_is_the_usual_one_from_memory(
    profile: ChargeProfile, circulates: bool, low: float, high: float
) -> None:
    run = charge_run(pack_of(), charger_of(profile, circulates=circulates), 0.5)
    assert low <= run.charge_factor_ratio <= high
