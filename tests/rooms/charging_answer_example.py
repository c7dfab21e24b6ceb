"""Nights of charging small enough to check by hand: one that fits, with a pause and gas, and one that does not fit."""

from dataclasses import replace
from datetime import datetime, timedelta

from scrubwright.battery.room_air import GassingPack
from scrubwright.jobs.charging_answer import (
    Charge,
    ChargingAnswer,
    ChargingNight,
    Circuit,
    CircuitLoad,
    MachineToCharge,
    Room,
    Tariff,
)
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

HOME_AT = datetime(2026, 3, 10, 22, 0)
READY_BY = datetime(2026, 3, 11, 6, 0)


def at(clock: str) -> datetime:
    """A time of this night."""
    hour, minute = map(int, clock.split(":"))
    day = HOME_AT if hour >= 12 else READY_BY
    return day.replace(hour=hour, minute=minute)


# It gasses after 3 of its 5 hours: it charges from 22:00 to 23:30, pauses, and goes on at 01:00; so it gasses from
# 02:30 to 04:30.
WIDE = MachineToCharge(
    name="Wide disc",
    mains_a=9.0,
    charge_h=5.0,
    gassing_from_h=3.0,
    home_at=HOME_AT,
    ready_by=READY_BY,
    energy_wh=8000.0,
    before_gas_fraction=0.65,
    gas=GassingPack(cells=12, capacity_ah=500.0, gassing_a_per_ah=0.07),
    origins=(("charge_h", Origin.MEASURED), ("energy_wh", Origin.ESTIMATE), ("gassing_from_h", Origin.MEMORY)),
)
# Sealed, so it never gasses.
NARROW = MachineToCharge(
    name="Narrow disc",
    mains_a=7.0,
    charge_h=1.5,
    gassing_from_h=1.5,
    home_at=HOME_AT,
    ready_by=READY_BY,
    energy_wh=1500.0,
    gas=GassingPack(cells=12, capacity_ah=160.0, gassing_a_per_ah=0.01),
    origins=(("charge_h", Origin.MEMORY), ("energy_wh", Origin.MEASURED)),
)
OLD = MachineToCharge(
    name="Old disc with the bent squeegee",
    mains_a=6.0,
    charge_h=6.0,
    gassing_from_h=0.0,
    home_at=at("23:00"),
    ready_by=READY_BY,
    energy_wh=5000.0,
    gas=GassingPack(cells=12, capacity_ah=180.0, gassing_a_per_ah=0.07),
    origins=(("charge_h", Origin.MEMORY), ("energy_wh", Origin.MEMORY), ("gassing_from_h", Origin.ESTIMATE)),
)
NIGHT = ChargingNight(
    machines=(WIDE, NARROW, OLD),
    circuits=(
        Circuit(name="Panel, 4", breaker_a=16.0, other_load_a=1.5, machines=("Wide disc", "Narrow disc")),
        Circuit(name="Bay 4", breaker_a=20.0),
    ),
    tariff=(
        Tariff(from_at=at("22:00"), price_money_per_kwh=0.17),
        Tariff(from_at=READY_BY.replace(hour=7), price_money_per_kwh=0.31),
    ),
    room=Room(free_m3=190.0, air_m3_per_h=60.0),
)


def fitting_answer() -> ChargingAnswer:
    """Everything is ready in time; the wide disc pauses for the narrow one, which shares its circuit."""
    return ChargingAnswer(
        night=NIGHT,
        fits=True,
        why=Sentence(
            "Every machine is ready in time, the last at {done}. The energy costs {cost_money}; no order costs less "
            "than {bound_money}.",
            done="05:00",
            cost_money=2.465,
            bound_money=2.465,
        ),
        changes=(),
        charges=(
            Charge(
                machine="Wide disc",
                circuit="Panel, 4",
                spans=((HOME_AT, at("23:30")), (at("1:00"), at("4:30"))),
            ),
            Charge(machine=OLD.name, circuit="Bay 4", spans=((at("23:00"), at("5:00")),)),
            Charge(machine="Narrow disc", circuit="Panel, 4", spans=((at("23:30"), at("1:00")),)),
        ),
        all_done_at=at("5:00"),
        loads=(
            CircuitLoad(circuit="Panel, 4", most_a=9.0, limit_a=11.3),
            CircuitLoad(circuit="Bay 4", most_a=6.0, limit_a=16.0),
        ),
        figures=(
            _figure("energy_wh", 14_500.0, Sentence("Energy from the wall")),
            _figure("cost_money", 2.465, Sentence("Cost of the energy by this order")),
            _figure("bound_money", 2.465, Sentence("No order costs less than")),
            # 0.055 x 12 x (500 x 0.07 + 160 x 0.01 + 180 x 0.07) = 0.66 x 49.2
            _figure("all_at_once_m3_per_h", 32.472, Sentence("Air, if all charge at once")),
            _figure("opening_m2", 0.0909216, Sentence("Free opening low, and again high, without a fan")),
            _figure("needed_free_m3", 81.18, Sentence("Free volume of the room, without a fan")),
        ),
        gap_fraction=0.0,
        remarks=(
            Sentence("Counted in quarter hours: a charge that lasts a little more gets the whole of the last one."),
        ),
        cautions=(Sentence("Switch the charger off before you pull, plug or move a lead: a spark lights the gas."),),
    )


def misfit_answer() -> ChargingAnswer:
    """The same machines, but the old disc must be ready half an hour too early."""
    late = replace(OLD, ready_by=at("4:30"), energy_wh=None)
    return ChargingAnswer(
        night=ChargingNight(machines=(WIDE, NARROW, late), circuits=NIGHT.circuits),
        fits=False,
        why=Sentence(
            "{machine} charges for {charge_h}, but has only {time_h} from {home} to {ready}.",
            machine=OLD.name,
            charge_h=6.0,
            time_h=5.5,
            home="23:00",
            ready="04:30",
        ),
        changes=(
            Sentence(
                "Be ready later: {machines}.",
                machines=(
                    Sentence(
                        "{machine} at {later} instead of {wanted}", machine=OLD.name, later="05:00", wanted="04:30"
                    ),
                ),
            ),
            Sentence("Leave out tonight, or charge in another place: {machines}.", machines=OLD.name),
        ),
        charges=(),
        all_done_at=None,
        loads=(),
        figures=(),
        gap_fraction=None,
        remarks=(),
        cautions=(Sentence("Switch the charger off before you pull, plug or move a lead: a spark lights the gas."),),
    )


def long_answer() -> ChargingAnswer:
    """One machine over a weekend, when a time of day alone could mean two times."""
    weekend = MachineToCharge(
        name="Wide disc",
        mains_a=9.0,
        charge_h=5.0,
        gassing_from_h=5.0,
        home_at=HOME_AT,
        ready_by=READY_BY + timedelta(days=2),
    )
    return ChargingAnswer(
        night=ChargingNight(machines=(weekend,), circuits=(Circuit(name="Bay 4", breaker_a=20.0),)),
        fits=True,
        why=Sentence("{machine} on {circuit}", machine="Wide disc", circuit="Bay 4"),
        changes=(),
        charges=(Charge(machine="Wide disc", circuit="Bay 4", spans=((HOME_AT, at("3:00")),)),),
        all_done_at=at("3:00"),
        loads=(CircuitLoad(circuit="Bay 4", most_a=9.0, limit_a=16.0),),
        figures=(),
        gap_fraction=0.0,
        remarks=(),
        cautions=(),
    )


def _figure(name: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=detail)
