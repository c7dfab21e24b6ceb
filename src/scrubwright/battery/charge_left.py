"""From gravity to the charge that is left, by the pack's own full and flat ends or a published table."""

from dataclasses import dataclass
from itertools import pairwise

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
