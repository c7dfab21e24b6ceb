"""What the route page says in lists: the way block by block, what stays out, and why."""

import re
from collections.abc import Mapping
from html import escape
from re import Match

from scrubwright.jobs.route_answer import Bites, Block, Caution, LaneKind, MachineRoute, Pattern, RouteAnswer, Stop
from scrubwright.paperwork.left_groups import left_groups, told_reason
from scrubwright.paperwork.route_drawing import corner_of, lanes_of, plot_of
from scrubwright.paperwork.route_text import is_by_number, lane_list
from scrubwright.paperwork.wording import NO_BREAK, Teller

MOST_SHOWN = 8
MOST_UNGROUPED = 12
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|m|mm|m²|ft|ft²|in|L|gal|h|min|s|km/h|mph|kg|lb)(?!\w))")
_RUN = re.compile(r"\d+-\d+[,.]?")
PAGE_SCALE_RATIO = 1 / 1000
PAGE_MARGIN_M = 1.5
# What else is told at a block or a stop, by machine, "block" or "stop", and number.
Remarks = Mapping[tuple[int, str, int], str]
_NO_REMARKS: Remarks = {}


def held(text: str) -> str:
    """The text with each number held to its unit, so that no line ends between them."""
    return _BEFORE_UNIT.sub(NO_BREAK, text)


def cautions_at_start(answer: RouteAnswer, teller: Teller) -> str:
    """What to see to before the first block, and what holds on every lane."""
    found = [each for each in answer.cautions if each.bites in (Bites.START, Bites.LANES)]
    if not found:
        return ""
    return f'<div class="cautions">{"".join(_caution(each, teller) for each in found)}</div>'


def steps(answer: RouteAnswer, teller: Teller, remarks: Remarks = _NO_REMARKS) -> str:
    """Each machine's blocks and dump stops in the order of the night, between leaving and coming back.

    Parameters
    ----------
    remarks
        What else is to be told at a block or a stop.
    """
    parts = []
    for route in answer.routes:
        if len(answer.routes) > 1:
            heading = teller.words(
                "Machine {machine}: {total_time_s}", machine=route.machine, total_time_s=route.total_time_s
            )
            parts.append(f"<h3>{escape(heading)}</h3>")
        home = _home_step(teller.words("Back to the parking place."), route.total_time_s, teller)
        trips = _trips(route)
        if len(trips) > 1 and len(route.blocks) > MOST_UNGROUPED:
            parts += [_trip(answer, route, trip, teller, remarks, is_first=trip is trips[0]) for trip in trips]
            parts.append(f"<ol>{home}</ol>")
        else:
            rows = [_step(answer, route, each, teller, remarks) for trip in trips for each in trip]
            parts.append(f"<ol>{''.join(rows)}{home}</ol>")
    return "".join(parts)


def _trips(route: MachineRoute) -> list[list[Block | Stop]]:
    """Blocks and stops in time order, a new list after each stop."""
    timed: list[tuple[float, Block | Stop]] = [(block.start_s, block) for block in route.blocks]
    timed += [(stop.arrive_s, stop) for stop in route.stops]
    trips: list[list[Block | Stop]] = [[]]
    for _, each in sorted(timed, key=lambda pair: pair[0]):
        trips[-1].append(each)
        if isinstance(each, Stop):
            trips.append([])
    return [trip for trip in trips if trip]


def _trip(
    answer: RouteAnswer,
    route: MachineRoute,
    trip: list[Block | Stop],
    teller: Teller,
    remarks: Remarks,
    *,
    is_first: bool,
) -> str:
    """A long list is folded trip by trip, so that a thumb finds its way."""
    blocks = [each for each in trip if isinstance(each, Block)]
    stops = [each for each in trip if isinstance(each, Stop)]
    rows = "".join(_step(answer, route, each, teller, remarks) for each in trip)
    if not blocks:
        return f"<ol>{rows}</ol>"
    first, last = blocks[0].number, blocks[-1].number
    title = (
        teller.words("Blocks {first} to {last}, then stop {stop}", first=first, last=last, stop=stops[0].number)
        if stops
        else teller.words("Blocks {first} to {last}, then home", first=first, last=last)
    )
    start = "<details open" if is_first else "<details"
    return (
        f'{start} class="more"><summary>{_time(blocks[0].start_s, teller)}&ensp;{escape(title)}</summary>'
        f"<ol>{rows}</ol></details>"
    )


