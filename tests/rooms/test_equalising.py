"""Whether to equalise, how, and when it stops."""

import math

import pytest

from scrubwright.battery.equalising import TIME_LIMIT_H, EqualiseVerdict, equalise_look
from scrubwright.battery.equalising_stop import EqualiseReading, equalise_stop
from scrubwright.battery.pack import ChargeProfile, Chemistry
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import KELVIN_AT_0_C
from tests.rooms.charging_pairs import charger_of, pack_of

WARM_K = KELVIN_AT_0_C + 30


def reading(
    at_h: float, *gravities: float | None, k: float = WARM_K, boils: bool = False, hot_cell: bool = False
) -> EqualiseReading:
    return EqualiseReading(at_h=at_h, gravities_ratio=gravities, electrolyte_k=(k,), boils=boils, hot_cell=hot_cell)


@pytest.mark.parametrize("chemistry", [Chemistry.AGM, Chemistry.GEL, Chemistry.LITHIUM])
def test_a_pack_that_is_not_flooded_is_never_equalised(chemistry: Chemistry) -> None:
    look = equalise_look(pack_of(chemistry), None, spread_ratio=0.060)
    assert look.verdict is EqualiseVerdict.NEVER
    assert look.steps == ()
    assert "overcharge" in str(look.why[0])


def test_even_cells_are_left_alone() -> None:
    look = equalise_look(pack_of(), charger_of(), spread_ratio=0.030)
    assert look.verdict is EqualiseVerdict.NOT_NOW
    assert "0.030 apart" in str(look.why[0])
    assert look.steps == ()


def test_without_a_reading_the_cells_are_read_first() -> None:
    look = equalise_look(pack_of(), charger_of())
    assert (look.verdict, str(look.why[0]).split(". ")[-1]) == (EqualiseVerdict.NOT_NOW, "Read the cells first.")


def test_a_wide_spread_calls_for_it_with_steps() -> None:
    look = equalise_look(pack_of(), charger_of(), spread_ratio=0.032)
    assert look.verdict is EqualiseVerdict.EQUALISE
    told = " ".join(map(str, look.steps))
    assert "at most 12.0 A, and 46.50 V with the electrolyte at 25.0 °C" in told
    assert "at 46.0 °C, or after 6.00 h" in told
    assert "read the lowest quarter of the cells again" in told
    named = equalise_look(pack_of(), charger_of(), spread_ratio=0.032, gravities_ratio=(1.27, 1.238, 1.26, 1.27))
    assert "read cell 2 again" in " ".join(map(str, named.steps))


def test_every_reason_is_told() -> None:
    look = equalise_look(
        pack_of(),
        charger_of(ChargeProfile.IUOU),
        deepest_fraction=0.1,
        incomplete_charges=4,
        charges_since=25,
    )
    assert look.verdict is EqualiseVerdict.EQUALISE
    assert [str(why) for why in look.why] == [
        "It was worked down to 10.0 %; that deep, cells lag.",
        "4 charges in a row were cut short.",
        "The charger only holds a voltage, which leaves the acid unmixed, and 25 charges have passed.",
    ]


def test_a_charger_that_mixes_the_acid_needs_no_equalising_by_the_count() -> None:
    mixes = charger_of(ChargeProfile.IUOU, circulates=True)
    assert equalise_look(pack_of(), mixes, charges_since=100).verdict is EqualiseVerdict.NOT_NOW
    assert equalise_look(pack_of(), charger_of(), charges_since=100).verdict is EqualiseVerdict.NOT_NOW


@pytest.mark.parametrize("spread", [-0.01, math.nan])
def test_a_spread_that_cannot_be_is_refused(spread: float) -> None:
    with pytest.raises(BadInput):
        equalise_look(pack_of(), None, spread_ratio=spread)


def test_it_begins_with_a_reading() -> None:
    call = equalise_stop([])
    assert not call.stop
    assert "read every cell" in str(call.reason)


def test_it_goes_on_while_the_lowest_cells_rise() -> None:
    rows = [reading(0, 1.230, 1.270), reading(1, 1.236, 1.271), reading(2, 1.242, 1.271)]
    assert not equalise_stop(rows).stop
    assert not equalise_stop(rows[:2]).stop


def test_it_is_done_when_the_lowest_cells_have_stood_still_over_three_hourly_readings() -> None:
    rows = [
        reading(0, 1.230, 1.270),
        reading(1, 1.250, 1.272),
        reading(2, 1.251, 1.274),
        reading(3, 1.251, 1.278),
    ]
    assert not equalise_stop(rows[:3]).stop
    call = equalise_stop(rows)
    assert call.stop
    assert str(call.reason) == "The lowest cells (1) have not risen over 3 readings: it is done."
    assert call.cells == (1,)


def test_readings_minutes_apart_are_not_hourly_ones() -> None:
    rows = [reading(0.1 * n, 1.250, 1.270) for n in range(5)]
    assert not equalise_stop(rows).stop


def test_a_cell_not_read_does_not_end_it_and_is_asked_for() -> None:
    rows = [reading(0, 1.230, 1.270), reading(1, None, 1.270), reading(2, None, 1.270)]
    call = equalise_stop(rows)
    assert (call.stop, call.cells) == (False, ())
    assert str(call.reason).startswith("Read the lowest cells of the start each hour (1)")


def test_it_says_by_which_cells_it_judges_and_which_moment_to_write() -> None:
    call = equalise_stop([reading(0, 1.230, 1.270), reading(1, 1.236, 1.271)])
    assert call.cells == (1,)
    assert "(1) may still rise" in str(call.reason)
    assert "«in between»" in str(call.reason)


def test_without_a_gravity_at_the_start_nobody_can_tell() -> None:
    call = equalise_stop([reading(0, None, None)])
    assert "The first row holds no gravity" in str(call.reason)


@pytest.mark.parametrize("sign", ["boils", "hot_cell"])
def test_what_a_person_sees_stops_it_at_once(sign: str) -> None:
    seen = reading(1, 1.250, 1.270, boils=sign == "boils", hot_cell=sign == "hot_cell")
    call = equalise_stop([reading(0, 1.230, 1.270), seen])
    assert call.stop
    assert "have that cell looked at" in str(call.reason)


def test_heat_and_time_stop_it() -> None:
    hot = equalise_stop([reading(0, 1.230), reading(1, 1.240, k=KELVIN_AT_0_C + 46)])
    assert hot.stop
    assert "46.0 °C" in str(hot.reason)
    assert not equalise_stop([reading(0, 1.230), reading(1, 1.240, k=KELVIN_AT_0_C + 45.9)]).stop
    late = equalise_stop([reading(0, 1.230), reading(TIME_LIMIT_H, 1.260)])
    assert late.stop
    assert "the limit is 6.00 h" in str(late.reason)


def test_readings_out_of_order_or_of_other_cells_are_refused() -> None:
    with pytest.raises(BadInput, match="enter them in order"):
        equalise_stop([reading(1, 1.230), reading(0, 1.240)])
    with pytest.raises(BadInput, match="the same cells"):
        equalise_stop([reading(0, 1.230), reading(1, 1.240, 1.250)])


@pytest.mark.parametrize("kelvin", [25.0, 500.0, math.nan])
def test_a_reading_without_a_temperature_is_refused(kelvin: float) -> None:
    with pytest.raises(BadInput, match="measure at least one cell"):
        reading(1, 1.250, k=kelvin)
    with pytest.raises(BadInput):
        EqualiseReading(at_h=1.0, gravities_ratio=(1.25,), electrolyte_k=())
