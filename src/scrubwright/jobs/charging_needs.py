"""What the charge of one pack asks of its circuit and of the room's air."""

from dataclasses import dataclass

from scrubwright.battery.charge_curve import PROFILES, Stage, charge_curve, stage_times, usual_taper
from scrubwright.battery.charging import charge_run
from scrubwright.battery.gassing import gassing_a_per_ah
from scrubwright.battery.pack import Charger, Chemistry, Pack
from scrubwright.battery.room_air import GassingPack
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeNeeds:
    """One charge, as the night's plan sees it.

    Parameters
    ----------
    hours
        How long it takes, with its band [h].
    planned_h
        Hours to keep free for it [h].
    gassing_from_h
        From when on it gasses, counted from plug-in [h]; `planned_h` where it never does.
    energy
        From the wall [Wh].
    before_gas_fraction
        Share of it that flows before the pack gasses [0 to 1]; None where it never does.
    mains
        Drawn from the wall at its most [A]; None where the charger's plate tells nothing of it.
    gas
        The pack as the room's air sees it.
    remarks
        What is odd about this charger on this pack.
    """

    hours: Sourced
    planned_h: float
    gassing_from_h: float
    energy: Sourced
    before_gas_fraction: float | None
    mains: Sourced | None
    gas: GassingPack
    remarks: tuple[Sentence, ...]


def charge_needs(pack: Pack, charger: Charger, charge_fraction: float) -> ChargeNeeds:
    """What the charge of a pack takes, by the pack's and the charger's own figures.

    A flooded pack is planned with the long end of its hours: nine charges in ten are done by then, so the next one on
    the circuit may begin. A sealed or lithium pack is planned with its likely hours: its last part is a trickle
    that may be cut short now and then.

    Parameters
    ----------
    pack, charger
        Which fit each other.
    charge_fraction
        Charge left at plug-in [0 to 1].

    Raises
    ------
    BadInput
        The charger does not fit the pack, or the charge left is no share.

    Notes
    -----
    Method ours, docs/reference/charging-file.md.

    Examples
    --------
    >>> from scrubwright.battery.pack import ChargeProfile, RatedCapacity
    >>> pack = Pack(name="A", chemistry=Chemistry.AGM, cells=18, cut_off_v=1.75, rated_k=298.15,
    ...             capacities=(RatedCapacity(capacity_ah=200.0, over_h=5.0),))
    >>> needs = charge_needs(pack, Charger(name="B", profile=ChargeProfile.IUOU, main_a=40.0), 0.2)
    >>> round(needs.planned_h, 1), needs.gassing_from_h == needs.planned_h, needs.before_gas_fraction
    (11.0, True, None)
    """
    run = charge_run(pack, charger, charge_fraction)
    figures = {each.name: each for each in run.figures}
    hours = figures["charge_h"]
    gasses = pack.chemistry is Chemistry.FLOODED
    return ChargeNeeds(
        hours=hours,
        planned_h=hours.high if gasses and hours.high is not None else hours.value,
        gassing_from_h=run.gassing_from_h,
        energy=figures["energy_wh"],
        before_gas_fraction=_before_gas_fraction(pack, charger, charge_fraction, run.in_ah) if gasses else None,
        mains=figures.get("mains_a"),
        gas=GassingPack(
            cells=pack.cells,
            capacity_ah=pack.capacity_ah,
            gassing_a_per_ah=gassing_a_per_ah(pack.chemistry, charger.profile),
        ),
        remarks=run.remarks,
    )


def _before_gas_fraction(pack: Pack, charger: Charger, charge_fraction: float, in_ah: float) -> float:
    """Share of the energy that goes in before the gassing voltage is reached: ampere-hours times volts, by part."""
    curve = charge_curve(pack, charger, usual_taper(pack, charger))
    times = stage_times(curve, charge_fraction * pack.capacity_ah, in_ah)
    cell_v = {phase.stage: phase.cell_v for phase in PROFILES[charger.profile]}
    energy = {stage: cell_v[stage] * each.in_ah for stage, each in times.items()}
    return energy[Stage.MAIN] / sum(energy.values())
