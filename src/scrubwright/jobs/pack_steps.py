"""What to do next with a pack, in order, each step with the cautions that bite while doing it."""

from collections.abc import Iterator

from scrubwright.battery.cells import SpreadState
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.reading_slips import Exchange, SlipKind
from scrubwright.jobs import pack_cautions
from scrubwright.jobs.pack_answer import Step
from scrubwright.jobs.pack_state import PackState, StopSign
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence

# US Bureau of Reclamation, FIST 3-6, 1997: replace below 80 % of the rating, test each year below 90 %.
REPLACE_BELOW_FRACTION = 0.8
TEST_BELOW_FRACTION = 0.9
# US Army, TM 5-1185: a battery in storage is charged every 30 days. What it loses by itself in a month is that of a
# maker's data sheet of a flooded block.
_LONGEST_STAND_DAYS = 30
_LEAST_LOST_FRACTION, _MOST_LOST_FRACTION = 0.05, 0.15
# What is left of a charge for less work than this is nothing to begin with.
_LEAST_WORK_H = 0.1


def steps_for(
    state: PackState,
    *,
    replace_below_fraction: float = REPLACE_BELOW_FRACTION,
    test_below_fraction: float = TEST_BELOW_FRACTION,
) -> tuple[Step, ...]:
    """What to do next, most urgent first.

    Stop signs end all work, so they come alone. Then what ruins cells tonight, then readings that cannot be
    trusted yet, then what the readings say, then what can wait.

    Parameters
    ----------
    state
        What is known.
    replace_below_fraction, test_below_fraction
        Health under which to replace the pack, or to have it tested each year [0 to 1, the first at most the second].

    Raises
    ------
    BadInput
        Limits out of order.

    Notes
    -----
    **Source** order ours, see docs/explanation/weak-cells.md; health limits from US Bureau of Reclamation, Facilities
    Instructions, Standards and Techniques 3-6, Storage battery maintenance, 1997.
    """
    if not 0 < replace_below_fraction <= test_below_fraction <= 1:
        raise BadInput(
            "The health limits are {replace} and {test}; enter two shares up to 1, the one for replacing first, such "
            "as 0.8 and 0.9.",
            replace=str(replace_below_fraction),
            test=str(test_below_fraction),
        )
    if state.stop_signs:
        return tuple(_stop_steps(state))
    steps = list(_urgent_steps(state))
    trusted = not (reading := list(_reading_steps(state)))
    steps += reading
    if trusted:
        steps += _cell_steps(state)
    steps += _later_steps(state, replace_below_fraction, test_below_fraction)
    return tuple(steps) or (Step(told=Sentence("Nothing is due. Read it again in a month, after a full charge.")),)


def _stop_steps(state: PackState) -> Iterator[Step]:
    others = tuple(Sentence("{sign}", sign=sign) for sign in state.stop_signs if sign is not StopSign.FROZEN)
    if others:
        yield Step(
            told=Sentence(
                "Stop, there is {signs}: switch the charger off at the wall if you can do so from a distance, leave, "
                "and keep everybody away.",
                signs=others,
            ),
            cautions=pack_cautions.gas_and_heat(),
        )
        yield Step(
            told=Sentence("Air the room if you can do so from outside. Wait until the pack is cold and no gas is left.")
        )
    if StopSign.FROZEN in state.stop_signs:
        yield Step(
            told=Sentence("Do not charge the pack and do not work with it: it is frozen. Bring it indoors to thaw."),
            cautions=(
                Sentence("Current through a frozen pack can burst it. Ice may have split a case: acid may run."),
            ),
        )
    yield Step(
        told=Sentence("Let a trained person look at every case before it is charged or used again."),
        cautions=(pack_cautions.guards(),),
    )


def _urgent_steps(state: PackState) -> Iterator[Step]:
    if state.chemistry is Chemistry.FLOODED and state.plates_bare:
        yield Step(
            told=Sentence(
                "Plates are bare: put in just enough water to cover them, then charge, then fill to the mark."
            ),
            cautions=(
                *pack_cautions.watering(),
                Sentence("Filled to the mark before a charge, acid runs over."),
            ),
        )
    if state.may_freeze:
        yield Step(
            told=Sentence("Charge the pack before the cold comes, or bring it where it does not freeze."),
            cautions=(Sentence("Never charge a frozen pack: thaw it indoors first."),),
        )
    if state.stood_days >= _LONGEST_STAND_DAYS and state.chemistry is not Chemistry.LITHIUM:
        yield Step(
            told=Sentence(
                "Charge it: it has stood {days} days, and a pack that stands loses {least_fraction} to {most_fraction} "
                "a month by itself.",
                days=state.stood_days,
                least_fraction=_LEAST_LOST_FRACTION,
                most_fraction=_MOST_LOST_FRACTION,
            )
        )
    if state.ran_out:
        yield Step(
            told=Sentence("Charge it full today: a pack that stands empty sulfates."),
            cautions=(Sentence("Never work on after the lock-out acts, and never go round it."),),
        )
    elif state.reversal_charge_fraction:
        yield _reversal_step(state.reversal_charge_fraction, state.stop_after_h)


