"""What logged plug-in and finish times say about where a charger's current begins to fall."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from scrubwright.battery.charge_curve import Taper, usual_taper
from scrubwright.battery.charging import charge_h
from scrubwright.battery.pack import Charger, Pack
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin

# The usual value weighs as much as this many logs.
WEIGHT_OF_USUAL = 3
# Between these the place is looked for.
EARLIEST_FRACTION, LATEST_FRACTION = 0.40, 0.98
# A charge whose hours change by less than this between the two says nothing about the place.
TELLING_H = 0.5
# Scatter is given from this many logs on; a median deviation times this is a standard deviation.
LOGS_FOR_SPREAD, DEVIATIONS = 4, 1.4826


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeLog:
    """One charge as logged.

    Parameters
    ----------
    start_fraction
        Charge left at plug-in [0 to 1].
    total_h
        From plug-in to the charger's own end [h, > 0].
    """

    start_fraction: float
    total_h: float

    def __post_init__(self) -> None:
        check_above_zero("total_h", self.total_h)
        if not 0 <= self.start_fraction <= 1:
            raise BadInput(
                "The charge left at plug-in is {given}; enter a share from 0 to 1, such as 0.3.",
                given=str(self.start_fraction),
            )


def learned_taper(pack: Pack, charger: Charger, logs: Sequence[ChargeLog]) -> Taper:
    """Where the current begins to fall on this pair, from logged hours, drawn towards the usual place.

    Each log is turned into the place that would explain its hours; their median is not moved by a charger that was
    unplugged late once, nor by a wrong date. With n logs the answer is (n x median + 3 x usual) / (n + 3).

    Parameters
    ----------
    pack, charger
        Which fit each other.
    logs
        In any order; those from a nearly full pack say nothing and are left out.

    Returns
    -------
    Taper
        With the count of logs used, and the scatter of their hours from four logs on. The usual one where none tells.

    Raises
    ------
    BadInput
        The charger does not fit the pack.

    Notes
    -----
    Hours alone cannot tell the place from a wrong charge factor or finish current: what is learned is right for hours,
    and only stands for the place. Method ours, docs/explanation/charging-and-water.md.
    """
    usual = usual_taper(pack, charger)
    places, used = [], []
    for log in logs:
        place = _place_fraction(pack, charger, usual, log)
        if place is not None:
            places.append(place)
            used.append(log)
    if not used:
        return usual
    n = len(used)
    at = (n * float(np.median(places)) + WEIGHT_OF_USUAL * usual.gassing_charge_fraction) / (n + WEIGHT_OF_USUAL)
    learned = replace(usual, gassing_charge_fraction=at, origin=Origin.MEASURED, logs=n)
    if n < LOGS_FOR_SPREAD:
        return learned
    off_h = [log.total_h - charge_h(pack, charger, log.start_fraction, learned) for log in used]
    spread_h = DEVIATIONS * float(np.median(np.abs(np.array(off_h) - np.median(off_h))))
    return replace(learned, spread_h=spread_h)


def _place_fraction(pack: Pack, charger: Charger, usual: Taper, log: ChargeLog) -> float | None:
    """The place that explains one log; an end of the range where none does, None where the log says nothing."""

    def over_h(at: float) -> float:
        taper = replace(usual, gassing_charge_fraction=at)
        return charge_h(pack, charger, log.start_fraction, taper) - log.total_h

    longest_h, shortest_h = over_h(EARLIEST_FRACTION), over_h(LATEST_FRACTION)
    if longest_h - shortest_h < TELLING_H:
        return None
    if longest_h <= 0:
        return EARLIEST_FRACTION
    if shortest_h >= 0:
        return LATEST_FRACTION
    return float(brentq(over_h, EARLIEST_FRACTION, LATEST_FRACTION, xtol=1e-6))
