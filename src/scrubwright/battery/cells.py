"""The pack as cells: how far each stands off the pack's median, and whether that means anything."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from scrubwright.battery.gravity import HYDROMETER_SD_RATIO
from scrubwright.battery.noise import (
    expected_range_ratio,
    low_limit_ratio,
    range_chance_fraction,
    range_limit_ratio,
)
from scrubwright.measures.errors import BadInput

# With two cells nobody can say which of them is off.
LEAST_CELLS = 3
# Far below what a hydrometer shows; keeps 1.265 - 1.235 from falling short of 0.030.
_ROUNDING_RATIO = 1e-6


class SpreadState(StrEnum):
    """What the difference between cells asks for."""

    EVEN = "even"
    WATCH = "watch"
    EQUALISE = "equalise"
    ASK = "replace or ask"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpreadLimits:
    """Highest less lowest gravity after a full charge at which something is to be done.

    Handbooks differ: 0.025 is unserviceable in one, 0.030 calls for an equalising charge in another, 0.050 for
    a new battery in a third. So each limit can be changed, and the pack's maker comes first.

    Parameters
    ----------
    watch_ratio
        Look at the cells at each visit [gravity, > 0].
    equalise_ratio
        Give an equalising charge [gravity, above the one before].
    ask_ratio
        Still as much after it: replace, or ask the maker [gravity, above the one before].
    """

    watch_ratio: float = 0.020
    equalise_ratio: float = 0.030
    ask_ratio: float = 0.050

    def __post_init__(self) -> None:
        if not 0 < self.watch_ratio < self.equalise_ratio < self.ask_ratio < 1:
            raise BadInput(
                "The limits of the spread are {watch}, {equalise} and {ask}; enter three gravities that rise, such "
                "as 0.020, 0.030 and 0.050.",
                watch=str(self.watch_ratio),
                equalise=str(self.equalise_ratio),
                ask=str(self.ask_ratio),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class CellGrid:
    """The cells of one visit beside each other; cells are numbered from 1.

    Parameters
    ----------
    gravities_ratio
        As given; None for a cell not read.
    above_median_ratio
        How far each stands above the pack's median, below zero for under it; None for a cell not read.
    set_aside
        Cells that were left out of all that follows, because their reading is in doubt.
    median_ratio, mean_ratio
        Of the cells that count.
    range_ratio
        Highest less lowest.
    expected_range_ratio
        What equal cells show on average, by the hydrometer alone.
    range_limit_ratio
        What equal cells exceed in one look out of twenty.
    chance_fraction
        Chance that equal cells show as large a range as these.
    low, high
        Cells too far under or over the median for chance.
    weakest
        The lowest cell; the first of them where several are equal.
    state
        What the range and the low cells ask for.
    """

    gravities_ratio: tuple[float | None, ...]
    above_median_ratio: tuple[float | None, ...]
    set_aside: tuple[int, ...]
    median_ratio: float
    mean_ratio: float
    range_ratio: float
    expected_range_ratio: float
    range_limit_ratio: float
    chance_fraction: float
    low: tuple[int, ...]
    high: tuple[int, ...]
    weakest: int
    state: SpreadState

    @property
    def weakest_below_ratio(self) -> float:
        """How far the weakest cell lies below the pack's mean [gravity, >= 0]."""
        weakest_ratio = self.gravities_ratio[self.weakest - 1]
        return 0.0 if weakest_ratio is None else self.mean_ratio - weakest_ratio

    @property
    def weakest_below_median_ratio(self) -> float:
        """How far the weakest cell lies below the pack's median [gravity, >= 0]; what people are told."""
        return -(self.above_median_ratio[self.weakest - 1] or 0.0)

    @property
    def is_noise(self) -> bool:
        """Whether equal cells would show as large a range more often than once in twenty looks."""
        return self.range_ratio < self.range_limit_ratio