def _reversal_step(charge_fraction: float, stop_after_h: float | None) -> Step:
    if stop_after_h is None:
        return Step(
            told=Sentence(
                "Stop working and charge before the pack is down to {charge_fraction}: its weakest cell is flat by "
                "then and the others drive it backwards.",
                charge_fraction=charge_fraction,
            ),
            cautions=(
                Sentence("No display shows that? Give the mean current of the work, and you are told the hours."),
                pack_cautions.estimate(),
            ),
        )
    if stop_after_h < _LEAST_WORK_H:
        return Step(
            told=Sentence(
                "Charge before any work: the weakest cell is nearly flat, and the others would drive it backwards."
            ),
            cautions=(pack_cautions.estimate(),),
        )
    return Step(
        told=Sentence(
            "Stop working and charge after {work_h} of work: the pack may be down to {charge_fraction} then, its "
            "weakest cell flat, and the others drive it backwards.",
            work_h=stop_after_h,
            charge_fraction=charge_fraction,
        ),
        cautions=(pack_cautions.estimate(),),
    )


def _reading_steps(state: PackState) -> Iterator[Step]:
    """What keeps the readings from being trusted."""
    if state.chemistry is Chemistry.LITHIUM:
        return
    if state.chemistry is not Chemistry.FLOODED:
        if not state.has_readings:
            yield Step(told=Sentence("Charge it full, let it rest six hours, then read the volts of each block."))
        return
    if not state.has_readings:
        yield Step(
            told=Sentence("Charge it full, let it rest, then read gravity and temperature of every cell."),
            cautions=pack_cautions.reading_gravity(),
        )
        return
    if not state.has_temperature:
        yield Step(
            told=Sentence("Read again with a thermometer in the electrolyte: without it gravity says nothing."),
            cautions=pack_cautions.reading_gravity(),
        )
    if state.watered_before_reading:
        yield Step(
            told=Sentence("Charge until it gasses, then read again: fresh water lies on top and reads far too low."),
            cautions=pack_cautions.reading_gravity(),
        )
    elif not state.read_after_charge:
        yield Step(
            told=Sentence("Charge it full, then read every cell: only full cells can be compared."),
            cautions=pack_cautions.reading_gravity(),
        )
    if state.doubtful:
        yield Step(
            told=Sentence(
                "Read again: cell {cells}. It is too far off to believe at once. The same again? Enter it as one more "
                "visit.",
                cells=_listed(state.doubtful),
            ),
            cautions=pack_cautions.reading_gravity(),
        )
    if state.exchange is not None:
        yield _exchange_step(state.exchange)


def _exchange_step(exchange: Exchange) -> Step:
    asks = {
        SlipKind.CELLS: Sentence(
            "Look at cells {first} and {second}: they have changed places since earlier visits. Two columns mixed up?",
            first=exchange.first,
            second=exchange.second,
        ),
        SlipKind.BLOCKS: Sentence(
            "Look at blocks {first} and {second}: they have changed places since earlier visits. Were they moved?",
            first=exchange.first,
            second=exchange.second,
        ),
        SlipKind.OTHER_END: Sentence(
            "Look where you began: the cells read as if counted from the other end. Cell {first} is at the positive "
            "end, cell {second} at the negative one.",
            first=exchange.first,
            second=exchange.second,
        ),
    }
    return Step(
        told=asks[exchange.kind],
        cautions=(Sentence("If they were really moved, enter the event «new cell», so that drift is counted afresh."),),
    )


def _cell_steps(state: PackState) -> Iterator[Step]:
    """What the cells ask for, once their readings can be trusted."""
    if state.chemistry is Chemistry.FLOODED:
        yield from _flooded_cell_steps(state)
    elif state.chemistry is not Chemistry.LITHIUM and state.weakest_block is not None:
        if state.spread is SpreadState.ASK:
            yield Step(
                told=Sentence("Have block {block} replaced: it lacks most of a cell.", block=state.weakest_block),
                cautions=(*pack_cautions.handling_blocks(), _alike()),
            )
        elif state.spread is SpreadState.WATCH:
            yield Step(
                told=Sentence(
                    "Watch block {block}: charge full and read all blocks again. If it stays behind, ask the maker.",
                    block=state.weakest_block,
                ),
                cautions=(
                    Sentence("Never equalise a sealed pack, and never open one."),
                    pack_cautions.makers_word(),
                ),
            )


