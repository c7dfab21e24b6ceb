"""A night of several chargers: an ordinary one, nights that do not fit, and what is refused."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scrubwright.battery.room_air import GassingPack
from scrubwright.jobs.charging_answer import ChargingAnswer, ChargingNight, Circuit, MachineToCharge, Room, Tariff
from scrubwright.jobs.charging_tonight import CAUTIONS, MOST_MACHINES, charging_tonight
from scrubwright.measures.errors import BadInput

EVENING = datetime(2026, 11, 25, 20)
GAS = GassingPack(cells=18, capacity_ah=225.0, gassing_a_per_ah=0.06)


def at(hours_h: float) -> datetime:
    return EVENING + timedelta(hours=hours_h)


A = MachineToCharge(name="A", mains_a=10.0, charge_h=6.0, gassing_from_h=4.0, home_at=EVENING, ready_by=at(10), gas=GAS)
B = replace(A, name="B")
ONE = Circuit(name="One", breaker_a=16.0)
TWO = Circuit(name="Two", breaker_a=16.0)


def answer_of(*machines: MachineToCharge, circuits: tuple[Circuit, ...] = (ONE,), **more: object) -> ChargingAnswer:
    return charging_tonight(ChargingNight(machines=machines, circuits=circuits, **more))  # type: ignore[arg-type]


def changes_of(answer: ChargingAnswer) -> list[str]:
    return [str(change) for change in answer.changes]


def test_two_machines_that_fit_on_two_circuits_begin_at_once() -> None:
    answer = answer_of(A, B, circuits=(ONE, TWO))
    assert answer.fits
    assert [charge.spans for charge in answer.charges] == [((EVENING, at(6)),)] * 2
    assert {charge.circuit for charge in answer.charges} == {"One", "Two"}
    assert answer.all_done_at == at(6)
    assert [load.most_a for load in answer.loads] == [10.0, 10.0]
    assert [load.limit_a for load in answer.loads] == pytest.approx([12.8, 12.8])
    assert str(answer.why).startswith("Every machine is done by 02:00, and no order is done sooner.")
    assert answer.cautions == CAUTIONS


def test_every_answer_says_that_it_is_no_design_and_switches_nothing() -> None:
    told = " ".join(str(caution) for caution in answer_of(A).cautions)
    for said in ("screening, not a design", "qualified person", "switches nothing", "charger off", "0.50 m"):
        assert said in told


def test_a_circuit_that_is_too_full_names_who_is_left_and_what_would_help() -> None:
    # 10 + 10 A do not go on 12.8 A, so A and B take 12 h of the 10.
    answer = answer_of(A, B)
    assert not answer.fits
    assert answer.charges == ()
    left = str(answer.why)[-2]
    assert left in "AB"
    assert str(answer.why) == f"The circuits are too full to charge every machine in time. Without a place: {left}."
    assert changes_of(answer) == [
        f"Be ready later: {left} at 08:00 instead of 06:00.",
        f"Leave out tonight, or charge in another place: {left}.",
        "Have an electrician put in one more circuit, with a breaker of 12.5 A or the next size up.",
    ]
    # Each of them is enough, and a little less is not.
    assert answer_of(A, replace(B, ready_by=at(12))).fits
    assert not answer_of(A, replace(B, ready_by=at(11.75))).fits
    assert answer_of(A).fits
    assert answer_of(A, B, circuits=(ONE, Circuit(name="New", breaker_a=12.5))).fits
    assert not answer_of(A, B, circuits=(ONE, Circuit(name="New", breaker_a=12.4))).fits


def test_a_load_that_can_be_taken_off_is_told() -> None:
    busy = Circuit(name="Two", breaker_a=16.0, other_load_a=4.0)
    answer = answer_of(A, B, circuits=(ONE, busy))
    assert "Take the other load of 4.0 A off Two." in changes_of(answer)
    assert answer_of(A, B, circuits=(ONE, TWO)).fits


def test_a_machine_that_is_plugged_in_at_the_wrong_place_is_moved() -> None:
    kept = replace(TWO, machines=("C",))
    c = replace(A, name="C", charge_h=2.0, gassing_from_h=1.0)
    answer = answer_of(A, B, c, circuits=(ONE, kept))
    assert str(answer.why).startswith("The plugs are the reason: other circuits have room")
    assert changes_of(answer)[0] in ("Plug in elsewhere: A on Two.", "Plug in elsewhere: B on Two.")


def test_a_night_that_only_fits_with_a_pause_says_so() -> None:
    # B must charge from 21:00 to 00:00. A has one hour before that and five after: 6 h, four of them before it gasses.
    a = replace(A, ready_by=at(9))
    b = replace(B, charge_h=3.0, gassing_from_h=0.0, home_at=at(1), ready_by=at(4))
    answer = answer_of(a, b)
    assert {charge.machine: charge.spans for charge in answer.charges} == {
        "A": ((at(0), at(1)), (at(4), at(9))),
        "B": ((at(1), at(4)),),
    }
    assert "Paused before they gas, never after, by a timer or by hand: A." in [str(each) for each in answer.remarks]
    steady = answer_of(a, b, may_pause=False)
    assert not steady.fits
    assert changes_of(steady)[0] == (
        "Let charges pause before they gas: with timers, or somebody who switches the chargers."
    )
    # Once it gasses, it is never interrupted, whatever that costs.
    assert not answer_of(replace(a, gassing_from_h=0.5), b).fits


def test_a_charge_without_time_even_alone_is_named() -> None:
    answer = answer_of(replace(A, ready_by=at(5)), B, circuits=(ONE, TWO))
    assert str(answer.why) == "A charges for 6.00 h, but has only 5.00 h from 20:00 to 01:00."
    assert changes_of(answer) == [
        "Be ready later: A at 02:00 instead of 01:00.",
        "Leave out tonight, or charge in another place: A.",
    ]


def test_a_machine_without_a_plug_is_named() -> None:
    answer = answer_of(A, B, circuits=(replace(ONE, machines=("A",)),))
    assert str(answer.why) == "B cannot be plugged in on any circuit."


def test_air_limits_how_many_charge_at_once() -> None:
    # 0.055 x 18 x 0.06 x 225 = 13.365 m³/h each. With 15 m³/h one follows the other, after its hour of gas: 13 h.
    two = (ONE, TWO)
    assert answer_of(A, B, circuits=two, room=Room(air_m3_per_h=27.0)).all_done_at == at(6)
    late = [replace(each, ready_by=at(14)) for each in (A, B)]
    assert answer_of(*late, circuits=two, room=Room(air_m3_per_h=15.0)).all_done_at == at(13)
    answer = answer_of(A, B, circuits=two, room=Room(air_m3_per_h=15.0))
    assert str(answer.why).startswith("The room's air of 15.0 m³/h is the reason")
    assert "Change more air: 26.7 m³/h instead of 15.0 m³/h." in changes_of(answer)


@pytest.mark.parametrize(("free_m3", "is_told"), [(30.0, True), (33.4, True), (33.5, False), (None, False)])
def test_a_room_too_small_to_air_itself_is_told(free_m3: float | None, is_told: bool) -> None:
    # One pack asks for 13.365 m³/h and for 2.5 x 13.365 = 33.41 m³ of free volume.
    answer = answer_of(A, room=Room(free_m3=free_m3))
    assert any("too small to air itself" in str(remark) for remark in answer.remarks) == is_told
    if is_told:
        assert "33.4 m³ are asked for" in str(answer.remarks[0])


def test_one_machine_that_needs_more_air_than_there_is_is_named() -> None:
    answer = answer_of(A, room=Room(air_m3_per_h=10.0))
    assert str(answer.why) == "A alone needs 13.4 m³/h of air; the room changes 10.0 m³/h."
    assert changes_of(answer)[0] == "Change more air: 13.4 m³/h instead of 10.0 m³/h."


def test_a_pack_that_nobody_knows_is_left_out_of_the_air_and_told() -> None:
    answer = answer_of(replace(A, gas=None), B, circuits=(ONE, TWO))
    assert "The air does not count these, whose packs are not known: A." in [str(each) for each in answer.remarks]
    figures = {each.name: each.value for each in answer.figures}
    assert figures["all_at_once_m3_per_h"] == pytest.approx(13.365)


def test_a_pack_that_does_not_gas_asks_for_no_air_and_may_always_pause() -> None:
    lithium = replace(A, gassing_from_h=6.0, gas=replace(GAS, gassing_a_per_ah=0.0))
    answer = answer_of(lithium, room=Room(free_m3=20.0, air_m3_per_h=0.0))
    assert answer.fits
    assert answer.figures == ()


def test_times_between_the_quarter_hours_are_rounded_to_the_careful_side() -> None:
    # Home at 20:05 begins at 20:15; 5 h 50 min take 6 h; ready by 02:20 means 02:15.
    late = replace(A, charge_h=5 + 50 / 60, home_at=EVENING + timedelta(minutes=5), ready_by=at(6 + 1 / 3))
    assert answer_of(late).charges[0].spans == ((at(0.25), at(6.25)),)
    assert not answer_of(replace(late, ready_by=at(6 + 14 / 60))).fits


def test_the_same_question_has_the_same_answer() -> None:
    hours = {"A": 3.0, "B": 2.5, "C": 3.5, "D": 4.0}
    machines = [replace(A, name=name, charge_h=each, gassing_from_h=2.0) for name, each in hours.items()]
    assert answer_of(*machines, circuits=(ONE, TWO)) == answer_of(*machines, circuits=(ONE, TWO))


@pytest.mark.parametrize(
    ("build", "said"),
    [
        (lambda: ChargingNight(machines=(), circuits=(ONE,)), "No machine is to be charged"),
        (lambda: ChargingNight(machines=(A,), circuits=()), "There is no circuit"),
        (lambda: ChargingNight(machines=(A, A), circuits=(ONE,)), 'Two are called "A"'),
        (lambda: ChargingNight(machines=(A,), circuits=(ONE, ONE)), 'Two are called "One"'),
        (
            lambda: ChargingNight(machines=(A,), circuits=(replace(ONE, machines=("Z",)),)),
            'One is for "Z", which does not charge tonight; machines tonight: A',
        ),
        (
            lambda: ChargingNight(
                machines=(A,), circuits=(ONE,), tariff=(Tariff(from_at=EVENING, price_money_per_kwh=0.2),)
            ),
            "Prices are given, but not what A takes",
        ),
        (
            lambda: ChargingNight(
                machines=(replace(A, energy_wh=9000.0),),
                circuits=(ONE,),
                tariff=(
                    Tariff(from_at=at(1), price_money_per_kwh=0.2),
                    Tariff(from_at=EVENING, price_money_per_kwh=0.1),
                ),
            ),
            "must follow each other in time",
        ),
        (
            lambda: ChargingNight(machines=(replace(A, gas=None),), circuits=(ONE,), room=Room(air_m3_per_h=20.0)),
            "the pack of A is not known",
        ),
        (lambda: replace(A, gassing_from_h=7.0), "A gasses from 7.00 h on but charges for 6.00 h"),
        (lambda: replace(A, before_gas_fraction=1.2), "share of energy before the gas is 1.2 for A"),
        (lambda: replace(A, ready_by=EVENING), "A must be ready before it is home"),
        (lambda: replace(A, mains_a=float("nan")), "mains_a is nan"),
        (lambda: replace(A, energy_wh=0.0), "energy_wh is 0"),
        (lambda: Circuit(name="1", breaker_a=0.0), "breaker_a is 0"),
        (lambda: Circuit(name="1", breaker_a=16.0, other_load_a=-1.0), "other_load_a is -1"),
        (lambda: Tariff(from_at=EVENING, price_money_per_kwh=-0.1), "price_money_per_kwh is -0.1"),
        (lambda: Room(free_m3=0.0), "free_m3 is 0"),
        (lambda: Room(air_m3_per_h=-1.0), "air_m3_per_h is -1"),
        (lambda: answer_of(replace(A, ready_by=at(80))), "The first machine is home 80.00 h before"),
        (
            lambda: answer_of(*(replace(A, name=str(number)) for number in range(MOST_MACHINES + 1))),
            "25 machines on 1 circuits are too many",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(build: object, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        build()  # type: ignore[operator]
