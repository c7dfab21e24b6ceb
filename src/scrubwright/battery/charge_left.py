"""From gravity to the charge that is left, by the pack's own full and flat ends or a published table."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scrubwright.battery.gravity import HYDROMETER_SD_RATIO, Numbers, check_gravity
from scrubwright.measures.checks import check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class GravityPoint:
    """One row of a gravity table: this gravity at the table's temperature means this charge left."""

    gravity_ratio: float
    charge_fraction: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GravityFamily:
    """One pack's way from gravity to charge.

    Parameters
    ----------
    name
        What the answer calls it.
    points
        At least two rows, from flat to full, both columns rising; the first is charge 0, the last 1.
    origin, source
        Where it comes from.
    """

    name: Sentence
    points: tuple[GravityPoint, ...]
    origin: Origin
    source: Sentence

    def __post_init__(self) -> None:
        gravities = [point.gravity_ratio for point in self.points]
        charges = [point.charge_fraction for point in self.points]
        if len(self.points) < 2 or charges[0] != 0 or charges[-1] != 1:
            raise BadInput(
                "A gravity table needs at least its flat end (charge 0) and its full end (charge 1); enter both."
            )
        rising = all(a < b for a, b in pairwise(gravities))
        if not rising or not all(a < b for a, b in pairwise(charges)):
            raise BadInput(
                "A gravity table must rise from flat to full, in gravity and in charge; enter its rows again."
            )

    @property
    def full_ratio(self) -> float:
        """Gravity of a full pack at the table's temperature."""
        return self.points[-1].gravity_ratio

    @property
    def flat_ratio(self) -> float:
        """Gravity of a flat pack at the table's temperature."""
        return self.points[0].gravity_ratio


# Both published tables hold at 80 °F.
PUBLISHED_AT_K = (80 + 459.67) / 1.8

FULL_1265 = GravityFamily(
    name=Sentence("the published table for {full_ratio} when full", full_ratio=1.265),
    points=(
        GravityPoint(gravity_ratio=1.120, charge_fraction=0.0),
        GravityPoint(gravity_ratio=1.155, charge_fraction=0.25),
        GravityPoint(gravity_ratio=1.190, charge_fraction=0.5),
        GravityPoint(gravity_ratio=1.225, charge_fraction=0.75),
        GravityPoint(gravity_ratio=1.265, charge_fraction=1.0),
    ),
    origin=Origin.PUBLISHED,
    source=Sentence("table of the Battery Council International, at {reference_k}", reference_k=PUBLISHED_AT_K),
)

FULL_1280 = GravityFamily(
    name=Sentence("the published table for {full_ratio} when full", full_ratio=1.280),
    points=(
        GravityPoint(gravity_ratio=1.130, charge_fraction=0.0),
        GravityPoint(gravity_ratio=1.190, charge_fraction=0.25),
        GravityPoint(gravity_ratio=1.220, charge_fraction=0.5),
        GravityPoint(gravity_ratio=1.250, charge_fraction=0.75),
        GravityPoint(gravity_ratio=1.280, charge_fraction=1.0),
    ),
    origin=Origin.PUBLISHED,
    source=Sentence("United States Army, TM 5-1185, table II, at {reference_k}", reference_k=PUBLISHED_AT_K),
)


