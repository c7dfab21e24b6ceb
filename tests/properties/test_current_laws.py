"""More of the machine running, a steeper slope, more weight: never less current; and a slope up and down evens out."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.machine.draws import Running, current_a, draws, scrubbing, travelling
from scrubwright.machine.plate import Plate
from scrubwright.paperwork.plates import read_plate


def plate_of(name: str) -> Plate:
    plate = read_plate(Path(__file__).parents[2] / "examples" / "plates" / f"{name}.toml").plate
    assert plate is not None
    return plate


PLATES = tuple(plate_of(name) for name in ("narrow_disc_055", "mid_cylindrical_080", "wide_disc_105"))
plates = st.sampled_from(PLATES)
slopes = st.floats(-0.3, 0.3)
masses = st.floats(200.0, 3000.0)
volts = st.floats(18.0, 54.0)
speeds = st.floats(0.0, 3.0)


@st.composite
def machines_running(draw: st.DrawFn) -> tuple[Plate, Running]:
    plate = draw(plates)
    running = Running(
        pressure=draw(st.sampled_from((None, *plate.deck.pressure))),
        vacuum=draw(st.booleans()),
        pump=draw(st.booleans()),
        speed_m_per_s=draw(speeds),
        slope_fraction=draw(slopes),
    )
    return plate, running


@given(plates, slopes, slopes, masses, volts)
def test_a_steeper_slope_never_draws_less(
    plate: Plate, one: float, other: float, loaded_kg: float, pack_v: float
) -> None:
    gentle, steep = (
        current_a(plate, travelling(plate, slope_fraction=slope), pack_v, loaded_kg) for slope in sorted((one, other))
    )
    assert gentle <= steep


@given(plates, slopes, masses, masses, volts)
def test_more_weight_never_draws_less_uphill_nor_more_downhill(
    plate: Plate, slope: float, one: float, other: float, pack_v: float
) -> None:
    running = scrubbing(plate, slope_fraction=slope)
    light_a, heavy_a = (current_a(plate, running, pack_v, loaded_kg) for loaded_kg in sorted((one, other)))
    assert light_a <= heavy_a if slope >= 0 else light_a >= heavy_a


@given(plates, slopes, masses, volts)
def test_each_heavier_pressure_step_draws_more(plate: Plate, slope: float, loaded_kg: float, pack_v: float) -> None:
    steps = [scrubbing(plate, pressure=step.name, slope_fraction=slope) for step in plate.deck.pressure]
    currents_a = [current_a(plate, running, pack_v, loaded_kg) for running in steps]
    assert currents_a == sorted(set(currents_a))


@given(machines_running(), masses, volts)
def test_no_consumer_draws_less_than_nothing_and_the_key_always_draws(
    case: tuple[Plate, Running], loaded_kg: float, pack_v: float
) -> None:
    plate, running = case
    parts = draws(plate, running, pack_v, loaded_kg)
    assert plate.currents is not None
    assert all(each.value >= 0 for each in parts)
    assert sum(each.value for each in parts) == current_a(plate, running, pack_v, loaded_kg) >= plate.currents.idle_a
    assert all(each.low <= each.value <= each.high for each in parts if each.low is not None and each.high is not None)


@given(machines_running(), masses, volts)
def test_switching_one_thing_on_never_draws_less(case: tuple[Plate, Running], loaded_kg: float, pack_v: float) -> None:
    plate, running = case
    now_a = current_a(plate, running, pack_v, loaded_kg)
    for more in (replace(running, vacuum=True), replace(running, pump=True)):
        assert current_a(plate, more, pack_v, loaded_kg) >= now_a
    assert current_a(plate, replace(running, pressure=plate.deck.pressure[-1]), pack_v, loaded_kg) >= now_a


@given(plates, st.floats(0.0, 0.3), masses, volts)
def test_up_and_down_a_ramp_costs_what_the_level_does_or_more(
    plate: Plate, slope: float, loaded_kg: float, pack_v: float
) -> None:
    level_a = current_a(plate, travelling(plate), pack_v)
    up_a = current_a(plate, travelling(plate, slope_fraction=slope), pack_v, loaded_kg)
    down_a = current_a(plate, travelling(plate, slope_fraction=-slope), pack_v, loaded_kg)
    assert plate.currents is not None
    # Nothing flows back into the pack; as long as the motor still pulls downhill, nothing is lost either.
    if down_a > plate.currents.idle_a:
        assert (up_a + down_a) / 2 == pytest.approx(level_a)
    else:
        assert (up_a + down_a) / 2 >= level_a - 1e-9


@given(plates, st.floats(0.0, 0.3), masses, st.floats(18.0, 54.0))
def test_the_power_for_a_climb_does_not_depend_on_the_voltage(
    plate: Plate, slope: float, loaded_kg: float, pack_v: float
) -> None:
    level_a = current_a(plate, travelling(plate), pack_v)
    climb_w = [
        volts * (current_a(plate, travelling(plate, slope_fraction=slope), volts, loaded_kg) - level_a)
        for volts in (pack_v, 36.0)
    ]
    assert climb_w[0] == pytest.approx(climb_w[1], abs=1e-6)
