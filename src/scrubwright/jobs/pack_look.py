"""How a pack stands, what comes next, and what it can still do: joins all that the readings say."""

from dataclasses import replace
from datetime import datetime

from scrubwright.battery.block_volts import block_spread
from scrubwright.battery.cells import SpreadState
from scrubwright.battery.charge_read import was_run_down
from scrubwright.battery.equalising import DEEP_FRACTION
from scrubwright.battery.pack import SEALED, Charger, Chemistry, Pack
from scrubwright.battery.sulfation import SulfationSigns, is_low_after_long_charge, looks_sulfated, signs_told
from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.jobs import pack_cautions
from scrubwright.jobs.pack_answer import CellLine, PackAnswer, PackPart, PackVerdict, Step
from scrubwright.jobs.pack_care import Care, care
from scrubwright.jobs.pack_cell_view import CellView, cell_view
from scrubwright.jobs.pack_cells import cell_lines, spread_told
from scrubwright.jobs.pack_charge import ChargeNow, charge_now
from scrubwright.jobs.pack_equalising import equalising, equalising_step
from scrubwright.jobs.pack_health import HealthNow, health_now
from scrubwright.jobs.pack_question import PackQuestion, Told
from scrubwright.jobs.pack_runtime import RuntimeNow, runtime_now
from scrubwright.jobs.pack_state import PackState, StopSign
from scrubwright.jobs.pack_steps import REPLACE_BELOW_FRACTION, steps_for
from scrubwright.measures.sentence import Sentence

# A pack worked every day is another one after two months.
_READING_HOLDS_DAYS = 60
# What a reading says of the charge left is over once the machine may have worked or charged since.
CHARGE_HOLDS_DAYS = 3


def pack_look(
    pack: Pack,
    charger: Charger | None,
    visits: tuple[Visit, ...],
    *,
    at: datetime,
    load_a: float | None = None,
    work_h: float | None = None,
    forecast_k: float | None = None,
    stop_signs: tuple[StopSign, ...] = (),
    plates_bare: bool = False,
) -> PackAnswer:
    """Everything that the readings of a pack say.

    Parameters
    ----------
    pack, charger
        As their papers have them; the charger may be unknown.
    visits
        All readings, in any order.
    at
        When it is asked.
    load_a
        Mean current of the usual work [A]; None where not known.
    work_h
        Length of the shift ahead by the hour meter [h]; None where not known.
    forecast_k
        The coldest that the place gets before the next charge [K].
    stop_signs
        What a person sees, smells or feels.
    plates_bare
        Whether plates stand out of the electrolyte.

    Raises
    ------
    BadInput, OutOfRange
        Readings that cannot be of this pack, or that no pack has.
    """
    question = PackQuestion(
        pack=pack,
        charger=charger,
        visits=visits,
        at=at,
        load_a=load_a,
        work_h=work_h,
        forecast_k=forecast_k,
        stop_signs=stop_signs,
        plates_bare=plates_bare,
    )
    cells = cell_view(question)
    charge = charge_now(question, cells)
    health = health_now(question)
    is_fresh = charge is not None and (question.at - charge.visit.at).days <= CHARGE_HOLDS_DAYS
    ran_out = is_fresh and charge is not None and was_run_down(pack, charge.visit)
    runtime = runtime_now(question, charge, health.health, is_fresh=is_fresh and not ran_out)
    looked_after = care(question, charge, health.health)
    state = replace(
        _state(question, cells, charge, health, looked_after),
        stop_after_h=runtime.low_h if is_fresh else None,
        ran_out=ran_out,
    )
    verdict, why = _verdict(question, cells, charge, runtime, state)
    told = [
        _told_of_cells(cells),
        *([] if charge is None else [charge.told]),
        runtime.told,
        looked_after.told,
        health.told,
    ]
    read = question.of_this_pack
    return PackAnswer(
        pack=pack,
        last_visit_at=read[-1].at if read else None,
        verdict=verdict,
        why=why,
        cells=_lines(question, cells),
        remarks=tuple(remark for part in told for remark in part.remarks),
        steps=_steps(question, cells, runtime, state),
        figures=tuple(number for part in told for number in part.figures),
        trend=health.trend,
        replace_by=health.replace_by,
        does_not_apply=_does_not_apply(pack),
        cautions=(pack_cautions.estimate(), pack_cautions.makers_word(), pack_cautions.guards()),
    )