def cell_grid(
    gravities_ratio: Sequence[float | None],
    *,
    sd_ratio: float = HYDROMETER_SD_RATIO,
    limits: SpreadLimits | None = None,
    after_equalise: bool = False,
    set_aside: Sequence[int] = (),
) -> CellGrid:
    """The cells of one visit beside each other.

    A spread counts only where it is both past a limit and past what the hydrometer shows in equal cells.
    In 18 perfect cells it shows 0.018 on average, so a spread of 0.020 is no evidence of a bad cell.

    Parameters
    ----------
    gravities_ratio
        Of each cell from 1 on, corrected to one temperature, after a full charge; None for a cell not read.
    sd_ratio
        Standard deviation of one reading [gravity, > 0].
    limits
        When to watch, equalise or ask; None: 0.020, 0.030 and 0.050.
    after_equalise
        Whether the pack was equalised since the spread was last too large.
    set_aside
        Cells whose reading is in doubt: see `reading_slips.doubtful_cells`.

    Raises
    ------
    BadInput
        Fewer than three cells count, or a value outside these ranges.

    Notes
    -----
    **Source** ours, see docs/explanation/weak-cells.md; limits from three handbooks: US Army TM 9-6140-200-14, 4-7
    (0.025); makers' user guides of deep-cycle batteries (0.030 equalise); a trade school's training pages (0.050
    replace). Noise floor checked in tests/published/battery_cell_range.csv.

    Examples
    --------
    >>> grid = cell_grid([1.280, 1.275, 1.280, 1.240, 1.275, 1.280])
    >>> (grid.weakest, round(grid.range_ratio, 3), grid.state.value)
    (4, 0.04, 'equalise')
    """
    limits = limits or SpreadLimits()
    counting = [
        (number, gravity)
        for number, gravity in enumerate(gravities_ratio, 1)
        if gravity is not None and number not in set_aside
    ]
    if len(counting) < LEAST_CELLS:
        raise BadInput(
            "{given} cells were read; read at least {least}, better all of them, to compare them.",
            given=len(counting),
            least=LEAST_CELLS,
        )
    read = np.array([gravity for _, gravity in counting])
    if not bool(np.all(np.isfinite(read))):
        raise BadInput("A gravity is no number; read that cell again, or leave it empty.")
    median_ratio = float(np.median(read))
    range_ratio = float(np.ptp(read))
    range_limit = range_limit_ratio(len(read), sd_ratio)
    apart = low_limit_ratio(len(read), sd_ratio) + _ROUNDING_RATIO
    low = tuple(number for number, gravity in counting if gravity < median_ratio - apart)
    return CellGrid(
        gravities_ratio=tuple(gravities_ratio),
        above_median_ratio=tuple(None if gravity is None else gravity - median_ratio for gravity in gravities_ratio),
        set_aside=tuple(sorted(set_aside)),
        median_ratio=median_ratio,
        mean_ratio=float(np.mean(read)),
        range_ratio=range_ratio,
        expected_range_ratio=expected_range_ratio(len(read), sd_ratio),
        range_limit_ratio=range_limit,
        chance_fraction=range_chance_fraction(range_ratio, len(read), sd_ratio),
        low=low,
        high=tuple(number for number, gravity in counting if gravity > median_ratio + apart),
        weakest=min(counting, key=lambda cell: cell[1])[0],
        state=_state(range_ratio, range_limit, limits, has_low=bool(low), after_equalise=after_equalise),
    )


def _state(
    range_ratio: float, noise_ratio: float, limits: SpreadLimits, *, has_low: bool, after_equalise: bool
) -> SpreadState:
    counted = range_ratio + _ROUNDING_RATIO
    if counted >= noise_ratio:
        if after_equalise and counted >= limits.ask_ratio:
            return SpreadState.ASK
        if counted >= limits.equalise_ratio:
            return SpreadState.EQUALISE
        if counted >= limits.watch_ratio:
            return SpreadState.WATCH
    return SpreadState.WATCH if has_low else SpreadState.EVEN
