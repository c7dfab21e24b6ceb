"""Which machine charges when, on which circuit, and whether the room can take it.

Method ours, docs/explanation/charging-tonight.md.
"""

from collections.abc import Sequence

from scrubwright.battery.room_air import SPARK_M
from scrubwright.jobs.charging_answer import Charge, ChargingAnswer, ChargingNight
from scrubwright.jobs.charging_changes import clock, misfit
from scrubwright.jobs.charging_figures import air_figures, circuit_loads, money_figures
from scrubwright.jobs.charging_grid import Grid, charge_of, grid_of
from scrubwright.jobs.charging_search import Order, cheapest, earliest
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence

MOST_MACHINES = 24
MOST_CIRCUITS = 12

CAUTIONS = (
    Sentence("Switch the charger off before you pull, plug or move a lead: a spark lights the gas."),
    Sentence("Vent caps stay in place. The cover or seat above the pack stays open while it charges and cools."),
    Sentence(
        "No flame, spark, smoking or hot work within {spark_m} of a pack that charges, and for an hour after.",
        spark_m=SPARK_M,
    ),
    Sentence("Key off, brake set. Never charge a frozen, leaking or swollen pack."),
    Sentence(
        "Rotten-egg smell, hissing, smoke or a hot case: leave, air the room, and switch off at the panel from outside."
    ),
    Sentence(
        "The air figures are screening, not a design. Wiring and ventilation are for a qualified person, by the local "
        "rules; what the makers of pack and charger ask for comes first."
    ),
    Sentence("This plan switches nothing. Whoever is on site, or their timers, starts and pauses the chargers."),
)


def charging_tonight(night: ChargingNight) -> ChargingAnswer:
    """The order of the night's charges, or why there is none and what would make one.

    With a tariff the order costs the least, else it is done soonest; then it has few pauses. It is worked out in
    quarter hours, charges rounded up, and proved against a bound.

    Parameters
    ----------
    night
        Machines, circuits, tariff and room.

    Raises
    ------
    BadInput
        More machines or circuits, or a longer night, than the search is made for.
    """
    if len(night.machines) > MOST_MACHINES or len(night.circuits) > MOST_CIRCUITS:
        raise BadInput(
            "{machines} machines on {circuits} circuits are too many for one plan; it takes up to {most_machines} on "
            "{most_circuits}. Plan each room by itself.",
            machines=len(night.machines),
            circuits=len(night.circuits),
            most_machines=MOST_MACHINES,
            most_circuits=MOST_CIRCUITS,
        )
    grid = grid_of(night)
    order = cheapest(grid) if night.tariff else earliest(grid)
    return _answer(night, grid, order) if order.runs else _refusal(night, grid, order)


def _answer(night: ChargingNight, grid: Grid, order: Order) -> ChargingAnswer:
    charges = sorted((charge_of(night, grid, run) for run in order.runs), key=lambda charge: charge.spans[0])
    money = money_figures(night, cost_money=order.worth_ratio, bound_money=order.bound_ratio)
    air = air_figures(night, grid, order.runs)
    return ChargingAnswer(
        night=night,
        fits=True,
        why=_why_cheap(night, charges, money) if night.tariff else _why_early(night, grid, order, charges),
        changes=(),
        charges=tuple(charges),
        all_done_at=max(charge.spans[-1][1] for charge in charges),
        loads=circuit_loads(night, grid, order.runs),
        figures=(*money, *air),
        gap_fraction=order.gap_fraction,
        remarks=(*_small_room(night, air), *_remarks(night, charges)),
        cautions=CAUTIONS,
    )


def _refusal(night: ChargingNight, grid: Grid, order: Order) -> ChargingAnswer:
    found = misfit(night, grid, is_proved=order.is_proved)
    air = air_figures(night, grid, ())
    return ChargingAnswer(
        night=night,
        fits=False,
        why=found.why,
        changes=found.changes,
        charges=(),
        all_done_at=None,
        loads=(),
        figures=air,
        gap_fraction=None,
        remarks=(*_small_room(night, air), *_remarks(night, [])),
        cautions=CAUTIONS,
    )


def _why_cheap(night: ChargingNight, charges: list[Charge], money: Sequence[Sourced]) -> Sentence:
    value = {figure.name: figure.value for figure in money}
    return Sentence(
        "Every machine is ready in time, the last at {done}. The energy costs {cost_money}; no order costs less than "
        "{bound_money}.",
        done=_done(night, charges),
        cost_money=value["cost_money"],
        bound_money=value["bound_money"],
    )


def _why_early(night: ChargingNight, grid: Grid, order: Order, charges: list[Charge]) -> Sentence:
    last = max(charges, key=lambda charge: charge.spans[-1][1])
    if order.is_proved:
        return Sentence(
            "Every machine is done by {done}, and no order is done sooner. The last is {machine}, on {circuit}.",
            done=_done(night, charges),
            machine=last.machine,
            circuit=last.circuit,
        )
    return Sentence(
        "Every machine is done by {done}; no order is done before {bound}. The last is {machine}, on {circuit}.",
        done=_done(night, charges),
        bound=clock(grid.at(round(order.bound_ratio)), last.spans[-1][1]),
        machine=last.machine,
        circuit=last.circuit,
    )


def _done(night: ChargingNight, charges: list[Charge]) -> str:
    latest = max(machine.ready_by for machine in night.machines)
    return clock(max(charge.spans[-1][1] for charge in charges), latest)


def _small_room(night: ChargingNight, air: Sequence[Sourced]) -> tuple[Sentence, ...]:
    """That the room holds less air than the standard asks for where no fan changes it."""
    needed_m3 = next((figure.value for figure in air if figure.name == "needed_free_m3"), 0.0)
    free_m3 = None if night.room is None else night.room.free_m3
    if free_m3 is None or free_m3 >= needed_m3:
        return ()
    return (
        Sentence(
            "The room is too small to air itself: it holds {free_m3} of air, and {needed_m3} are asked for. Unless a "
            "fan changes its air, charge fewer machines in it at once, or move some to a larger room.",
            free_m3=free_m3,
            needed_m3=needed_m3,
        ),
    )


def _remarks(night: ChargingNight, charges: list[Charge]) -> tuple[Sentence, ...]:
    remarks = [
        Sentence("Counted in quarter hours: a charge that lasts a little more gets the whole of the last one."),
        Sentence("Each charger counts with its most amperes all the while; most draw less once they gas."),
    ]
    paused = [charge.machine for charge in charges if len(charge.spans) > 1]
    if paused:
        remarks.append(
            Sentence(
                "Paused before they gas, never after, by a timer or by hand: {machines}.", machines=", ".join(paused)
            )
        )
    unknown = [machine.name for machine in night.machines if machine.gas is None]
    if unknown:
        remarks.append(
            Sentence(
                "The air does not count these, whose packs are not known: {machines}.", machines=", ".join(unknown)
            )
        )
    if night.tariff and any(machine.before_gas_fraction is None for machine in night.machines):
        remarks.append(
            Sentence("Energy is spread evenly over the hours of a charge where nothing else is known of it.")
        )
    return tuple(remarks)
