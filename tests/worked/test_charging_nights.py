"""Nights of charging, each worked by hand in the comment above it."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from scrubwright.battery.room_air import GassingPack
from scrubwright.jobs.charging_answer import Charge, ChargingNight, Circuit, MachineToCharge, Room, Tariff
from scrubwright.jobs.charging_grid import grid_of
from scrubwright.jobs.charging_tonight import charging_tonight

EVENING = datetime(2026, 11, 25, 18)
LATE = EVENING + timedelta(hours=24)


def machine(name: str, mains_a: float, charge_h: float, **more: object) -> MachineToCharge:
    given = {"gassing_from_h": 0.0, "home_at": EVENING, "ready_by": LATE} | more
    return MachineToCharge(name=name, mains_a=mains_a, charge_h=charge_h, **given)  # type: ignore[arg-type]


def at(hours_h: float) -> datetime:
    return EVENING + timedelta(hours=hours_h)


@pytest.mark.parametrize(("breaker_a", "limit_a", "power_w"), [(15.0, 12.0, 1440), (20.0, 16.0, 1920)])
def test_a_breaker_carries_four_fifths_of_its_rating_for_hours(breaker_a: float, limit_a: float, power_w: int) -> None:
    # 80 % of 15 A and of 20 A; at 120 V 1,440 W and 1,920 W (National Electrical Code 210.20(A), 210.23(A)(1)).
    circuit = Circuit(name="1", breaker_a=breaker_a)
    assert circuit.limit_a == pytest.approx(limit_a)
    assert 120 * circuit.limit_a == pytest.approx(power_w)
    assert Circuit(name="1", breaker_a=breaker_a, other_load_a=4.0).limit_a == pytest.approx(limit_a - 4)


def test_five_machines_on_three_circuits_take_thirteen_and_a_half_hours() -> None:
    # Limits 16, 16, 12 A. A and B draw 11.6 A, C and D 8.8 A: no two of these four fit on one circuit (8.8 + 8.8 =
    # 17.6 A), so two of them follow each other somewhere; the shortest two are C, 6.5 h, and D, 7 h: 13.5 h. A takes
    # 9.3 h, 9.5 h in quarters, B 8 h; E, 6 A and 5 h, fits beside C or D (14.8 A). So 13.5 h is the least.
    night = ChargingNight(
        machines=(
            machine("A", 11.6, 9.3),
            machine("B", 11.6, 8.0),
            machine("C", 8.8, 6.5),
            machine("D", 8.8, 7.0),
            machine("E", 6.0, 5.0),
        ),
        circuits=(
            Circuit(name="1", breaker_a=20.0),
            Circuit(name="2", breaker_a=20.0),
            Circuit(name="3", breaker_a=15.0),
        ),
    )
    answer = charging_tonight(night)
    assert answer.fits
    assert answer.all_done_at == at(13.5)
    assert answer.gap_fraction == 0


def test_a_charger_of_more_than_four_fifths_of_the_breaker_is_refused() -> None:
    # A 30 A charger of 36 V: 18 cells x 2.45 V x 30 A / (0.87 x 0.95 x 120 V) = 13.34 A. 80 % of 15 A are 12 A, and
    # 13.34 / 0.8 = 16.68 A, told as 16.7 A.
    night = ChargingNight(machines=(machine("A", 13.34, 8.0),), circuits=(Circuit(name="Panel, 3", breaker_a=15.0),))
    answer = charging_tonight(night)
    assert not answer.fits
    assert str(answer.why).startswith(
        "A draws 13.3 A. The most that chargers may draw where it can be plugged in is 12.0 A, on Panel, 3:"
    )
    assert [str(change) for change in answer.changes] == [
        "Have an electrician put in one more circuit, with a breaker of 16.7 A or the next size up."
    ]
    assert charging_tonight(replace(night, circuits=(Circuit(name="1", breaker_a=16.7),))).fits


def test_a_charge_goes_where_energy_is_cheap_and_pauses_before_it_gasses() -> None:
    # 8 kWh over 8 h, half of it in the 4 h before it gasses. 20:00 to 22:00 and 02:00 to 08:00 cost 0.10, else 0.30.
    # The last 4 h must stay together: in the cheap six hours from 02:00. Two of the early hours fit before 22:00 and
    # two more from 02:00 on: all 8 kWh at 0.10 = 0.80. Without a pause, the best 8 h in a row are 00:00 to 08:00:
    # 2 kWh at 0.30 and 6 at 0.10 = 1.20.
    tariff = tuple(
        Tariff(from_at=at(hour), price_money_per_kwh=price)
        for hour, price in ((0, 0.3), (2, 0.1), (4, 0.3), (8, 0.1), (14, 0.3))
    )
    night = ChargingNight(
        machines=(machine("A", 10.0, 8.0, gassing_from_h=4.0, energy_wh=8000.0, ready_by=at(14)),),
        circuits=(Circuit(name="1", breaker_a=16.0),),
        tariff=tariff,
    )
    answer = charging_tonight(night)
    assert answer.charges == (Charge(machine="A", circuit="1", spans=((at(2), at(4)), (at(8), at(14)))),)
    assert {each.name: round(each.value, 6) for each in answer.figures} == {
        "energy_wh": 8000.0,
        "cost_money": 0.8,
        "bound_money": 0.8,
    }
    steady = charging_tonight(replace(night, may_pause=False))
    assert steady.charges[0].spans == ((at(6), at(14)),)
    assert {each.name: each.value for each in steady.figures}["cost_money"] == pytest.approx(1.2)


def test_most_of_the_energy_flows_before_the_gas() -> None:
    # 8 h, gas after 4 h, 80 % of 10 kWh before: 16 quarters of 0.5 kWh, then 16 of 0.125 kWh; at 0.20 a kWh 0.10 and
    # 0.025 a quarter.
    each = machine("A", 10.0, 8.0, gassing_from_h=4.0, energy_wh=10_000.0, before_gas_fraction=0.8)
    night = ChargingNight(
        machines=(each,),
        circuits=(Circuit(name="1", breaker_a=16.0),),
        tariff=(Tariff(from_at=EVENING, price_money_per_kwh=0.2),),
    )
    grid = grid_of(night)
    assert (grid.charges[0].early, grid.charges[0].late) == (16, 16)
    assert grid.cost_money(0, 15, 0) == pytest.approx(0.1)
    assert grid.cost_money(0, 16, 0) == pytest.approx(0.025)


def test_the_air_of_two_machines_that_follow_each_other_is_that_of_both() -> None:
    # 12 cells x 0.07 x 200 Ah = 168 A of gas; 0.055 x 168 = 9.24 m³/h each. Gas goes on for an hour after the end, so
    # the second one, which begins right after the first, needs its own air beside it: 18.48 m³/h.
    gas = GassingPack(cells=12, capacity_ah=200.0, gassing_a_per_ah=0.07)
    night = ChargingNight(
        machines=(machine("A", 10.0, 2.0, gas=gas), machine("B", 10.0, 2.0, gas=gas)),
        circuits=(Circuit(name="1", breaker_a=16.0),),
    )
    figures = {each.name: each.value for each in charging_tonight(night).figures}
    assert figures["all_at_once_m3_per_h"] == pytest.approx(18.48)
    assert figures["this_order_m3_per_h"] == pytest.approx(18.48)
    # 28 cm² for each m³/h are 517 cm², 2.5 m³ for each are 46.2 m³.
    assert figures["opening_m2"] * 1e4 == pytest.approx(517.44)
    assert figures["needed_free_m3"] == pytest.approx(46.2)
    # With air for one, the second one waits for that hour: 2 + 1 + 2 h.
    aired = charging_tonight(replace(night, room=Room(free_m3=60.0, air_m3_per_h=10.0)))
    assert aired.all_done_at == at(5)
    assert {each.name: each.value for each in aired.figures}["this_order_m3_per_h"] == pytest.approx(9.24)


def test_hydrogen_of_one_machine_in_a_shut_closet() -> None:
    # 12 cells x 14 A x 0.4564 l/Ah = 76.67 l/h, from the first moment on for 2 h and the hour after: 230 l in 30 m³,
    # 1 - exp(-0.2300 / 30) = 0.764 %. One percent after 30 / 0.07667 x ln(1 / 0.99) = 3.93 h.
    gas = GassingPack(cells=12, capacity_ah=200.0, gassing_a_per_ah=0.07)
    night = ChargingNight(
        machines=(machine("A", 10.0, 2.0, gas=gas),),
        circuits=(Circuit(name="1", breaker_a=16.0),),
        room=Room(free_m3=30.0),
    )
    figures = {each.name: each.value for each in charging_tonight(night).figures}
    assert figures["shut_fraction"] == pytest.approx(0.00764, abs=0.00001)
    assert figures["until_one_percent_h"] == pytest.approx(3.93, abs=0.01)
