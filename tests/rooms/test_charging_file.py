"""A charging file is read whole, by hand or by pack file, and every problem in it is told at once."""

from pathlib import Path

import pytest

from scrubwright.battery.charging import charge_run
from scrubwright.jobs.charging_answer import ChargingNight, MachineToCharge
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.paperwork.charging_reading import charging_of_text, read_charging
from scrubwright.paperwork.packs import pack_from
from tests.rooms.charging_files import FOLDER, HALL, NOW, ROOT, TWO, asked, changed, night_in, problem_in, read, told

PACKS = ROOT / "examples" / "packs"


def machine(night: ChargingNight, name: str) -> MachineToCharge:
    return next(each for each in night.machines if each.name == name)


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_is_complete(path: Path) -> None:
    night_in(read_charging(path, now=NOW))


def test_the_hall_has_five_machines_on_three_circuits() -> None:
    night = night_in(read(HALL))
    assert [each.name for each in night.machines] == [
        "Mid cylindrical",
        "Wide disc",
        "Mid cylindrical, lithium",
        "Old disc",
        "Narrow disc",
    ]
    # 80 % of 16, 20 and 32 A, less 1.5 A of light on the first.
    assert [each.limit_a for each in night.circuits] == pytest.approx([11.3, 16.0, 25.6])
    assert night.may_pause
    assert night.room is not None
    # 28 cm² for each m³/h.
    assert night.room.free_m3 == 190
    assert night.room.air_m3_per_h == pytest.approx(1600 / 28)


def test_what_is_entered_by_hand_arrives_in_the_units_of_the_records() -> None:
    old = machine(night_in(read(HALL)), "Old disc")
    assert (old.mains_a, old.charge_h, old.gassing_from_h, old.energy_wh) == (6.0, 7.0, 4.0, 5600.0)
    assert old.gas is not None
    # Flooded, and no letters of the charger: the worst is taken.
    assert (old.gas.cells, old.gas.capacity_ah, old.gas.gassing_a_per_ah) == (12, 180.0, 0.07)
    assert (old.origin("mains_a"), old.origin("charge_h")) == (Origin.PLATE, Origin.MEASURED)
    assert (old.origin("gassing_from_h"), old.origin("energy_wh")) == (Origin.MEMORY, Origin.MEASURED)


def test_a_pack_file_gives_hours_energy_amperes_and_gas() -> None:
    reading = read(HALL)
    mid = machine(night_in(reading), "Mid cylindrical")
    paper = pack_from(PACKS / "market_hall_36v.toml")
    assert paper.charger is not None
    run = charge_run(paper.pack, paper.charger, 0.3)
    hours = next(each for each in run.figures if each.name == "charge_h")
    # A flooded pack is planned with the long end of its hours.
    assert mid.charge_h == hours.high
    assert mid.charge_h > run.total_h
    assert (mid.mains_a, mid.energy_wh, mid.gassing_from_h) == (8.5, run.energy_wh, run.gassing_from_h)
    assert mid.gas is not None
    # IUIa on 18 flooded cells of 221 Ah.
    assert (mid.gas.cells, mid.gas.capacity_ah, mid.gas.gassing_a_per_ah) == (18, 221.0, 0.06)
    assert (mid.origin("mains_a"), mid.origin("charge_h")) == (Origin.PLATE, Origin.ESTIMATE)
    assert any("Mid cylindrical: by its pack file the charge takes" in each for each in told(reading.remarks))


def test_more_of_the_energy_of_a_flooded_pack_flows_before_it_gasses_than_its_hours_say() -> None:
    mid = machine(night_in(read(HALL)), "Mid cylindrical")
    # 70 % of 221 Ah are missing. 36 A flow until 36 Ah are missing, at 2.25 V a cell; then they fall to 9 A while 27 Ah
    # go in at 2.40 V; the rest of 1.15 times what is missing goes in at 2.60 V.
    missing_ah = 0.7 * 221
    main_ah, taper_ah = missing_ah - 36, 36 - 9
    finish_ah = 1.15 * missing_ah - main_ah - taper_ah
    by_hand = 2.25 * main_ah / (2.25 * main_ah + 2.40 * taper_ah + 2.60 * finish_ah)
    assert mid.before_gas_fraction == pytest.approx(by_hand, abs=1e-4)
    assert by_hand > mid.gassing_from_h / mid.charge_h


def test_a_lithium_pack_never_gasses_and_needs_no_air() -> None:
    lithium = machine(night_in(read(HALL)), "Mid cylindrical, lithium")
    assert lithium.gassing_from_h == lithium.charge_h
    assert lithium.before_gas_fraction is None
    assert lithium.air_m3_per_h == 0