def own_family(
    full_ratio: float, flat_ratio: float, flat_charge_fraction: float = 0.0, origin: Origin = Origin.PLATE
) -> GravityFamily:
    """The pack's own way from gravity to charge: a straight line through its full and its flat gravity.

    Parameters
    ----------
    full_ratio
        When full [1 to below 1.5].
    flat_ratio
        When it must not be discharged further [1 to below full].
    flat_charge_fraction
        What is still in it there [0 to below 1]: 0.2 where the papers give the gravity at 80 % discharge.
    origin
        Where the two gravities come from.

    Raises
    ------
    BadInput
        A value outside these ranges, or a line that would meet plain water before the pack is empty.

    Examples
    --------
    >>> traction = own_family(1.290, 1.130, 0.2)
    >>> round(traction.flat_ratio, 3)
    1.09
    """
    check_gravity(full_ratio)
    check_gravity(flat_ratio)
    if not flat_ratio < full_ratio:
        raise BadInput(
            "The flat gravity is {flat_ratio}, the full one {full_ratio}; the full one must be higher. Enter both from "
            "the pack's papers.",
            flat_ratio=flat_ratio,
            full_ratio=full_ratio,
        )
    if not 0 <= flat_charge_fraction < 1:
        raise BadInput(
            "The charge at the flat gravity is {given}; enter a share from 0 up to below 1, such as 0.2.",
            given=str(flat_charge_fraction),
        )
    empty_ratio = full_ratio - (full_ratio - flat_ratio) / (1 - flat_charge_fraction)
    if not empty_ratio > 1:
        raise BadInput(
            "From {full_ratio} full to {flat_ratio} at {flat_charge_fraction} left, an empty pack would hold plain "
            "water; check the three figures in the pack's papers.",
            full_ratio=full_ratio,
            flat_ratio=flat_ratio,
            flat_charge_fraction=flat_charge_fraction,
        )
    ends = [(empty_ratio, 0.0), (flat_ratio, flat_charge_fraction), (full_ratio, 1.0)]
    return GravityFamily(
        name=Sentence("the pack's own full and flat gravity"),
        points=tuple(
            GravityPoint(gravity_ratio=gravity, charge_fraction=charge)
            for gravity, charge in (ends if flat_charge_fraction else ends[1:])
        ),
        origin=origin,
        source=Sentence(
            "{full_ratio} full, {flat_ratio} with {flat_charge_fraction} left, straight between",
            full_ratio=full_ratio,
            flat_ratio=flat_ratio,
            flat_charge_fraction=flat_charge_fraction,
        ),
    )


def charge_left_fraction(family: GravityFamily, gravity_ratio: Numbers) -> Numbers:
    """Charge left in a cell, or in the pack for the mean of its cells; 0 from flat down, 1 from full up.

    Parameters
    ----------
    family
        The pack's own; the other published table is up to 25 points off.
    gravity_ratio
        Corrected to the temperature that the family holds at.

    Raises
    ------
    BadInput
        No gravity of battery acid.

    Notes
    -----
    Straight between the rows of the table. Read after rest or after a gassing charge: right after watering or work
    the acid at the top is not the acid between the plates.

    Examples
    --------
    >>> float(charge_left_fraction(FULL_1265, 1.190)), float(charge_left_fraction(FULL_1280, 1.190))
    (0.5, 0.25)

    **Source** The family's; published families are checked in tests/published/test_battery_gravity.py.
    """
    check_gravity(gravity_ratio)
    gravities = [point.gravity_ratio for point in family.points]
    charges = [point.charge_fraction for point in family.points]
    return np.interp(gravity_ratio, gravities, charges)


def charge_left_sd_fraction(family: GravityFamily, cells_read: int, stratification_ratio: float = 0.0015) -> float:
    """How far the charge by gravity strays, one standard deviation.

    Each reading strays by itself, so that more cells help; acid that stands in layers puts all of them wrong together.

    Parameters
    ----------
    family
        The pack's own.
    cells_read
        Whose mean is taken [1 and more].
    stratification_ratio
        What the layers leave after a gassing charge, one standard deviation [>= 0].

    Raises
    ------
    BadInput
        No cell read, or a deviation below zero.

    Notes
    -----
    By the mean slope of the table; where its rows stand closer together it is up to a quarter more. After repeated
    charges that do not gas, layers are several times what is assumed here.

    Examples
    --------
    >>> round(charge_left_sd_fraction(FULL_1265, 1, 0.0), 3)
    0.034

    **Source** Repeatability of a float hydrometer 0.005 (common practice), layers of 0 to 0.004 (estimate); sum of
    squares ours, checked in tests/worked/test_gravity_numbers.py.
    """
    if cells_read < 1:
        raise BadInput("The gravity of {cells} cells was read; read one cell or more.", cells=cells_read)
    check_zero_or_more("stratification_ratio", stratification_ratio)
    reading_ratio = HYDROMETER_SD_RATIO / math.sqrt(cells_read)
    return math.hypot(reading_ratio, stratification_ratio) / (family.full_ratio - family.flat_ratio)


def below_flat(family: GravityFamily, gravity_ratio: float) -> bool:
    """Whether a cell stands below the flat end: under load the others then push it the wrong way round.

    Raises
    ------
    BadInput
        No gravity of battery acid.
    """
    check_gravity(gravity_ratio)
    return gravity_ratio < family.flat_ratio
