"""How long each kind of part lasts here: the catalogue's range, until the shop's own parts say more."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from scrubwright.jobs.due_lines import DueLine, Task
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.wear.hours_left import LINE_VALUES
from scrubwright.wear.life import FloatArray, PartLife
from scrubwright.wear.life_belief import LifeBelief, LifePrior, belief, lasting_fraction
from scrubwright.wear.replacement import ChangeCosts, ChangeRule, curve_of_belief, replacement_age

# A range of usual lives is read as an 80 % band: one in ten below, one in ten above (ours).
BAND_SD = 2 * float(ndtri(0.9))
# Ages at which the shop's own curve is read off, as shares of its mean life.
_AGES = np.concatenate(([0.0], np.geomspace(1e-3, 8.0, 400)))
# So little doubt about a usual life is left at least (ours).
_LEAST_SD = 0.2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class UsualLife:
    """How long parts of one kind last.

    Parameters
    ----------
    values_h
        Values that stand for it, each with the same chance [h], shape (15,).
    told
        The middle with its band and where it comes from.
    own
        What the shop's own parts say; None where none has come to its end yet.
    """

    values_h: FloatArray
    told: Sourced
    own: LifeBelief | None = None

    @property
    def is_sure(self) -> bool:
        """Whether it is a fixed interval."""
        return bool(self.values_h[0] == self.values_h[-1])


def usual_lives(lines: Iterable[DueLine], own: Mapping[str, Sequence[PartLife]]) -> dict[str, UsualLife]:
    """The life of every line that lives by a meter, by its identity.

    Parameters
    ----------
    lines
        The lines; of those with one identity the first counts.
    own
        The shop's own parts, by identity.
    """
    found: dict[str, UsualLife] = {}
    for line in lines:
        if line.life_h is not None and line.identity not in found:
            found[line.identity] = _life(line, own.get(line.identity, ()))
    return found


def _life(line: DueLine, own: Sequence[PartLife]) -> UsualLife:
    low_h, high_h = line.life_h or (1.0, 1.0)
    middle_h = math.sqrt(low_h * high_h)
    if line.task is Task.REPLACE and any(life.ending.is_end_of_life for life in own):
        sd = max(math.log(high_h / low_h) / BAND_SD, _LEAST_SD)
        return _own_life(belief(own, LifePrior(life_h=middle_h, origin=line.grounds.origin, life_sd_ratio=sd)))
    sd = math.log(high_h / low_h) / BAND_SD
    chances = (np.arange(LINE_VALUES) + 0.5) / LINE_VALUES
    return UsualLife(
        values_h=middle_h * np.exp(sd * ndtri(chances)),
        told=Sourced(
            name="life_h",
            value=middle_h,
            origin=line.grounds.origin,
            detail=_from(line),
            low=low_h if low_h < high_h else None,
            high=high_h if low_h < high_h else None,
        ),
    )


def _from(line: DueLine) -> Sentence:
    if line.grounds.changed:
        return Sentence("your own file: {changed}", changed=", ".join(line.grounds.changed))
    return Sentence("usual interval of the catalogue")


def _own_life(known: LifeBelief) -> UsualLife:
    ages_h = known.mean_h * _AGES
    gone = 1.0 - lasting_fraction(known, ages_h)
    chances = (np.arange(LINE_VALUES) + 0.5) / LINE_VALUES
    values_h = np.interp(chances, np.maximum.accumulate(gone), ages_h)
    middle = LINE_VALUES // 2
    return UsualLife(
        values_h=values_h,
        told=Sourced(
            name="life_h",
            value=float(values_h[middle]),
            origin=Origin.ESTIMATE,
            detail=Sentence(
                "the usual life, corrected by {ends} of your own parts that came to their end", ends=known.ends
            ),
            low=float(values_h[1]),
            high=float(values_h[-2]),
        ),
        own=known,
    )


def planned_change(life: UsualLife, failure_ratio: float) -> Sentence | None:
    """At which ages a planned change costs least; None where the shop's own parts do not tell yet.

    Parameters
    ----------
    life
        How long the part lasts here.
    failure_ratio
        What a failure costs, in prices of a planned change [> 1].
    """
    if life.own is None:
        return None
    costs = ChangeCosts(planned_money=1.0, failed_money=failure_ratio)
    found = replacement_age(curve_of_belief(life.own), costs)
    if found.rule is ChangeRule.WHEN_WORN or found.same_from_h is None or found.same_to_h is None:
        return found.why
    return Sentence(
        "Where a failure costs {times} planned changes, any age from {same_from_h} to {same_to_h} costs about "
        "the same.",
        times=f"{failure_ratio:g}",
        same_from_h=found.same_from_h,
        same_to_h=found.same_to_h,
    )


def calendar_fraction(life_days: tuple[int, int], age_days: float) -> float:
    """Chance that a calendar interval is over at an age [fraction].

    Parameters
    ----------
    life_days
        Low and high of the interval [days].
    age_days
        Days since it began [days].

    **Source** log-normal through the range as its 80 % band, ours; see docs/explanation/what-falls-due.md.
    """
    low, high = life_days
    if age_days <= 0:
        return 0.0
    if low == high:
        return 1.0 if age_days >= low else 0.0
    middle = 0.5 * math.log(low * high)
    return float(ndtr((math.log(age_days) - middle) / (math.log(high / low) / BAND_SD)))