def test_what_is_entered_beside_a_pack_file_comes_first() -> None:
    given = 'pack = "../packs/market_hall_36v.toml"'
    reading = changed(
        HALL, (given, f'{given}\ncharge_h = 9.5\nmains_a = 9\nmeasured = ["charge_h"]\nfrom_memory = ["mains_a"]')
    )
    mid = machine(night_in(reading), "Mid cylindrical")
    assert (mid.charge_h, mid.mains_a) == (9.5, 9.0)
    assert (mid.origin("charge_h"), mid.origin("mains_a")) == (Origin.MEASURED, Origin.MEMORY)
    assert mid.energy_wh == pytest.approx(8598.8, abs=0.1)
    assert not any("Mid cylindrical: by" in each for each in told(reading.remarks))


def test_figures_of_a_pack_file_are_not_taken_for_measured_ones() -> None:
    given = 'pack = "../packs/market_hall_36v.toml"'
    mid = machine(night_in(changed(HALL, (given, f'{given}\nmeasured = ["charge_h"]'))), "Mid cylindrical")
    assert mid.origin("charge_h") is Origin.ESTIMATE


def test_a_pack_that_never_gasses_may_be_interrupted_for_all_the_hours_entered() -> None:
    given = 'pack = "../packs/mid_lithium_36v.toml"'
    lithium = machine(night_in(changed(HALL, (given, f"{given}\ncharge_h = 3"))), "Mid cylindrical, lithium")
    assert (lithium.charge_h, lithium.gassing_from_h) == (3.0, 3.0)


def test_without_its_gassing_time_only_a_sealed_pack_may_be_interrupted() -> None:
    wide, narrow = night_in(read(TWO)).machines
    assert (wide.gassing_from_h, narrow.gassing_from_h) == (0.0, 3.0)
    assert wide.origin("gassing_from_h") is Origin.ESTIMATE
    assert wide.gas is None


def test_us_units_say_the_same_as_metric_ones() -> None:
    night = night_in(
        changed(
            HALL,
            ("free_volume_m3 = 190", 'free_volume_m3 = "6710 ft³"'),
            ("openings_cm2 = 1600", 'openings_cm2 = "248 in2"'),
            ("charge_h = 7", 'charge_h = "420 min"'),
        )
    )
    assert night.room is not None
    assert night.room.free_m3 == pytest.approx(190.0, abs=0.01)
    assert night.room.air_m3_per_h == pytest.approx(1600 / 28, rel=1e-4)
    assert machine(night, "Old disc").charge_h == 7


def test_a_fan_changes_what_it_says() -> None:
    fan = ("openings_cm2 = 1600", 'air_m3_per_h = "40 cfm"')
    room = night_in(changed(HALL, fan)).room
    assert room is not None
    # A cubic foot is 0.0283168 m³.
    assert room.air_m3_per_h == pytest.approx(40 * 0.0283168 * 60, rel=1e-5)


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("mains_a = 9\n", "machine 1.mains_a"),
        ("charge_h = 3\n", "machine 2.charge_h"),
        ("breaker_a = 16\n", "circuit 1.breaker_a"),
        ('name = "Wide"\n', "machine 1.name"),
    ],
)
def test_what_is_missing_is_asked_for(line: str, key: str) -> None:
    assert asked(changed(TWO, (line, ""))) == [key]


def test_cells_without_ampere_hours_ask_for_them() -> None:
    assert asked(changed(TWO, ("mains_a = 9\n", "mains_a = 9\ncells = 12\n"))) == ["machine 1.capacity_ah"]


def test_prices_ask_for_the_energy() -> None:
    tariff = '[[tariff]]\nbegins = "22:00"\nprice_per_kwh = 1\n'
    assert asked(read(TWO + tariff)) == ["machine 1.energy_kwh", "machine 2.energy_kwh"]


def test_air_that_is_limited_asks_for_the_packs() -> None:
    assert asked(read(TWO + "[room]\nair_m3_per_h = 30\n")) == [
        "machine 1.cells",
        "machine 1.capacity_ah",
        "machine 2.cells",
        "machine 2.capacity_ah",
    ]


