"""A charge told to a person: where its numbers come from, what is odd, and what is refused."""

import math

import pytest

from scrubwright.battery.charge_curve import Taper, usual_taper
from scrubwright.battery.charge_limits import HeldAt, charge_weather, held_cell_v
from scrubwright.battery.charging import charge_run, charger_remarks, mains_a
from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange
from scrubwright.measures.provenance import Origin
from scrubwright.measures.units import KELVIN_AT_0_C
from tests.rooms.charging_pairs import charger_of, pack_of


def test_an_ordinary_night() -> None:
    run = charge_run(pack_of(), charger_of(mains_v=230.0), 0.3)
    origins = {figure.name: figure.origin for figure in run.figures}
    assert origins == {
        "charge_h": Origin.ESTIMATE,
        "charge_in_ah": Origin.COMMON_PRACTICE,
        "energy_wh": Origin.ESTIMATE,
        "finish_a": Origin.COMMON_PRACTICE,
        "charge_factor_ratio": Origin.COMMON_PRACTICE,
        "mains_a": Origin.ESTIMATE,
    }
    hours = run.figures[0]
    assert hours.value == run.total_h
    assert hours.low is not None
    assert hours.high is not None
    assert hours.low < hours.value < hours.high < hours.value + 3
    assert run.remarks == ()


def test_the_plate_wins_over_what_is_usual() -> None:
    charger = charger_of(finish_a=10.0, charge_factor_ratio=1.12, mains_a=9.0, mains_v=230.0)
    run = charge_run(pack_of(), charger, 0.5)
    assert (run.finish_a, run.charge_factor_ratio, run.mains_a) == (10.0, 1.12, 9.0)
    assert run.in_ah == pytest.approx(1.12 * 120)
    told = {figure.name: figure.origin for figure in run.figures}
    assert told["finish_a"] == told["mains_a"] == told["charge_factor_ratio"] == Origin.PLATE


def test_mains_current_is_not_made_up_where_the_plate_is_silent() -> None:
    run = charge_run(pack_of(), charger_of(), 0.5)
    assert run.mains_a is None
    assert all(figure.name != "mains_a" for figure in run.figures)
    with pytest.raises(NoAnswer, match="read one of them off it"):
        mains_a(pack_of(), charger_of())


def test_a_full_pack_needs_no_time() -> None:
    run = charge_run(pack_of(), charger_of(), 1.0)
    assert (run.total_h, run.in_ah, run.energy_wh) == (0, 0, 0)


def test_a_pack_that_is_nearly_full_gasses_at_once() -> None:
    run = charge_run(pack_of(), charger_of(), 0.95)
    assert run.gassing_from_h == run.main_h == 0
    assert run.total_h > 0


@pytest.mark.parametrize("chemistry", [Chemistry.AGM, Chemistry.GEL, Chemistry.LITHIUM])
def test_a_pack_that_does_not_gas_may_be_interrupted_to_the_end(chemistry: Chemistry) -> None:
    run = charge_run(pack_of(chemistry), charger_of(ChargeProfile.IUOU), 0.3)
    assert run.gassing_from_h == run.total_h


def test_lithium_takes_what_was_taken_out_and_little_more() -> None:
    run = charge_run(pack_of(Chemistry.LITHIUM, 200.0), charger_of(ChargeProfile.IUOU, 50.0), 0.2)
    # 160 Ah and 1 % at 50 A are 3.2 h; the end of it at a falling current takes a little longer.
    assert run.in_ah == pytest.approx(161.6)
    assert 3.2 < run.total_h < 4.2


@pytest.mark.parametrize("profile", [ChargeProfile.WA, ChargeProfile.WOWA])
def test_a_falling_charger_is_refused_on_a_sealed_pack(profile: ChargeProfile) -> None:
    with pytest.raises(BadInput, match="nothing holds down; scrubber 1 is gel"):
        charge_run(pack_of(Chemistry.GEL), charger_of(profile), 0.3)
    with pytest.raises(BadInput, match="Use a charger with a gel setting"):
        usual_taper(pack_of(Chemistry.GEL), charger_of(profile))


def test_a_lead_acid_charger_is_refused_on_lithium() -> None:
    with pytest.raises(BadInput, match="Use the charger that came with the pack"):
        charge_run(pack_of(Chemistry.LITHIUM), charger_of(ChargeProfile.IUIA), 0.3)


def test_air_is_not_blown_into_a_sealed_pack() -> None:
    with pytest.raises(BadInput, match="has none that moves"):
        charge_run(pack_of(Chemistry.AGM), charger_of(ChargeProfile.IUOU, circulates=True), 0.3)


@pytest.mark.parametrize("start", [-0.1, 1.1, 40, math.nan])
def test_a_start_that_is_no_share_is_refused(start: float) -> None:
    with pytest.raises(BadInput, match="enter a share from 0 to 1"):
        charge_run(pack_of(), charger_of(), start)


@pytest.mark.parametrize(("gassing", "share"), [(1.0, 0.5), (0.0, 0.5), (0.8, 1.2), (math.nan, 0.5), (0.8, math.nan)])
def test_a_taper_that_is_no_share_is_refused(gassing: float, share: float) -> None:
    with pytest.raises(BadInput, match=r"such as 0\.8 and 0\.75"):
        Taper(gassing_charge_fraction=gassing, share_fraction=share, origin=Origin.MEMORY)


def test_a_charger_that_is_too_small_or_too_big_is_remarked_on_and_not_refused() -> None:
    (small,) = charge_run(pack_of(), charger_of(main_a=12.0), 0.3).remarks
    assert str(small).startswith("wall charger is small for this pack: 5.00 A per 100 Ah, usual is 10.00 A per 100 Ah")
    (big,) = charge_run(pack_of(), charger_of(main_a=72.0), 0.3).remarks
    assert "big for this pack: 30.00 A per 100 Ah" in str(big)


def test_a_finish_that_boils_the_pack_is_remarked_on() -> None:
    (hot,) = charger_remarks(pack_of(), charger_of(finish_a=20.0))
    assert "ends with 8.33 A per 100 Ah; more than 5.00 A per 100 Ah" in str(hot)
    (dry,) = charger_remarks(pack_of(Chemistry.GEL), charger_of(ChargeProfile.IUIA, finish_a=12.0))
    assert "more than 1.50 A per 100 Ah" in str(dry)


def test_a_cold_or_hot_pack_waits() -> None:
    assert charge_weather(Chemistry.FLOODED, KELVIN_AT_0_C + 25) is None
    hot = charge_weather(Chemistry.FLOODED, KELVIN_AT_0_C + 45)
    cold = charge_weather(Chemistry.FLOODED, KELVIN_AT_0_C + 5)
    frost = charge_weather(Chemistry.AGM, KELVIN_AT_0_C - 5)
    assert hot is not None
    assert not hot.may_charge
    assert cold is not None
    assert cold.may_charge
    assert "Never charge a frozen pack" in str(cold.told)
    assert frost is not None
    assert not frost.may_charge


def test_lithium_is_not_charged_in_frost() -> None:
    frost = charge_weather(Chemistry.LITHIUM, KELVIN_AT_0_C - 1)
    assert frost is not None
    assert not frost.may_charge
    assert charge_weather(Chemistry.LITHIUM, KELVIN_AT_0_C + 5) is None


@pytest.mark.parametrize("kelvin", [25.0, 400.0, math.nan])
def test_a_temperature_that_cannot_be_gets_no_volts(kelvin: float) -> None:
    with pytest.raises(OutOfRange, match="Measure the electrolyte"):
        held_cell_v(HeldAt.FLOAT, kelvin)
