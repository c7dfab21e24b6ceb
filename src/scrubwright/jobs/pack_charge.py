"""The charge that is left, by what was read last, and whether the weakest cell may freeze."""

from dataclasses import dataclass, replace

from scrubwright.battery.charge_left import GravityFamily, below_flat, charge_left_fraction, charge_left_sd_fraction
from scrubwright.battery.charge_read import AT_END_SD_FRACTION, DISPLAY_SD_FRACTION, was_run_down
from scrubwright.battery.freezing import freezing_k, may_freeze
from scrubwright.battery.pack import SEALED, Chemistry, Pack
from scrubwright.battery.rested_voltage import (
    AT_K,
    REST_H,
    SEALED_REST_H,
    gravity_by_rested_ratio,
    is_rested,
    rested_charge_left_fraction,
    rested_charge_left_sd_fraction,
    rule_gravity_ratio,
    sealed_charge_left_fraction,
    sealed_charge_left_sd_fraction,
)
from scrubwright.battery.trend import BAND_SD
from scrubwright.battery.visit import Moment, Visit
from scrubwright.battery.weak_cell import may_reverse, reversal_charge_fraction
from scrubwright.jobs.pack_answer import PackFigure, PackPart
from scrubwright.jobs.pack_cell_view import CellView, corrected_ratio
from scrubwright.jobs.pack_question import PackQuestion, Told, figure
from scrubwright.measures.errors import OutOfRange
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence

# What a charger's finish alone tells (from memory): most charges that end by themselves end near full.
_TAKEN_AS_FULL_SD_FRACTION = 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeNow:
    """The charge left at the newest reading.

    Parameters
    ----------
    visit
        That reading.
    charge_fraction, sd_fraction
        Of the pack, with its standard deviation [0 to 1].
    reverses_at_fraction
        Charge of the pack's mean at which its weakest cell is flat [0 to 1]; 0 where no cell lags.
    reverses
        Whether it is there already.
    flat_cells
        Cells that were read below flat, from 1.
    may_freeze
        Whether the weakest cell may freeze in the cold to come.
    told
        Numbers and remarks.
    """

    visit: Visit
    charge_fraction: float
    sd_fraction: float
    reverses_at_fraction: float
    reverses: bool
    flat_cells: tuple[int, ...]
    may_freeze: bool
    told: Told

    @property
    def usable_fraction(self) -> float:
        """What can be worked before the weakest cell is flat [0 to 1]."""
        return max(self.charge_fraction - self.reverses_at_fraction, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """One way to tell the charge, or why it could not be told that way."""

    charge_fraction: float
    sd_fraction: float
    label: Sentence
    source: Sentence
    remarks: tuple[Sentence, ...] = ()


def charge_now(question: PackQuestion, cells: CellView | None) -> ChargeNow | None:
    """The charge left at the newest reading that tells it; None where nothing does."""
    for visit in reversed(question.of_this_pack):
        believed = _believed(question, cells, visit)
        if believed:
            return _by_gravity(question, cells, visit, believed)
        read = _by_volts(question, visit) or _by_display(visit) or _by_its_end(question, visit) or _by_finish(visit)
        if read is not None:
            return ChargeNow(
                visit=visit,
                charge_fraction=read.charge_fraction,
                sd_fraction=read.sd_fraction,
                reverses_at_fraction=0.0,
                reverses=False,
                flat_cells=(),
                may_freeze=False,
                told=Told(
                    figures=(_figure(read, visit),),
                    remarks=tuple((PackPart.CHARGE, remark) for remark in read.remarks),
                ),
            )
        if visit.moment is Moment.WORKED:
            # What an earlier visit told was used up since by work that nobody measured.
            return None
    return None


def _figure(read: _Read, visit: Visit) -> PackFigure:
    return figure(PackPart.CHARGE, read.label, _charge(read.charge_fraction, read.sd_fraction, read.source, visit))


def _charge(middle: float, sd: float, source: Sentence, visit: Visit) -> Sourced:
    origin = Origin.ESTIMATE if visit.moment is Moment.CHARGED and not _was_read(visit) else Origin.MEASURED
    return Sourced(
        name="charge_left_fraction",
        value=middle,
        origin=origin,
        detail=Sentence("{day}, {source}", day=visit.at.date().isoformat(), source=source),
        low=max(middle - BAND_SD * sd, 0.0),
        high=min(middle + BAND_SD * sd, 1.0),
    )


def _was_read(visit: Visit) -> bool:
    return (
        visit.has_gravities or visit.rested_v is not None or visit.charge_fraction is not None or bool(visit.blocks_v)
    )


def _believed(question: PackQuestion, cells: CellView | None, visit: Visit) -> dict[int, float]:
    """The gravity of each cell of a visit at the reference temperature, less those in doubt."""
    doubtful = cells.doubtful if cells is not None and visit is cells.visit else ()
    return {
        number: gravity
        for number, gravity in enumerate(corrected_ratio(question.pack, visit), 1)
        if gravity is not None and number not in doubtful
    }


def _by_gravity(
    question: PackQuestion, cells: CellView | None, visit: Visit, believed: dict[int, float]
) -> ChargeNow | None:
    family = question.pack.family
    if family is None:
        return None
    mean_ratio = sum(believed.values()) / len(believed)
    charge = float(charge_left_fraction(family, mean_ratio))
    sd = charge_left_sd_fraction(family, len(believed))
    below_ratio = 0.0
    if cells is not None and cells.grid is not None and cells.grid.low:
        below_ratio = cells.grid.weakest_below_ratio
    weakest_ratio = min(believed.values())
    freezes = question.forecast_k is not None and may_freeze(weakest_ratio, question.forecast_k)
    figures = [
        figure(
            PackPart.CHARGE,
            Sentence("Charge left by gravity"),
            _charge(charge, sd, _cells_by(family, len(believed)), visit),
        ),
        *_rested_beside(question, visit),
        figure(
            PackPart.CHARGE,
            Sentence("The weakest cell freezes at"),
            Sourced(
                name="freezing_k",
                value=float(freezing_k(weakest_ratio)),
                origin=Origin.PUBLISHED,
                detail=Sentence("army handbooks, at its gravity of {weakest_ratio}", weakest_ratio=weakest_ratio),
            ),
        ),
    ]
    remarks = []
    if freezes and question.forecast_k is not None:
        remarks.append(
            Sentence(
                "At {forecast_k} the weakest cell may freeze and split its case. Never charge a frozen pack: thaw it "
                "indoors first.",
                forecast_k=question.forecast_k,
            )
        )
    if below_ratio > 0:
        remarks.append(
            Sentence(
                "The weakest cell is flat while the whole pack still holds {reverse_fraction}; work beyond that drives "
                "it backwards and ruins it.",
                reverse_fraction=reversal_charge_fraction(family, below_ratio),
            )
        )
    return ChargeNow(
        visit=visit,
        charge_fraction=charge,
        sd_fraction=sd,
        reverses_at_fraction=reversal_charge_fraction(family, below_ratio) if below_ratio > 0 else 0.0,
        reverses=below_ratio > 0 and may_reverse(family, charge, below_ratio),
        flat_cells=tuple(number for number, gravity in believed.items() if below_flat(family, gravity)),
        may_freeze=freezes,
        told=Told(figures=tuple(figures), remarks=tuple((PackPart.CHARGE, remark) for remark in remarks)),
    )


def _cells_by(family: GravityFamily, cells: int) -> Sentence:
    if cells == 1:
        return Sentence("one cell by {family}", family=family.name)
    return Sentence("{cells} cells by {family}", cells=cells, family=family.name)


def _rested_beside(question: PackQuestion, visit: Visit) -> tuple[PackFigure, ...]:
    """What rested volts say beside the hydrometer, and how far the rule of thumb strays."""
    read = _by_volts(question, visit)
    return () if read is None else (_figure(read, visit),)


def _by_volts(question: PackQuestion, visit: Visit) -> _Read | None:
    pack = question.pack
    volts = visit.rested_v
    if volts is None and visit.blocks_v and visit.under_load is None:
        volts = sum(visit.blocks_v)
    if volts is None or pack.chemistry is Chemistry.LITHIUM:
        return None
    is_sealed = pack.chemistry in SEALED
    rest_h = SEALED_REST_H if is_sealed else REST_H
    remarks = []
    if visit.rested_h is None or not is_rested(visit.rested_h, rest_h):
        remarks.append(
            Sentence(
                "The volts were read before the pack had rested {rest_h}: after a charge they tell too much, after "
                "work too little.",
                rest_h=rest_h,
            )
        )
    try:
        told = _sealed(pack, volts / pack.cells) if is_sealed else _flooded(pack, volts / pack.cells, visit)
    except OutOfRange as refused:
        # No rested cell has such volts, so they tell that something is wrong and no charge.
        return _Read(
            charge_fraction=0.0,
            sd_fraction=0.5,
            label=Sentence("Charge left by rested volts"),
            source=Sentence("not to be told from these volts"),
            remarks=(refused.sentence,),
        )
    return None if told is None else replace(told, remarks=tuple(remarks))


def _sealed(pack: Pack, cell_v: float) -> _Read:
    return _Read(
        charge_fraction=float(sealed_charge_left_fraction(pack.chemistry, cell_v)),
        sd_fraction=sealed_charge_left_sd_fraction(pack.chemistry),
        label=Sentence("Charge left by rested volts"),
        source=Sentence("a published table for {chemistry} packs", chemistry=pack.chemistry),
    )


def _flooded(pack: Pack, cell_v: float, visit: Visit) -> _Read | None:
    if pack.family is None or pack.reference_k is None:
        return None
    at_k = sum(visit.electrolyte_k) / len(visit.electrolyte_k) if visit.electrolyte_k else AT_K
    gravity_ratio = float(gravity_by_rested_ratio(cell_v, at_k))
    return _Read(
        charge_fraction=float(rested_charge_left_fraction(pack.family, cell_v, at_k, pack.reference_k)),
        sd_fraction=rested_charge_left_sd_fraction(pack.family),
        label=Sentence("Charge left by rested volts"),
        source=Sentence(
            "Bode 1977, gravity {gravity_ratio}; volts less 0.84 would say {rule_ratio}",
            gravity_ratio=gravity_ratio,
            rule_ratio=float(rule_gravity_ratio(cell_v)),
        ),
    )


def _by_display(visit: Visit) -> _Read | None:
    if visit.charge_fraction is None:
        return None
    return _Read(
        charge_fraction=visit.charge_fraction,
        sd_fraction=DISPLAY_SD_FRACTION,
        label=Sentence("Charge left by its display"),
        source=Sentence("as shown"),
    )


def _by_its_end(question: PackQuestion, visit: Visit) -> _Read | None:
    if not was_run_down(question.pack, visit):
        return None
    return _Read(
        charge_fraction=0.0,
        sd_fraction=AT_END_SD_FRACTION,
        label=Sentence("Charge left"),
        source=Sentence("it came to its end at work"),
    )


def _by_finish(visit: Visit) -> _Read | None:
    if visit.moment is not Moment.CHARGED:
        return None
    return _Read(
        charge_fraction=1.0,
        sd_fraction=_TAKEN_AS_FULL_SD_FRACTION,
        label=Sentence("Charge left"),
        source=Sentence("taken as full after a charge"),
        remarks=(Sentence("Nothing was read after this charge: it is taken as full because the charger finished."),),
    )
