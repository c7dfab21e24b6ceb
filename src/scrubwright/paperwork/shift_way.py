"""The way of one machine through its shift as rows for paper: when, where, how, and what the display must show."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from scrubwright.jobs.route_answer import Bites, Block, LaneKind, MachineRoute, Pattern, RouteAnswer, Stop
from scrubwright.jobs.shift_answer import Doing, MachineShift, ShiftAnswer, Stretch
from scrubwright.jobs.shift_checkpoints import Checkpoint, checkpoints
from scrubwright.paperwork.route_drawing import corner_of, lanes_of
from scrubwright.paperwork.route_lists import corner_words
from scrubwright.paperwork.route_text import is_by_number, lane_list
from scrubwright.paperwork.shift_lists import remarks
from scrubwright.paperwork.shift_words import at, charge_at_fraction, clock_words, share_words, stop_times
from scrubwright.paperwork.wording import Teller


class RowKind(StrEnum):
    """What a row of the way is."""

    START = "start"
    BLOCK = "block"
    STOP = "stop"
    CHARGE = "charge"
    HOME = "home"


@dataclass(frozen=True, slots=True, kw_only=True)
class WayRow:
    """One thing to do, in the order of the night.

    Parameters
    ----------
    kind, number
        What it is, and the number that stands on the map; empty where it has none.
    clock, takes
        When it begins, and how long it takes; the latter may be empty.
    title, told
        Where, and how.
    remark
        What must not be missed there: a wait, which pass of a double scrub.
    charge
        What the display should show, and what to do where it shows less.
    asks_display
        Whether there is a line to write down what the display shows.
    cautions
        That bite here.
    """

    kind: RowKind
    number: str
    clock: str
    takes: str
    title: str
    told: str
    remark: str = ""
    charge: tuple[str, ...] = ()
    asks_display: bool = False
    cautions: tuple[str, ...] = ()


def way_rows(
    answer: ShiftAnswer, route: RouteAnswer, shift: MachineShift, teller: Teller, *, with_lanes: bool
) -> tuple[WayRow, ...]:
    """The way of one machine, from the parking place and back.

    Parameters
    ----------
    answer, shift
        The shift, and which of its machines.
    route
        The route by the shift's clock, as `shift_route.route_in_time` tells it.
    with_lanes
        Whether the map has room for lane numbers, so that they can be told.
    """
    own = route.routes[shift.machine - 1]
    checks = {each.stop: each for each in checkpoints(answer, shift)}
    timed: list[tuple[float, WayRow]] = [(-1.0, _start(answer, shift, checks.get(None), teller))]
    at_blocks = {
        number: told
        for (machine, kind, number), told in remarks(answer, teller).items()
        if machine == shift.machine and kind == "block"
    }
    timed += [
        (each.start_s, _block(answer, route, each, at_blocks.get(each.number, ""), teller, with_lanes=with_lanes))
        for each in own.blocks
    ]
    timed += [(each.arrive_s, _stop(answer, route, own, shift, each, checks, teller)) for each in own.stops]
    timed += [(each.start_s, _charging(answer, each, teller)) for each in shift.line if each.doing is Doing.CHARGE]
    timed.append((math.inf, _home(answer, shift, teller)))
    return tuple(row for _, row in sorted(timed, key=lambda pair: pair[0]))


def _start(answer: ShiftAnswer, shift: MachineShift, check: Checkpoint | None, teller: Teller) -> WayRow:
    told = () if check is None else tuple(_start_words(answer, shift, check, teller))
    return WayRow(
        kind=RowKind.START,
        number="P",
        clock=clock_words(answer.question.start_at),
        takes="",
        title=teller.words("Leave the parking place."),
        told="",
        charge=told,
        asks_display=True,
    )


def _start_words(answer: ShiftAnswer, shift: MachineShift, check: Checkpoint, teller: Teller) -> Iterator[str]:
    yield _planned_words(answer, shift, 0.0, teller)
    if check.all_fraction > 1:
        yield teller.words("Not even a full pack lasts for all that follows: do not start, plan again.")
    else:
        yield teller.words(
            "Less than {share}: do not start; charge first, or plan again.",
            share=share_words(check.all_fraction, teller),
        )


def _home(answer: ShiftAnswer, shift: MachineShift, teller: Teller) -> WayRow:
    return WayRow(
        kind=RowKind.HOME,
        number="P",
        clock=clock_words(at(answer, shift.finish_s)),
        takes="",
        title=teller.words("Back to the parking place."),
        told="",
        charge=(_planned_words(answer, shift, shift.finish_s, teller),),
        asks_display=True,
    )


def _planned_words(answer: ShiftAnswer, shift: MachineShift, at_s: float, teller: Teller) -> str:
    planned = max(0.0, charge_at_fraction(answer, shift, at_s))
    return teller.words("Charge as planned: {share}.", share=share_words(planned, teller))


def _block(
    answer: ShiftAnswer, route: RouteAnswer, block: Block, remark: str, teller: Teller, *, with_lanes: bool
) -> WayRow:
    lines = [_pattern_words(block, teller, with_lanes=with_lanes)]
    if with_lanes:
        numbers = lane_list(block.lanes, block.pattern)
        is_one = len(block.lanes) == 1
        lines.append(
            teller.words("Lane {number}.", number=numbers)
            if is_one
            else teller.words("Lanes {numbers}.", numbers=numbers)
        )
    lanes = lanes_of(route, block)
    if lanes:
        first, last = (corner_words(corner_of(lanes, point), teller) for point in (block.entry_m, block.exit_m))
        if first and last:
            lines.append(teller.words("Start {first}, finish {last}.", first=first, last=last))
    return WayRow(
        kind=RowKind.BLOCK,
        number=str(block.number),
        clock=clock_words(at(answer, block.start_s)),
        takes=_minutes(block.end_s - block.start_s, teller),
        title=block.area or teller.words("Block {number}", number=block.number),
        told=" ".join(lines),
        remark=remark,
        cautions=tuple(_cautions_at(route, block, teller)),
    )


def _pattern_words(block: Block, teller: Teller, *, with_lanes: bool) -> str:
    """How the lanes are taken, in the words of a driver who may have no lane numbers to go by."""
    words, count = teller.words, len(block.lanes)
    if block.kind is LaneKind.EDGE:
        return words("Along walls and racks.")
    if block.kind is LaneKind.PATCH:
        return words("Pieces left between lanes.")
    if block.pattern is Pattern.SINGLE or count == 1:
        return words("One lane.")
    if block.pattern is Pattern.IN_ORDER:
        return words("{count} lanes side by side, one after the other.", count=count)
    if block.pattern is Pattern.EVERY_SECOND:
        return words("{count} lanes: every second one out, the others on the way back.", count=count)
    if not with_lanes:
        return words("{count} lanes, as the arrows of the map lead.", count=count)
    if is_by_number(block):
        return words("{count} lanes, one number after the other.", count=count)
    return words("{count} lanes in the order of their numbers here.", count=count)


def _cautions_at(route: RouteAnswer, block: Block, teller: Teller) -> Iterator[str]:
    for each in route.cautions:
        if each.bites is not Bites.BLOCKS or block.number not in each.blocks:
            continue
        first = min(each.blocks)
        if first == block.number:
            yield teller.tell(each.told)
        else:
            yield teller.words("Take care as at block {number}.", number=first)


def _stop(
    answer: ShiftAnswer,
    route: RouteAnswer,
    own: MachineRoute,
    shift: MachineShift,
    stop: Stop,
    checks: dict[int | None, Checkpoint],
    teller: Teller,
) -> WayRow:
    words, times = teller.words, {each.stop.number: each for each in stop_times(answer, shift)}
    said = [words("Out: {dumped_l}.", dumped_l=stop.dumped_l)]
    title = words("Dump at {drain}", drain=stop.drain)
    if stop.tap is not None:
        title = words("Dump and fill at {drain}", drain=stop.drain)
        said.append(words("In: {filled_l} at {tap}.", filled_l=stop.filled_l, tap=stop.tap))
    # A charge has a row of its own.
    charge_s = times[stop.number].charge_s if stop.number in times else 0.0
    check = checks.get(stop.number)
    first = own.stops[0].number
    cautions = [
        teller.tell(each.told) if stop.number == first else words("Take care as at stop {number}.", number=first)
        for each in route.cautions
        if each.bites is Bites.STOPS
    ]
    return WayRow(
        kind=RowKind.STOP,
        number=str(stop.number),
        clock=clock_words(at(answer, stop.arrive_s)),
        takes=_minutes(stop.duration_s - charge_s, teller),
        title=title,
        told=" ".join(said),
        charge=tuple(_check_words(answer, shift, check, teller)) if check is not None else (),
        asks_display=check is not None,
        cautions=tuple(cautions),
    )


def _charging(answer: ShiftAnswer, charging: Stretch, teller: Teller) -> WayRow:
    return WayRow(
        kind=RowKind.CHARGE,
        number="",
        clock=clock_words(at(answer, charging.start_s)),
        takes=_minutes(charging.end_s - charging.start_s, teller),
        title=teller.words("Charge until {clock}.", clock=clock_words(at(answer, charging.end_s))),
        told="",
    )


def _check_words(answer: ShiftAnswer, shift: MachineShift, check: Checkpoint, teller: Teller) -> Iterator[str]:
    """What the display should show on arrival, and what to do where it shows less."""
    words = teller.words
    yield _planned_words(answer, shift, check.at_s, teller)
    if check.next_fraction > 1:
        yield words("Not even a full pack lasts for what follows: end here.")
        return
    enough, least, on_to = (
        share_words(check.all_fraction, teller),
        share_words(check.next_fraction, teller),
        check.next_stop if check.next_fraction < check.all_fraction else None,
    )
    if on_to is not None and check.all_fraction > 1:
        yield words(
            "Not even a full pack lasts for all that follows: scrub on to stop {stop}, then end there.", stop=on_to
        )
    elif on_to is not None and check.can_charge:
        yield words(
            "Less than {share}: plug in here until it shows that, or scrub on to stop {stop} and end there.",
            share=enough,
            stop=on_to,
        )
    elif on_to is not None:
        yield words("Less than {share}: scrub on to stop {stop}, then end there.", share=enough, stop=on_to)
    if check.can_charge:
        yield words("Less than {share}: plug in here until it shows that, or end here.", share=least)
    else:
        yield words("Less than {share}: end here.", share=least)


def _minutes(seconds_s: float, teller: Teller) -> str:
    return teller.duration(60.0 * max(1, round(seconds_s / 60)))