def _steps(question: PackQuestion, cells: CellView | None, runtime: RuntimeNow, state: PackState) -> tuple[Step, ...]:
    """What comes next; an equalising charge that no low cell asks for, but the story of the pack, stands at the end."""
    look = equalising(question, cells)
    if state.stop_signs or state.may_freeze or state.doubtful or not state.read_after_charge:
        look = None
    state = replace(state, equalise_how=() if look is None else look.steps)
    first = (*_before_the_work(question, runtime), *_read_again(question), *steps_for(state))
    if look is None or state.spread is SpreadState.EQUALISE:
        return first
    return (*first, equalising_step(look))


def _read_again(question: PackQuestion) -> tuple[Step, ...]:
    """Where the newest reading is too old to say anything of tonight; a flooded pack's own steps tell how."""
    visits = question.of_this_pack
    if not visits or (question.at - visits[-1].at).days <= CHARGE_HOLDS_DAYS:
        return ()
    if question.pack.chemistry is Chemistry.LITHIUM:
        return (Step(told=Sentence("Read its display before you work, and enter what it shows.")),)
    return (
        Step(
            told=Sentence(
                "Read the pack before you work: the last reading is of {day}.", day=visits[-1].at.date().isoformat()
            )
        ),
    )


def _before_the_work(question: PackQuestion, runtime: RuntimeNow) -> tuple[Step, ...]:
    if question.work_h is None or runtime.low_h is None or runtime.low_h >= question.work_h:
        return ()
    return (
        Step(
            told=Sentence("Charge before this work, or plan no more than {low_h} of it.", low_h=runtime.low_h),
            cautions=(pack_cautions.estimate(),),
        ),
    )


def _lines(question: PackQuestion, cells: CellView | None) -> tuple[CellLine, ...]:
    if cells is None or question.pack.family is None:
        return ()
    if cells.grid is not None:
        lines = cell_lines(cells.grid, cells.drifts, question.pack.family)
        return lines if cells.is_after_charge else tuple(replace(line, remark=None, is_weakest=False) for line in lines)
    return tuple(
        CellLine(
            number=number,
            gravity_ratio=gravity,
            above_median_ratio=None,
            drift_per_visit=None,
            charge_fraction=None,
            remark=None,
            is_weakest=False,
        )
        for number, gravity in enumerate(cells.gravities_ratio, 1)
    )


def _told_of_cells(cells: CellView | None) -> Told:
    if cells is None or cells.grid is None:
        return Told()
    if not cells.is_after_charge:
        remark = Sentence(
            "Cells are compared after a full charge only; these were read {moment}.", moment=cells.visit.moment
        )
        return Told(remarks=((PackPart.CELLS, remark),))
    when = Sentence("As read on {day}, after a charge.", day=cells.visit.at.date().isoformat())
    return Told(remarks=((PackPart.CELLS, when), (PackPart.CELLS, spread_told(cells.grid))))