def _step(
    answer: RouteAnswer,
    route: MachineRoute,
    each: Block | Stop,
    teller: Teller,
    remarks: Remarks,
) -> str:
    if isinstance(each, Stop):
        return _stop_step(answer, each, remarks.get((route.machine, "stop", each.number), ""), teller)
    return _block_step(answer, route, each, remarks.get((route.machine, "block", each.number), ""), teller)


def rest(answer: RouteAnswer, teller: Teller) -> str:
    """What stays out with its letters and reasons, and the reasons why the answer is what it is."""
    plot = plot_of(answer, PAGE_SCALE_RATIO, PAGE_MARGIN_M)
    titles = {
        "unreachable": teller.words("Cannot be reached"),
        "missed": teller.words("Stays unscrubbed"),
        "wet": teller.words("Stays wet in bends"),
    }
    parts = []
    for kind, title in titles.items():
        groups = [group for group in left_groups(answer) if group.kind == kind]
        rows = []
        for group in groups:
            places = (plot.at(piece.x_m, piece.y_m) for piece in group.pieces)
            listed = " ".join(f"{x},{y}" for x, y in places)
            name, area = teller.called(group.name), teller.number("area_m2", group.area_m2)
            rows.append(
                f'<li><button type="button" class="out" data-at="{listed}"><span class="letter">{group.letter or "·"}'
                f"</span><span><b>{escape(name)}, {escape(area)}</b>"
                f"<span>{escape(held(told_reason(group.pieces, teller)))}</span></span></button></li>"
            )
        if rows:
            sum_m2 = teller.number("area_m2", float(sum(group.area_m2 for group in groups)))
            parts.append(f"<div><h2>{escape(title)}: {escape(held(sum_m2))}</h2>{shortened(rows, teller)}</div>")
    if answer.why[1:]:
        rows = [f'<li class="why">{escape(held(teller.tell(each)))}</li>' for each in answer.why[1:]]
        title = teller.words("Why, and what would change it")
        parts.append(f"<div><h2>{escape(title)}</h2>{shortened(rows, teller)}</div>")
    return "".join(parts)


def shortened(rows: list[str], teller: Teller) -> str:
    """The first rows of a list, the others behind a tap."""
    shown = f"<ul>{''.join(rows[:MOST_SHOWN])}</ul>"
    hidden = rows[MOST_SHOWN:]
    if not hidden:
        return shown
    title = teller.words("{count} more", count=len(hidden))
    return f'{shown}<details class="more"><summary>{escape(title)}</summary><ul>{"".join(hidden)}</ul></details>'


def _block_step(answer: RouteAnswer, route: MachineRoute, block: Block, more: str, teller: Teller) -> str:
    lanes = lanes_of(answer, block)
    lines = [*([held(more)] if more else []), _pattern(block, teller)]
    if lanes:
        first, last = (corner_words(corner_of(lanes, point), teller) for point in (block.entry_m, block.exit_m))
        if first and last:
            lines.append(teller.words("Start {first}, finish {last}.", first=first, last=last))
    takes = teller.duration(60.0 * max(1, round((block.end_s - block.start_s) / 60)))
    # A run of lane numbers is not torn at its dash.
    said = "".join(f"<span>{_RUN.sub(_whole, escape(line))}</span>" for line in lines)
    place = block.area or teller.words("Block {number}", number=block.number)
    told = "".join(_caution(each, teller) for each in answer.cautions if block.number in each.blocks)
    return (
        f'<li><button type="button" class="step" aria-pressed="false" data-block="{route.machine}-{block.number}" '
        f'data-end="{block.end_s:.0f}"><span class="big">{block.number}</span><span class="what">'
        f'<span class="top"><b>{escape(place)}</b> <span class="when">{_time(block.start_s, teller)} '
        f"· {escape(takes)}</span></span>{said}</span></button>{told}</li>"
    )