def test_a_pack_file_asks_for_the_charge_left() -> None:
    reading = changed(HALL, ("charge_left_percent = 30\n", ""))
    assert problem_in(reading).startswith("machine 1.charge_left_percent is missing: Charge left")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('home = "22:00"', 'home = "25:00"', 'home is "25:00"; enter a time of day such as 21:30'),
        ('home = "22:00"', 'home = "ten"', 'home is "ten"; enter a time of day'),
        ('home = "22:00"', "home = 22", 'home is "22", which does not fit there'),
        ("mains_a = 9", "mains_a = 900", "machine 1.mains_a is 900.0 A; it can be from 0.5 A to 100.0 A"),
        ("mains_a = 9", 'mains_a = "9 W"', 'machine 1.mains_a is "9 W", which is not understood. Enter a number in'),
        ("mains_a = 9", 'mains_a = "1,500"', "which may mean thousands or thousandths"),
        ("mains_a = 9", "mains_a = true", 'machine 1.mains_a is "True", which does not fit there'),
        ("mains_a = 9", "main_a = 9\nmains_a = 9", 'Nobody reads "machine 1.main_a"; did you mean "machine.mains_a"?'),
        ("mains_a = 9", "mains_a = nan", "machine 1.mains_a is nan, which is no number"),
        ('chemistry = "AGM"', 'chemistry = "lead"', "it may be: flooded, AGM, gel, lithium"),
        ('name = "Narrow"', 'name = "Wide"', 'machine 2.name is "Wide", like another one'),
        ("breaker_a = 16", 'breaker_a = 16\nmachines = ["Wid"]', 'circuit 1.machines names "Wid", which is no machine'),
        ("charge_h = 5", "charge_h = 5\ncharge_left_percent = 20", "is given, but no pack file"),
        ("charge_h = 5", 'charge_h = 5\nmeasured = ["hours"]', 'machine 1.measured names "hours", which is no figure'),
        ("charge_h = 5", "charge_h = 5\ngassing_from_h = 6", "gasses from 6.00 h on but charges for 5.00 h"),
        ("charge_h = 5", 'charge_h = 5\npack = "none.toml"', "machine 1.charge_left_percent is missing"),
        (
            "charge_h = 5",
            'charge_h = 5\npack = "none.toml"\ncharge_left_percent = 20',
            "machine 1: There is no file",
        ),
        ('ready_by = "06:00"', 'ready_by = "2026-03-09 06:00"', "but home is"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(old: str, new: str, said: str) -> None:
    reading = changed(TWO, (old, new))
    assert reading.night is None
    assert said in told(reading.wrong + reading.missing)[0]


def test_every_problem_is_told_at_once() -> None:
    reading = changed(
        TWO,
        ('home = "22:00"', 'home = "25:00"'),
        ("mains_a = 9\n", "mains_a = 900\n"),
        ("charge_h = 3\n", ""),
        ('name = "Panel, 4"\n', 'name = "Panel, 4"\nmachines = ["Old"]\n'),
        ("breaker_a = 16\n", "braker_a = 16\n"),
    )
    assert len(reading.wrong) == 4
    assert len(reading.missing) == 2


def test_openings_and_a_fan_together_are_refused() -> None:
    reading = changed(HALL, ("openings_cm2 = 1600", "openings_cm2 = 1600\nair_m3_per_h = 40"))
    assert problem_in(reading).startswith("room has openings_cm2 and air_m3_per_h")


def test_a_pack_file_beside_cells_of_ones_own_is_refused() -> None:
    given = 'pack = "../packs/market_hall_36v.toml"'
    assert problem_in(changed(HALL, (given, f"{given}\ncells = 18"))).startswith(
        "machine 1.cells is given, but the pack"
    )


def test_a_pack_without_a_charger_or_its_amperes_says_what_to_add(tmp_path: Path) -> None:
    pack = (PACKS / "mid_lithium_36v.toml").read_text(encoding="utf-8")
    cases = {
        "alone.toml": (pack.partition("[charger]")[0], "alone.toml names no charger"),
        "mute.toml": (pack.replace("mains_v = 230\nmains_a = 20\n", ""), "gives neither the amperes nor the volts"),
        "broken.toml": (pack.replace("cells = 12 ", "cells = 0 "), "The pack broken.toml cannot be used yet"),
    }
    for name, (text, said) in cases.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        charging = TWO.replace("mains_a = 9\ncharge_h = 5", f'pack = "{name}"\ncharge_left_percent = 20')
        reading = charging_of_text(charging, "tonight.toml", folder=tmp_path, now=NOW)
        assert said in problem_in(reading)


def test_what_is_no_charging_file_at_all_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePaper, match="There is no file"):
        read_charging(tmp_path / "none.toml", now=NOW)
    with pytest.raises(UnreadablePaper, match=r"tonight\.toml, line 2, column 10 cannot be read"):
        read('home = "22:00"\n[[machine\n')
    assert asked(read("")) == ["machine", "circuit"]