def _state(
    question: PackQuestion, cells: CellView | None, charge: ChargeNow | None, health: HealthNow, looked_after: Care
) -> PackState:
    visits, pack = question.of_this_pack, question.pack
    last = visits[-1] if visits else None
    state = PackState(
        chemistry=pack.chemistry,
        stop_signs=question.stop_signs,
        has_readings=any(visit.has_gravities or visit.rested_v or visit.blocks_v for visit in visits)
        or pack.chemistry is Chemistry.LITHIUM,
        read_after_charge=cells is None
        or (cells.is_after_charge and (question.at - cells.visit.at).days <= _READING_HOLDS_DAYS),
        watered_before_reading=cells is not None and cells.watered_before,
        plates_bare=question.plates_bare,
        water_due=looked_after.water_due,
        stood_days=_stood_days(question),
        may_freeze=charge is not None and charge.may_freeze,
        part_replaced=last is not None and last.event is Event.NEW_CELL,
        health_fraction=health.given_fraction,
    )
    if pack.chemistry in SEALED:
        return _with_blocks(state, question)
    if cells is None or cells.grid is None:
        return state
    grid = cells.grid
    signs = SulfationSigns(
        low_after_long_charge=_low_after_charge(question, cells),
        capacity_gone=health.given_fraction is not None and health.given_fraction < REPLACE_BELOW_FRACTION,
    )
    return replace(
        state,
        reversal_charge_fraction=None if charge is None else charge.reverses_at_fraction,
        doubtful=cells.doubtful,
        exchange=cells.exchange,
        spread=cells.state,
        weakest=grid.weakest,
        weakest_below_ratio=grid.weakest_below_median_ratio,
        high=grid.high if cells.is_after_charge else (),
        drifting=tuple(drift.number for drift in cells.drifts if drift.falls),
        after_equalise=cells.after_equalise,
        sulfation=signs_told(signs) if looks_sulfated(signs) else (),
        low_after_charge=signs.low_after_long_charge,
    )


def _stood_days(question: PackQuestion) -> int:
    """Days since the last charge, where the hour meter says that nobody worked since; else 0."""
    visits = question.of_this_pack
    charged = next((visit for visit in reversed(visits) if visit.moment is Moment.CHARGED), None)
    if charged is None or charged.meter_h is None or visits[-1].meter_h != charged.meter_h or visits[-1] is charged:
        return 0
    return (visits[-1].at - charged.at).days


def _with_blocks(state: PackState, question: PackQuestion) -> PackState:
    for visit in reversed(question.of_this_pack):
        if len(visit.blocks_v) > 1:
            spread = block_spread(
                visit.blocks_v,
                cells_per_block=question.pack.cells_per_block,
            )
            return replace(state, spread=spread.state, weakest_block=spread.weakest)
    return state


def _low_after_charge(question: PackQuestion, cells: CellView) -> bool:
    visit, family = cells.visit, question.pack.family
    if family is None or cells.grid is None or visit.moment is not Moment.CHARGED:
        return False
    if visit.plugged_in_at is None or visit.finished_at is None:
        return False
    charge_h = (visit.finished_at - visit.plugged_in_at).total_seconds() / 3600
    return is_low_after_long_charge(cells.grid.median_ratio, family.full_ratio, charge_h)


def _verdict(
    question: PackQuestion,
    cells: CellView | None,
    charge: ChargeNow | None,
    runtime: RuntimeNow,
    state: PackState,
) -> tuple[PackVerdict, Sentence]:
    stop = _stop(cells, charge, state)
    if stop is not None:
        return PackVerdict.STOP, stop
    if charge is None:
        return PackVerdict.UNKNOWN, _nothing_read(question)
    days = (question.at - charge.visit.at).days
    if days > CHARGE_HOLDS_DAYS:
        return PackVerdict.UNKNOWN, Sentence(
            "The last reading is {days} days old: what is left now is not known. Read the pack again.", days=days
        )
    care_for = _care(question, charge, runtime, state)
    if care_for is not None:
        return PackVerdict.CARE, care_for
    if runtime.left_h is None:
        return PackVerdict.RUN, Sentence(
            "{charge_fraction} left, and no cell asks for anything.", charge_fraction=charge.charge_fraction
        )
    return PackVerdict.RUN, Sentence(
        "{charge_fraction} left, good for about {left_h} of the usual work; no cell asks for anything.",
        charge_fraction=charge.charge_fraction,
        left_h=runtime.left_h,
    )