def _whole(run: Match[str]) -> str:
    return f"<i>{run[0]}</i>"


def _pattern(block: Block, teller: Teller) -> str:
    words = teller.words
    count, numbers = len(block.lanes), lane_list(block.lanes, block.pattern)
    if block.kind is LaneKind.EDGE:
        return words("Along walls and racks: {numbers}.", numbers=numbers)
    if block.kind is LaneKind.PATCH:
        return words("Pieces left between lanes: {numbers}.", numbers=numbers)
    if block.pattern is Pattern.SINGLE or count == 1:
        return words("One lane: {numbers}.", numbers=numbers)
    if block.pattern is Pattern.IN_ORDER:
        return words("{count} lanes side by side, one after the other: {numbers}.", count=count, numbers=numbers)
    if block.pattern is Pattern.EVERY_SECOND:
        return words(
            "{count} lanes: every second one out, the others on the way back: {numbers}.", count=count, numbers=numbers
        )
    if is_by_number(block):
        return words("{count} lanes, one number after the other: {numbers}.", count=count, numbers=numbers)
    return words("{count} lanes in this order: {numbers}.", count=count, numbers=numbers)


def corner_words(corner: tuple[str, str], teller: Teller) -> str:
    """A corner of a block as people say it: "top left"; empty in its middle."""
    said = {
        ("top", "left"): teller.words("top left"),
        ("top", ""): teller.words("at the top"),
        ("top", "right"): teller.words("top right"),
        ("", "left"): teller.words("at the left"),
        ("", "right"): teller.words("at the right"),
        ("bottom", "left"): teller.words("bottom left"),
        ("bottom", ""): teller.words("at the bottom"),
        ("bottom", "right"): teller.words("bottom right"),
    }
    return said.get(corner, "")


def _stop_step(answer: RouteAnswer, stop: Stop, more: str, teller: Teller) -> str:
    words = teller.words
    title = (
        words("Dump at {drain}", drain=stop.drain)
        if stop.tap is None
        else words("Dump and fill at {drain}", drain=stop.drain)
    )
    said = words("Out: {dumped_l}.", dumped_l=stop.dumped_l)
    if stop.tap is not None:
        said += " " + words("In: {filled_l} at {tap}.", filled_l=stop.filled_l, tap=stop.tap)
    told_too = f"<span>{escape(held(more))}</span>" if more else ""
    takes = words("{takes_s} there", takes_s=stop.duration_s)
    told = "".join(_caution(each, teller) for each in answer.cautions if each.bites is Bites.STOPS)
    return (
        f'<li><div class="step" data-end="{stop.arrive_s + stop.duration_s:.0f}"><span class="big"><span class="gem">'
        f'{stop.number}</span></span><span class="what"><span class="top"><b>{escape(title)}</b> '
        f'<span class="when">{_time(stop.arrive_s, teller)} · {escape(takes)}</span></span>'
        f"<span>{escape(said)}</span>{told_too}</span></div>{told}</li>"
    )


def _home_step(said: str, at_s: float, teller: Teller) -> str:
    return (
        f'<li><div class="step" data-end="{at_s:.0f}"><span class="big"><span class="home">P</span></span>'
        f'<span class="what"><span class="top"><b>{escape(said)}</b> <span class="when">{_time(at_s, teller)}</span>'
        "</span></span></div></li>"
    )


def _time(at_s: float, teller: Teller) -> str:
    return f'<time data-s="{at_s:.0f}">{teller.clock(at_s)}</time>'


def _caution(caution: Caution, teller: Teller) -> str:
    return f'<p class="caution">{escape(held(teller.tell(caution.told)))}</p>'
