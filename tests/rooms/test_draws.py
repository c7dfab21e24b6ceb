"""What a machine draws: which consumers run when, by name and origin, and what is refused."""

from dataclasses import replace
from pathlib import Path

import pytest

from scrubwright.machine.draws import (
    IDLING,
    Running,
    current_a,
    draws,
    loaded_mass,
    pressure_step,
    scrubbing,
    travelling,
)
from scrubwright.machine.parts import HeavyPart
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.paperwork.plates import read_plate

PLATES = Path(__file__).parents[2] / "examples" / "plates"
PACK_V = 36.0


def plate_of(name: str) -> Plate:
    plate = read_plate(PLATES / f"{name}.toml").plate
    assert plate is not None
    return plate


# Pressure 24, 32, 42 A; suction 21 A, traction on level 16 A, pump 2 A, key on 1.2 A.
MID = plate_of("mid_cylindrical_080")
WITHOUT_WEIGHTS = replace(MID, weights=())


def drawn(running: Running, plate: Plate = MID) -> dict[str, float]:
    return {each.name: each.value for each in draws(plate, running, PACK_V)}


def test_scrubbing_on_level_floor_draws_what_the_plate_says_at_the_middle_pressure() -> None:
    assert drawn(scrubbing(MID)) == {
        "idle_a": 1.2,
        "brush_a": 32,
        "vacuum_a": 21,
        "pump_a": 2,
        "traction_level_a": 16,
    }
    assert current_a(MID, scrubbing(MID), PACK_V) == pytest.approx(72.2)


def test_driving_with_all_up_draws_for_traction_alone() -> None:
    assert drawn(travelling(MID)) == {"idle_a": 1.2, "traction_level_a": 16}


def test_standing_still_draws_for_the_key_alone() -> None:
    assert drawn(IDLING) == {"idle_a": 1.2}
    assert drawn(replace(travelling(MID, slope_fraction=0.1), speed_m_per_s=0.0)) == {"idle_a": 1.2}


def test_the_first_pass_of_a_double_scrub_has_no_suction_and_the_second_no_solution() -> None:
    assert "vacuum_a" not in drawn(replace(scrubbing(MID), vacuum=False))
    second = drawn(replace(scrubbing(MID), pump=False))
    assert "pump_a" not in second
    assert "vacuum_a" in second


@pytest.mark.parametrize(("steps", "middle"), [(1, "low"), (2, "low"), (3, "normal")])
def test_the_middle_pressure_is_taken_and_of_two_the_lighter(steps: int, middle: str) -> None:
    plate = replace(MID, deck=replace(MID.deck, pressure=MID.deck.pressure[:steps]))
    assert pressure_step(plate).name == middle


def test_another_pressure_is_taken_by_its_name() -> None:
    assert drawn(scrubbing(MID, pressure="high"))["brush_a"] == 42


def test_an_unknown_pressure_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match=r"called turbo; the plate has: low, normal, high\. Enter one of these"):
        scrubbing(MID, pressure="turbo")


def test_the_economy_setting_draws_three_quarters_for_suction_as_is_common() -> None:
    (suction,) = [each for each in draws(MID, scrubbing(MID, economy=True), PACK_V) if each.name == "vacuum_a"]
    assert suction.value == pytest.approx(15.75)
    assert suction.origin is Origin.COMMON_PRACTICE
    assert str(suction.detail) == "suction at the economy setting, 75.0 % of 21.0 A"


def test_an_economy_setting_that_is_not_fitted_is_refused() -> None:
    plate = replace(MID, options=frozenset())
    with pytest.raises(BadInput, match=r"Mid cylindrical, 0\.80 m has no economy setting"):
        draws(plate, scrubbing(plate, economy=True), PACK_V)


def test_a_slope_is_an_estimate_that_says_how_it_was_made() -> None:
    traction = draws(MID, travelling(MID, slope_fraction=0.06), PACK_V)[-1]
    assert (traction.name, traction.origin) == ("traction_a", Origin.ESTIMATE)
    assert str(traction.detail) == (
        "16.0 A on level floor, and 705 kg on a slope of 6.0 % with 60.0 % of the pack's power at the wheel"
    )
    assert traction.low is not None
    assert traction.high is not None
    assert traction.low < traction.value < traction.high


def test_every_figure_off_the_plate_keeps_the_origin_that_the_plate_gives_it() -> None:
    plate = replace(MID, origins=(("currents.vacuum_a", Origin.MEASURED), ("pressure.brush_current_a", Origin.MEMORY)))
    origins = {each.name: each.origin for each in draws(plate, scrubbing(plate), PACK_V)}
    assert origins == {
        "idle_a": Origin.PLATE,
        "brush_a": Origin.MEMORY,
        "vacuum_a": Origin.MEASURED,
        "pump_a": Origin.PLATE,
        "traction_level_a": Origin.PLATE,
    }


def test_the_loaded_machine_is_its_parts_with_driver_and_one_tank_of_water() -> None:
    # 290 kg of machine, 220 of battery, 85 of driver, 110 of solution.
    mass = loaded_mass(MID)
    assert (mass.value, mass.origin) == (705, Origin.PLATE)


def test_without_its_weights_a_machine_is_taken_as_is_common_and_says_so() -> None:
    mass = loaded_mass(WITHOUT_WEIGHTS)
    assert mass.value == pytest.approx(800)
    assert mass.origin is Origin.COMMON_PRACTICE
    assert "the plate does not give its weights" in str(mass.detail)
    no_driver = replace(MID, weights=tuple(each for each in MID.weights if each.part is not HeavyPart.DRIVER))
    assert loaded_mass(no_driver).origin is Origin.COMMON_PRACTICE


@pytest.mark.parametrize("name", ["narrow_disc_055", "mid_cylindrical_080", "wide_disc_105"])
def test_the_common_weight_takes_in_the_example_machines(name: str) -> None:
    plate = plate_of(name)
    usual = loaded_mass(replace(plate, weights=()))
    assert usual.low is not None
    assert usual.high is not None
    # 742, 881 and 1,176 kg for each metre of scrubbed width.
    assert usual.low <= loaded_mass(plate).value <= usual.high


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"currents": None}, "does not say what it draws"),
        ({"deck": replace(MID.deck, pressure=())}, "does not say what it draws"),
    ],
)
def test_a_plate_without_currents_is_sent_back(changes: dict[str, object], said: str) -> None:
    plate = replace(MID, **changes)  # type: ignore[arg-type]
    with pytest.raises(BadInput, match=said):
        current_a(plate, scrubbing(plate), PACK_V)


@pytest.mark.parametrize("pack_v", [0.0, -36.0, float("nan")])
def test_a_pack_without_voltage_is_refused(pack_v: float) -> None:
    with pytest.raises(BadInput):
        current_a(MID, travelling(MID), pack_v)


@pytest.mark.parametrize("loaded_kg", [0.0, float("nan")])
def test_a_machine_without_weight_is_refused(loaded_kg: float) -> None:
    with pytest.raises(BadInput):
        current_a(MID, travelling(MID, slope_fraction=0.05), PACK_V, loaded_kg)


@pytest.mark.parametrize("slope_fraction", [1.0, -1.0, 8.0, float("nan")])
def test_a_slope_in_percent_is_refused(slope_fraction: float) -> None:
    with pytest.raises(BadInput, match=r"such as 0\.08 for 8 % uphill"):
        travelling(MID, slope_fraction=slope_fraction)


def test_a_speed_below_zero_is_refused() -> None:
    with pytest.raises(BadInput):
        Running(speed_m_per_s=-1.0)
