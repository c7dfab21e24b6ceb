"""The numbers of a night's charging: air, hydrogen, openings, energy and cost, each with where it comes from."""

import math
from collections.abc import Sequence

from scrubwright.battery.room_air import (
    ALARM_FRACTION,
    BURNS_FRACTION,
    GassingPack,
    concentration_fraction,
    free_volume_m3,
    hydrogen_m3_per_h,
    one_percent_air_m3_per_h,
    opening_m2,
    until_share_h,
    ventilation_m3_per_h,
)
from scrubwright.jobs.charging_answer import ChargingNight, CircuitLoad
from scrubwright.jobs.charging_grid import AFTER_GAS_SLOTS, SLOT_H, Grid, Run
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence


def circuit_loads(night: ChargingNight, grid: Grid, runs: Sequence[Run]) -> tuple[CircuitLoad, ...]:
    """The most that chargers draw at once on each circuit, against its limit."""
    loads = []
    for number, circuit in enumerate(night.circuits):
        by_slot_a: dict[int, float] = {}
        for run in runs:
            if run.circuit == number:
                for slot in run.slots:
                    by_slot_a[slot] = by_slot_a.get(slot, 0.0) + grid.charges[run.charge].mains_a
        loads.append(
            CircuitLoad(circuit=circuit.name, most_a=max(by_slot_a.values(), default=0.0), limit_a=circuit.limit_a)
        )
    return tuple(loads)


def money_figures(night: ChargingNight, *, cost_money: float, bound_money: float) -> tuple[Sourced, ...]:
    """Energy and cost of an order; none without a tariff.

    Parameters
    ----------
    night
        The question.
    cost_money
        What the order costs.
    bound_money
        What no order costs less than.
    """
    if not night.tariff:
        return ()
    energy_wh = sum(machine.energy_wh or 0.0 for machine in night.machines)
    return (
        _worked_out("energy_wh", energy_wh, Sentence("Energy from the wall")),
        _worked_out("cost_money", cost_money, Sentence("Cost of the energy by this order")),
        _worked_out("bound_money", bound_money, Sentence("No order costs less than")),
    )


def air_figures(night: ChargingNight, grid: Grid, runs: Sequence[Run]) -> tuple[Sourced, ...]:
    """Air that the room must change, openings and volume for it, and hydrogen where the room's volume is known.

    Parameters
    ----------
    night, grid
        The question.
    runs
        An order; empty where none was found.
    """
    packs = [machine.gas for machine in night.machines if machine.gas is not None]
    if not ventilation_m3_per_h(packs):
        return ()
    together = _packs_together(night, grid, runs)
    sized = together or packs
    air_m3_per_h = ventilation_m3_per_h(sized)
    figures = [
        _worked_out("all_at_once_m3_per_h", ventilation_m3_per_h(packs), Sentence("Air, if all charge at once")),
    ]
    if together:
        figures.append(_worked_out("this_order_m3_per_h", air_m3_per_h, Sentence("Air, most at once by this order")))
    figures += [
        _worked_out(
            "one_percent_m3_per_h",
            one_percent_air_m3_per_h(sized),
            Sentence("Air that holds it at 1 % of hydrogen, the United States form"),
        ),
        _worked_out(
            "opening_m2", opening_m2(air_m3_per_h), Sentence("Free opening low, and again high, without a fan")
        ),
        _worked_out("needed_free_m3", free_volume_m3(air_m3_per_h), Sentence("Free volume of the room, without a fan")),
    ]
    return (*figures, *_hydrogen_figures(night, grid, runs, packs))


def _hydrogen_figures(
    night: ChargingNight, grid: Grid, runs: Sequence[Run], packs: Sequence[GassingPack]
) -> list[Sourced]:
    """How high hydrogen rises, where the room's volume is known."""
    if night.room is None or night.room.free_m3 is None:
        return []
    free_m3, given = night.room.free_m3, night.room.air_m3_per_h
    gas_m3_per_h = hydrogen_m3_per_h(packs)
    figures = [
        _worked_out(name, until_share_h(share, gas_m3_per_h, free_m3), said)
        for name, share, said in (
            ("until_one_percent_h", ALARM_FRACTION, Sentence("Shut room, all gassing: 1 % of hydrogen after")),
            ("until_it_burns_h", BURNS_FRACTION, Sentence("Shut room, all gassing: 4 %, where it burns, after")),
        )
    ]
    if runs:
        shut = _highest_fraction(night, grid, runs, free_m3, 0.0)
        figures.append(
            _worked_out("shut_fraction", shut, Sentence("Highest share of hydrogen by this order, room shut"))
        )
    if runs and given is not None:
        aired = _highest_fraction(night, grid, runs, free_m3, given)
        figures.append(_worked_out("aired_fraction", aired, Sentence("The same with the air that you gave")))
    return [each for each in figures if math.isfinite(each.value)]


def _packs_together(night: ChargingNight, grid: Grid, runs: Sequence[Run]) -> list[GassingPack]:
    """The packs that charge, or did within the hour, at the moment when they need the most air."""
    best: list[GassingPack] = []
    for slot in range(grid.slots):
        here = []
        for run in runs:
            gas = night.machines[run.charge].gas
            if gas is not None and (slot in run.slots or 0 <= slot - run.ends < AFTER_GAS_SLOTS):
                here.append(gas)
        if ventilation_m3_per_h(here) > ventilation_m3_per_h(best):
            best = here
    return best


def _highest_fraction(
    night: ChargingNight, grid: Grid, runs: Sequence[Run], free_m3: float, air_m3_per_h: float
) -> float:
    """Highest share of hydrogen in the mixed air by an order, slot by slot.

    Each pack gives its full gas from the slot in which it begins to gas until an hour after its end.
    """
    share = highest = 0.0
    for slot in range(grid.slots + AFTER_GAS_SLOTS):
        gassing = []
        for run in runs:
            gas = night.machines[run.charge].gas
            begins = run.slots[grid.charges[run.charge].early]
            if gas is not None and begins <= slot < run.ends + AFTER_GAS_SLOTS:
                gassing.append(gas)
        share = concentration_fraction(
            hydrogen_m3_per_h(gassing), free_m3, over_h=SLOT_H, air_m3_per_h=air_m3_per_h, start_fraction=share
        )
        highest = max(highest, share)
    return highest


def _worked_out(name: str, value: float, detail: Sentence) -> Sourced:
    return Sourced(name=name, value=value, origin=Origin.ESTIMATE, detail=detail)