def _flooded_cell_steps(state: PackState) -> Iterator[Step]:
    if state.part_replaced:
        yield Step(
            told=Sentence(
                "Charge it full with its new part, then read every cell once. Drift is counted from there on."
            ),
            cautions=pack_cautions.reading_gravity(),
        )
    if state.high:
        yield Step(
            told=Sentence(
                "Look into cell {cells}: gravity stands too high. Check its level; ask who put what into it.",
                cells=_listed(state.high),
            ),
            cautions=pack_cautions.watering(),
        )
    if state.weakest is not None and state.weakest_below_ratio is not None:
        yield from _spread_steps(state, state.weakest, state.weakest_below_ratio)
    for cell in state.drifting:
        yield Step(
            told=Sentence("Read cell {cell} at each visit: it falls behind from visit to visit.", cell=cell),
            cautions=(Sentence("Ask for a price of a replacement now; a cell that drifts seldom turns round."),),
        )
    if state.sulfation:
        yield Step(
            told=Sentence(
                "It may be sulfated ({signs}). Give it one long, slow charge of 12 hours or more, then read again.",
                signs=state.sulfation,
            ),
            cautions=pack_cautions.equalising(),
        )
    elif state.low_after_charge:
        yield Step(
            told=Sentence(
                "Charge on until gravity stops rising over three hourly readings. Still low? Have the charger checked."
            ),
            cautions=pack_cautions.reading_gravity(),
        )


def _spread_steps(state: PackState, cell: int, below_ratio: float) -> Iterator[Step]:
    if state.spread is SpreadState.ASK:
        yield Step(
            told=Sentence(
                "Ask the pack's maker about cell {cell}, or replace it or its block: it is {below_ratio} under the "
                "median even after equalising.",
                cell=cell,
                below_ratio=below_ratio,
            ),
            cautions=(*pack_cautions.handling_blocks(), _alike(), pack_cautions.makers_word()),
        )
    elif state.spread is SpreadState.EQUALISE and state.after_equalise:
        yield Step(
            told=Sentence(
                "Equalise once more: cell {cell} is still {below_ratio} under the median. If that does not bring it "
                "up, ask the maker.",
                cell=cell,
                below_ratio=below_ratio,
            ),
            cautions=(*pack_cautions.equalising(), pack_cautions.makers_word()),
            how=state.equalise_how,
        )
    elif state.spread is SpreadState.EQUALISE:
        yield Step(
            told=Sentence(
                "Equalise after a full charge: cell {cell} is {below_ratio} under the median. Then read every cell "
                "again.",
                cell=cell,
                below_ratio=below_ratio,
            ),
            cautions=(*pack_cautions.equalising(), pack_cautions.makers_word()),
            how=state.equalise_how,
        )
    elif state.spread is SpreadState.WATCH:
        yield Step(
            told=Sentence(
                "Watch cell {cell}, {below_ratio} under the median: read every cell again after the next full charge.",
                cell=cell,
                below_ratio=below_ratio,
            ),
            cautions=pack_cautions.reading_gravity(),
        )


def _later_steps(state: PackState, replace_below_fraction: float, test_below_fraction: float) -> Iterator[Step]:
    if state.chemistry is Chemistry.FLOODED and state.water_due and not state.plates_bare:
        yield Step(
            told=Sentence("Fill up with water after the next full charge, to the mark and no higher."),
            cautions=pack_cautions.watering(),
        )
    if state.health_fraction is None:
        return
    if state.health_fraction < replace_below_fraction:
        yield Step(
            told=Sentence(
                "Plan a new pack: this one gives only {health_fraction} of its rated charge.",
                health_fraction=state.health_fraction,
            ),
            cautions=(pack_cautions.estimate(), pack_cautions.makers_word()),
        )
    elif state.health_fraction < test_below_fraction:
        yield Step(
            told=Sentence(
                "Have its capacity tested once a year: it gives {health_fraction} of its rated charge.",
                health_fraction=state.health_fraction,
            ),
            cautions=(pack_cautions.estimate(),),
        )


def _alike() -> Sentence:
    return Sentence("A new block among old ones must be of the same kind and size, and charged full first.")


def _listed(cells: tuple[int, ...]) -> tuple[Sentence, ...]:
    return tuple(Sentence("{number}", number=cell) for cell in cells)
