"""How many of a part to hold, so that at a chosen share of times none is missing before the next delivery."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import nbinom, poisson

from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput, OutOfRange
from scrubwright.wear.life import FloatArray, check_share

# Chances of more pieces than this leaves out are not counted.
LEFT_OUT_FRACTION = 1e-12
MOST_PIECES = 100_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """How many pieces may be asked for until the next delivery: lead time and the time between orders.

    Parameters
    ----------
    chances_fraction
        Chance of 0, 1, 2 ... pieces, together 1, shape (n,).

    Raises
    ------
    BadInput
        Chances below zero, or that do not add up to 1.
    """

    chances_fraction: FloatArray

    def __post_init__(self) -> None:
        chances = self.chances_fraction
        if not (chances.ndim == 1 and bool(np.all(chances >= 0)) and abs(float(chances.sum()) - 1) < 1e-6):
            raise BadInput("The chances of 0, 1, 2 and more pieces do not add up to one; give one for each count.")

    @property
    def mean_ratio(self) -> float:
        """Mean count of pieces for one delivery."""
        return float(np.arange(len(self.chances_fraction)) @ self.chances_fraction)

    def plus(self, other: "Demand") -> "Demand":
        """Both together, where neither knows of the other: machines or kinds of work that share one shelf."""
        return Demand(chances_fraction=np.convolve(self.chances_fraction, other.chances_fraction))

    def served_fraction(self, pieces: int) -> float:
        """Share of deliveries before which so many pieces are enough.

        **Source** identity.
        """
        return min(1.0, float(self.chances_fraction[: max(pieces + 1, 0)].sum()))

    def stock_for(self, level_fraction: float) -> int:
        """Least count of pieces that is enough before such a share of deliveries.

        Raises
        ------
        BadInput
            A share that is not between 0 and 1.
        """
        check_share(level_fraction)
        enough = np.cumsum(self.chances_fraction) >= level_fraction - LEFT_OUT_FRACTION
        return int(np.argmax(enough)) if enough.any() else len(self.chances_fraction) - 1

    def short_ratio(self, pieces: int) -> float:
        """Mean count of pieces that are missing at a delivery with such a stock.

        **Source** identity (standard tables checked in tests/worked/test_wear_spares_numbers.py).
        """
        counts = np.arange(len(self.chances_fraction))
        return float(np.maximum(counts - pieces, 0) @ self.chances_fraction)

    def filled_fraction(self, pieces: int) -> float:
        """Share of the pieces asked for that such a stock hands out at once.

        **Source** identity: less the missing over the mean; 1 where none is asked for.
        """
        return 1 - self.short_ratio(pieces) / self.mean_ratio if self.mean_ratio > 0 else 1.0


def steady_demand(pieces_per_h: float, horizon_h: float) -> Demand:
    """Pieces that fail at any age alike, at a rate that is known, one piece at a time.

    Parameters
    ----------
    pieces_per_h
        Pieces for each hour of all machines together [per hour, >= 0].
    horizon_h
        Hours that all machines together run until the next delivery [h, >= 0].

    Raises
    ------
    BadInput
        A value below zero.
    OutOfRange
        More pieces than a shelf.

    Examples
    --------
    >>> steady_demand(0.02, 100.0).stock_for(0.95)
    5

    Notes
    -----
    Right also for wearing parts where many machines carry parts of all ages; with few machines use
    `ageing_demand`.

    **Source** Poisson law; standard tables and a printed lesson are checked in tests/published/test_wear_spares.py.
    """
    check_zero_or_more("pieces_per_h", pieces_per_h)
    check_zero_or_more("horizon_h", horizon_h)
    mean = pieces_per_h * horizon_h
    _check_shelf(mean)
    return _of(poisson.pmf(np.arange(int(poisson.isf(LEFT_OUT_FRACTION, mean)) + 2), mean))


def unknown_rate_demand(
    horizon_h: float, *, seen_pieces: int, seen_h: float, usual_life_h: float, usual_weight_ratio: float = 1.0
) -> Demand:
    """Pieces that fail at any age alike, at a rate that is only known from so many pieces in so many hours.

    The usual life counts as some pieces already seen; the wider the doubt about the rate, the more to hold.

    Parameters
    ----------
    horizon_h
        Hours that all machines together run until the next delivery [h, >= 0].
    seen_pieces
        Pieces used so far [>= 0].
    seen_h
        Hours of all machines in which they were used [h, >= 0].
    usual_life_h
        Usual life of a piece [h, > 0].
    usual_weight_ratio
        As many pieces as the usual life counts for [> 0].

    Raises
    ------
    BadInput
        A value outside its range.
    OutOfRange
        More pieces than a shelf.

    **Source** Gamma-Poisson, that is the negative binomial law (textbook, from memory); checked in
    tests/worked/test_wear_spares_numbers.py.
    """
    check_zero_or_more("horizon_h", horizon_h)
    check_zero_or_more("seen_pieces", seen_pieces)
    check_zero_or_more("seen_h", seen_h)
    check_above_zero("usual_life_h", usual_life_h)
    check_above_zero("usual_weight_ratio", usual_weight_ratio)
    shape = usual_weight_ratio + seen_pieces
    exposure_h = usual_weight_ratio * usual_life_h + seen_h
    _check_shelf(shape / exposure_h * horizon_h)
    chance = exposure_h / (exposure_h + horizon_h)
    return _of(nbinom.pmf(np.arange(int(nbinom.isf(LEFT_OUT_FRACTION, shape, chance)) + 2), shape, chance))


def jobs_demand(jobs_per_h: float, horizon_h: float, pieces_fraction: Sequence[float]) -> Demand:
    """Pieces where a job takes one or several at a time, such as a pair of pads.

    Parameters
    ----------
    jobs_per_h
        Jobs for each hour of all machines together [per hour, >= 0].
    horizon_h
        Hours that all machines together run until the next delivery [h, >= 0].
    pieces_fraction
        Share of the jobs that take 1, 2, 3 ... pieces [together 1].

    Raises
    ------
    BadInput
        A value outside its range.
    OutOfRange
        More pieces than a shelf.

    Examples
    --------
    >>> jobs_demand(0.01, 300.0, (0.3, 0.7)).stock_for(0.95)
    11

    **Source** Panjer, Recursive evaluation of a family of compound distributions, ASTIN Bulletin 1981 (from memory);
    checked in tests/worked/test_wear_spares_numbers.py.
    """
    check_zero_or_more("jobs_per_h", jobs_per_h)
    check_zero_or_more("horizon_h", horizon_h)
    shares = np.asarray(pieces_fraction, dtype=np.float64)
    if not (shares.ndim == 1 and len(shares) > 0 and bool(np.all(shares >= 0)) and abs(float(shares.sum()) - 1) < 1e-6):
        raise BadInput(
            "The shares of jobs with 1, 2 and more pieces must add up to one; enter for example 0.3 and 0.7."
        )
    jobs = jobs_per_h * horizon_h
    sizes = np.arange(1, len(shares) + 1)
    _check_shelf(jobs * float(sizes @ shares))
    if jobs > 600:
        # The recursion starts at e^-jobs, which a float no longer holds; two halves are the same law.
        half = jobs_demand(jobs_per_h, horizon_h / 2, pieces_fraction)
        return half.plus(half)
    chances = [math.exp(-jobs)]
    most = len(shares) * (int(poisson.isf(LEFT_OUT_FRACTION, jobs)) + 2)
    weights = sizes * shares
    for count in range(1, most):
        reach = min(count, len(shares))
        before = np.array(chances[-1 : -reach - 1 : -1])
        chances.append(jobs / count * float(weights[:reach] @ before))
    return _of(np.array(chances))


def ageing_demand(end_fraction: Sequence[float], *, planned_pieces: int = 0) -> Demand:
    """Pieces for a few machines whose parts have known ages, beside the changes that are planned anyway.

    Parameters
    ----------
    end_fraction
        For each part in use, the chance that it comes to its end until the next delivery, see
        `life_belief.end_within_fraction` [0 to 1].
    planned_pieces
        Pieces that planned changes take [>= 0]; leave those parts out of `end_fraction`.

    Raises
    ------
    BadInput
        A chance outside 0 to 1, or fewer than no pieces.

    Examples
    --------
    >>> ageing_demand([0.5, 0.5], planned_pieces=1).chances_fraction.tolist()
    [0.0, 0.25, 0.5, 0.25]

    Notes
    -----
    Each part ends at most once before the delivery, so the time to it must be short beside a life.

    **Source** Poisson-binomial law by convolution (checked in tests/worked/test_wear_spares_numbers.py).
    """
    check_zero_or_more("planned_pieces", planned_pieces)
    chances = np.concatenate((np.zeros(planned_pieces), [1.0]))
    for end in end_fraction:
        if not 0 <= end <= 1:
            raise BadInput("A part has a chance of {given} to end; enter a share from 0 to 1.", given=str(end))
        chances = np.convolve(chances, (1 - end, end))
    return Demand(chances_fraction=chances)


def pieces_to_order(
    stock: int, *, on_shelf: int, on_order: int = 0, pack_pieces: int = 1, least_pieces: int = 0
) -> int:
    """Pieces to order so that shelf and orders reach the stock, in whole packs.

    Parameters
    ----------
    stock
        Pieces to hold, see `Demand.stock_for` [>= 0].
    on_shelf, on_order
        Pieces there, and pieces on their way [>= 0].
    pack_pieces
        Pieces in a pack [>= 1].
    least_pieces
        Least order that the seller takes [>= 0].

    Raises
    ------
    BadInput
        A count outside its range.

    Examples
    --------
    >>> pieces_to_order(11, on_shelf=4, pack_pieces=2)
    8
    """
    for name, count in (
        ("stock", stock),
        ("on_shelf", on_shelf),
        ("on_order", on_order),
        ("least_pieces", least_pieces),
    ):
        check_zero_or_more(name, count)
    check_above_zero("pack_pieces", pack_pieces)
    missing = stock - on_shelf - on_order
    return math.ceil(max(missing, least_pieces) / pack_pieces) * pack_pieces if missing > 0 else 0


def _check_shelf(pieces: float) -> None:
    if not pieces <= MOST_PIECES:
        raise OutOfRange(
            "{pieces} pieces until the next delivery are more than a shelf; check the hours and the life of the part.",
            pieces=f"{pieces:.0f}",
        )


def _of(chances: FloatArray) -> Demand:
    """The law with what was left out of its far end spread over the rest."""
    return Demand(chances_fraction=chances / chances.sum())