def _nothing_read(question: PackQuestion) -> Sentence:
    """What is missing, and what to measure next."""
    if question.of_this_pack:
        return Sentence("Nothing was read that tells how this pack stands.")
    chemistry = question.pack.chemistry
    if chemistry is Chemistry.LITHIUM:
        return Sentence(
            "What the pack is, is known; what is missing is a first reading. Charge it, and enter what its display "
            "shows."
        )
    if chemistry in SEALED:
        return Sentence(
            "What the pack is, is known; what is missing is a first reading. Charge it full, let it rest, and measure "
            "the volts of every block."
        )
    return Sentence(
        "What the pack is, is known; what is missing is a first reading. Charge it full, let it rest, and measure the "
        "gravity of every cell."
    )


def _stop(cells: CellView | None, charge: ChargeNow | None, state: PackState) -> Sentence | None:
    if state.stop_signs:
        return Sentence(
            "Somebody noticed {sign}: leave it, and let a qualified person look first.", sign=state.stop_signs[0]
        )
    if state.may_freeze:
        return Sentence("The weakest cell may freeze before the next charge: charge it now, or bring it into the warm.")
    if charge is not None and charge.reverses and cells is not None and cells.grid is not None:
        return Sentence(
            "Cell {cell} is flat already: more work drives it backwards and ruins it.", cell=cells.grid.weakest
        )
    if state.ran_out:
        return Sentence("It came to its end at the last work: charge it before it works again.")
    if charge is not None and charge.flat_cells:
        return Sentence(
            "Cell {cell} is below its flat end: charge the pack before it works.", cell=charge.flat_cells[0]
        )
    return None


def _care(question: PackQuestion, charge: ChargeNow, runtime: RuntimeNow, state: PackState) -> Sentence | None:
    work_h = question.work_h
    if work_h is not None and runtime.low_h is not None and runtime.left_h is not None and runtime.low_h < work_h:
        return Sentence(
            "{work_h} of work are ahead; what is left gives about {left_h}, and {low_h} where it goes badly.",
            work_h=work_h,
            left_h=runtime.left_h,
            low_h=runtime.low_h,
        )
    if charge.charge_fraction < DEEP_FRACTION:
        return Sentence(
            "Only {charge_fraction} is left: charge before you work.", charge_fraction=charge.charge_fraction
        )
    if state.doubtful:
        return Sentence("The reading of cell {cell} cannot be right: read it again.", cell=state.doubtful[0])
    if state.spread in (SpreadState.EQUALISE, SpreadState.ASK) and state.weakest is not None:
        return Sentence(
            "Cell {cell} drags the pack: it is {below_ratio} under the median.",
            cell=state.weakest,
            below_ratio=state.weakest_below_ratio or 0.0,
        )
    if state.spread not in (None, SpreadState.EVEN) and state.weakest_block is not None:
        return Sentence("Block {block} stands behind the others.", block=state.weakest_block)
    if state.drifting:
        return Sentence("Cell {cell} falls behind from visit to visit.", cell=state.drifting[0])
    if state.health_fraction is not None and state.health_fraction < REPLACE_BELOW_FRACTION:
        return Sentence(
            "The pack gives only {health_fraction} of what a new one gives.", health_fraction=state.health_fraction
        )
    return None


def _does_not_apply(pack: Pack) -> tuple[Sentence, ...]:
    if pack.chemistry is Chemistry.FLOODED:
        return ()
    if pack.chemistry is Chemistry.LITHIUM:
        return (
            Sentence(
                "Gravity, water, equalising and the advice for lead cells: a lithium pack has none of them, and its "
                "own guard watches its cells. Follow its maker."
            ),
        )
    return (
        Sentence(
            "Gravity and water: a sealed pack must never be opened; its acid is bound, and the gas is joined again."
        ),
        Sentence("Equalising: the gas that it makes leaves through the valve and never comes back."),
        Sentence(
            "Health from volts at rest: they are too coarse to count what a shift took. Where a shift ends at the "
            "lock-out, write the event “ran out”, or have the capacity tested."
        ),
    )
