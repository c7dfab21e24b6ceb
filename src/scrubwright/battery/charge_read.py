"""The charge left at a visit as it was read, cell by cell and not clipped, for comparing two visits."""

from dataclasses import dataclass
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from scrubwright.battery.charge_left import GravityFamily
from scrubwright.battery.gravity import HYDROMETER_SD_RATIO, Floats, corrected_gravity_ratio
from scrubwright.battery.pack import SEALED, Chemistry, Pack
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.measures.checks import check_above_zero, check_zero_or_more

# The thinner acid at the top of a cell after a charge: from 0 to this (common practice, for packs that gas each time).
STRATIFIED_RATIO = 0.004
# Displays show whole percents and settle after work (from memory).
DISPLAY_SD_FRACTION = 0.02
# The end comes a little sooner or later at the same state (from memory).
AT_END_SD_FRACTION = 0.015


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeRead:
    """The charge left at one visit.

    Parameters
    ----------
    charges_fraction
        One a cell in the pack's order, or one for the whole pack; None for a cell not read. Not clipped: a cell above
        the full end of its table counts as more than 1, or the difference between two readings would be too small.
    sd_fraction
        Standard deviation of one of them [> 0].
    low_by_fraction
        At most so much too low, since the acid that is drawn from the top of a cell after a charge is thinner than
        the rest [>= 0]; on average half of it.
    electrolyte_k
        Mean temperature of the electrolyte [K]; None where not read, or where what the pack gives hardly depends on it.
    """

    charges_fraction: tuple[float | None, ...]
    sd_fraction: float
    low_by_fraction: float = 0.0
    electrolyte_k: float | None = None

    def __post_init__(self) -> None:
        check_above_zero("sd_fraction", self.sd_fraction)
        check_zero_or_more("low_by_fraction", self.low_by_fraction)


def was_run_down(pack: Pack, visit: Visit) -> bool:
    """Whether the pack was at its end when it was read after work.

    It was where somebody says that it ran out, and where its voltage under load stood at or under the lock-out of the
    machine, or, where that is not known, the voltage that its rate table ends at.
    """
    if visit.event is Event.RAN_OUT:
        return True
    if visit.moment is not Moment.WORKED or visit.under_load is None:
        return False
    if pack.lock_out is not None:
        return visit.under_load.load_v <= pack.lock_out.voltage_v
    return pack.cut_off_v is not None and visit.under_load.load_v <= pack.cut_off_v * pack.cells


def scale_follows(pack: Pack) -> bool:
    """Whether the charge that is read of a pack is a share of what it holds by now.

    The display of a lithium pack learns what the pack holds, and a pack that has come to its end is at zero. A
    hydrometer counts ampere-hours through the acid, of which a worn pack has as much as a new one.
    """
    return pack.chemistry is not Chemistry.FLOODED


def charge_read(pack: Pack, visit: Visit) -> ChargeRead | None:
    """What a visit says about the charge left; None where nothing was read that says it.

    Gravities of a flooded pack, each with its own temperature where there is one; what the display of a lithium pack
    shows; that a sealed pack was at its end.

    Parameters
    ----------
    pack
        The pack.
    visit
        One that fits it, see `check_visit_fits`.

    Raises
    ------
    BadInput, OutOfRange
        A gravity or a temperature that no battery has.
    """
    if pack.chemistry is Chemistry.FLOODED:
        return _by_gravities(pack, visit)
    mean_k = fmean(visit.electrolyte_k) if visit.electrolyte_k and pack.chemistry in SEALED else None
    if visit.charge_fraction is not None:
        return ChargeRead(
            charges_fraction=(visit.charge_fraction,), sd_fraction=DISPLAY_SD_FRACTION, electrolyte_k=mean_k
        )
    if was_run_down(pack, visit):
        return ChargeRead(charges_fraction=(0.0,), sd_fraction=AT_END_SD_FRACTION, electrolyte_k=mean_k)
    return None


def _by_gravities(pack: Pack, visit: Visit) -> ChargeRead | None:
    if pack.family is None or pack.reference_k is None or not visit.has_gravities or not visit.electrolyte_k:
        return None
    span_ratio = pack.family.full_ratio - pack.family.flat_ratio
    read = [cell for cell, gravity in enumerate(visit.gravities_ratio) if gravity is not None]
    gravities = np.array([visit.gravities_ratio[cell] for cell in read], dtype=np.float64)
    each_k = np.broadcast_to(np.array(visit.electrolyte_k), (pack.cells,))[read]
    charges: list[float | None] = [None] * pack.cells
    corrected = corrected_gravity_ratio(gravities, each_k, pack.reference_k)
    for cell, charge in zip(read, unclipped_charge_fraction(pack.family, corrected), strict=True):
        charges[cell] = float(charge)
    return ChargeRead(
        charges_fraction=tuple(charges),
        sd_fraction=HYDROMETER_SD_RATIO / span_ratio,
        low_by_fraction=STRATIFIED_RATIO / span_ratio if visit.moment is Moment.CHARGED else 0.0,
        electrolyte_k=float(np.mean(each_k)),
    )


def unclipped_charge_fraction(family: GravityFamily, gravity_ratio: Floats) -> NDArray[np.float64]:
    """Charge left by a gravity table whose first and last stretch go on in a straight line [may pass 0 and 1].

    Parameters
    ----------
    family
        The pack's own table or a published one.
    gravity_ratio
        Corrected to the table's temperature.

    Examples
    --------
    >>> from scrubwright.battery.charge_left import GravityPoint
    >>> from scrubwright.measures.provenance import Origin
    >>> from scrubwright.measures.sentence import Sentence
    >>> ends = (
    ...     GravityPoint(gravity_ratio=1.12, charge_fraction=0.0),
    ...     GravityPoint(gravity_ratio=1.27, charge_fraction=1.0),
    ... )
    >>> own = GravityFamily(name=Sentence("own"), points=ends, origin=Origin.PLATE, source=Sentence("label"))
    >>> round(float(unclipped_charge_fraction(own, 1.285)), 6)
    1.1

    **Source** straight lines through the table, ours; what a table is for, the charge left that a person is told, ends
    at 0 and 1.
    """
    gravities = np.array([point.gravity_ratio for point in family.points])
    charges = np.array([point.charge_fraction for point in family.points])
    # The stretch that the gravity lies on, or the nearest one.
    upper = np.clip(np.searchsorted(gravities, gravity_ratio), 1, len(gravities) - 1)
    slope = (charges[upper] - charges[upper - 1]) / (gravities[upper] - gravities[upper - 1])
    return np.asarray(charges[upper] + slope * (gravity_ratio - gravities[upper]))
