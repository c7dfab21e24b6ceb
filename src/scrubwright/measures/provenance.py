"""Where a number comes from, so that whoever reads it can judge it."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import unit_of


class Origin(StrEnum):
    """The six places a number may come from."""

    PLATE = "plate"
    MEASURED = "measured"
    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    MEMORY = "from memory"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """A number that a person sees, under the name that carries its unit, with where it comes from.

    Parameters
    ----------
    name
        What it is, ending in a unit suffix, e.g. `deck_width_m`.
    value
        The number, in that unit.
    origin
        Where it comes from.
    detail
        The rest: source, edition, date, or how it was worked out.
    low, high
        Ends of its 80 % band, in the same unit; None where the number has none.
    """

    name: str
    value: float
    origin: Origin
    detail: Sentence
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if unit_of(self.name) is None:
            raise BadInput("{name} names no unit; end it in one of the units table, such as _m or _l.", name=self.name)
        if self.low is not None and self.high is not None and not self.low <= self.high:
            raise BadInput("The band of {name} ends before it begins; give its low end first.", name=self.name)
