"""The cells of a pack at its last hydrometer visit, beside all the visits before."""

from dataclasses import dataclass

from scrubwright.battery.cell_drift import CellDrift, cell_drifts
from scrubwright.battery.cells import LEAST_CELLS, CellGrid, SpreadState, cell_grid
from scrubwright.battery.gravity import corrected_gravity_ratio
from scrubwright.battery.pack import Pack
from scrubwright.battery.reading_slips import Exchange, doubtful_cells, exchanged
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.jobs.pack_question import PackQuestion

_EQUALISING_COUNTS_VISITS = 3

_Row = tuple[float | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellView:
    """What the hydrometer says about the cells.

    Parameters
    ----------
    visit
        The last one after a charge where gravities were read; the last of all where none was after a charge.
    gravities_ratio
        Of each cell, corrected to the pack's reference temperature; None for one not read.
    grid
        The cells beside each other; None where fewer than three were read.
    drifts
        How they moved over the visits after charge.
    doubtful
        Cells whose reading should be taken again.
    exchange
        Cells or blocks that changed places.
    after_equalise
        Whether the pack was equalised lately: within the three hydrometer visits after charge before.
    watered_before
        Whether water went in between the last full charge and the newest hydrometer visit.
    """

    visit: Visit
    gravities_ratio: _Row
    grid: CellGrid | None
    drifts: tuple[CellDrift, ...]
    doubtful: tuple[int, ...]
    exchange: Exchange | None
    after_equalise: bool
    watered_before: bool

    @property
    def is_after_charge(self) -> bool:
        """Whether the cells may be compared: only full ones can."""
        return self.visit.moment is Moment.CHARGED

    @property
    def state(self) -> SpreadState | None:
        """What the spread asks for; None where the cells cannot be compared."""
        return self.grid.state if self.grid is not None and self.is_after_charge else None


def cell_view(question: PackQuestion) -> CellView | None:
    """The cells at the last hydrometer visit after a charge; None where no gravity was read of this pack.

    Drift and usual places are counted from the last new cell on, since a new cell stands elsewhere.
    """
    visits = question.of_this_pack
    read = [visit for visit in visits if visit.has_gravities]
    if not read:
        return None
    last = next((visit for visit in reversed(read) if visit.moment is Moment.CHARGED), read[-1])
    before = visits[: visits.index(last)]
    known = _since_new_cell(before)
    rows = [above for visit in known if (above := _above_median(question.pack, visit)) is not None]
    gravities = corrected_ratio(question.pack, last)
    is_charged = last.moment is Moment.CHARGED
    doubtful = doubtful_cells(gravities, earlier_ratio=rows, family=question.pack.family) if is_charged and rows else ()
    counted = [number for number, gravity in enumerate(gravities, 1) if gravity is not None and number not in doubtful]
    after_equalise = _equalised_lately(before)
    grid = (
        cell_grid(gravities, after_equalise=after_equalise, set_aside=doubtful) if len(counted) >= LEAST_CELLS else None
    )
    exchange = None
    drifts: tuple[CellDrift, ...] = ()
    if grid is not None and is_charged:
        exchange = exchanged(grid.above_median_ratio, rows, cells_per_block=question.pack.cells_per_block)
        drifts = cell_drifts([*rows, _without(grid.above_median_ratio, doubtful)]) if exchange is None else ()
    return CellView(
        visit=last,
        gravities_ratio=gravities,
        grid=grid,
        drifts=drifts,
        doubtful=doubtful,
        exchange=exchange,
        after_equalise=after_equalise,
        watered_before=_watered_since_charge(visits, read[-1]),
    )


def corrected_ratio(pack: Pack, visit: Visit) -> _Row:
    """The gravities of a visit at the pack's reference temperature."""
    reference_k = pack.reference_k
    if reference_k is None:
        return ()
    each_k = visit.electrolyte_k * (pack.cells if len(visit.electrolyte_k) == 1 else 1)
    return tuple(
        None if gravity is None else float(corrected_gravity_ratio(gravity, electrolyte_k, reference_k))
        for gravity, electrolyte_k in zip(visit.gravities_ratio, each_k, strict=True)
    )


def _above_median(pack: Pack, visit: Visit) -> _Row | None:
    """How far each cell stood from the median after a charge; None for a visit that cannot tell."""
    if visit.moment is not Moment.CHARGED or not visit.has_gravities:
        return None
    gravities = corrected_ratio(pack, visit)
    if sum(gravity is not None for gravity in gravities) < LEAST_CELLS:
        return None
    return cell_grid(gravities).above_median_ratio


def _since_new_cell(visits: tuple[Visit, ...]) -> tuple[Visit, ...]:
    changed = [place for place, visit in enumerate(visits) if visit.event is Event.NEW_CELL]
    return visits[changed[-1] + 1 :] if changed else visits


def _equalised_lately(before: tuple[Visit, ...]) -> bool:
    """Whether it was equalised no more than three hydrometer visits after charge ago."""
    compared = 0
    for visit in reversed(before):
        if visit.event is Event.EQUALISED:
            return True
        compared += visit.moment is Moment.CHARGED and visit.has_gravities
        if compared == _EQUALISING_COUNTS_VISITS:
            return False
    return False


def _watered_since_charge(visits: tuple[Visit, ...], read: Visit) -> bool:
    """Whether the visit before a reading put water in, and no work and charge came in between."""
    place = visits.index(read)
    return place > 0 and read.moment is not Moment.CHARGED and visits[place - 1].event is Event.WATERED


def _without(row: _Row, cells: tuple[int, ...]) -> _Row:
    return tuple(None if number in cells else value for number, value in enumerate(row, 1))
