"""What the route page says in lists: the numbers, the way block by block, what stays out, and why."""

import re
from dataclasses import dataclass
from html import escape
from re import Match

from scrubwright.jobs.route_answer import Block, LaneKind, MachineRoute, Pattern, RouteAnswer, Stop
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.route_drawing import corner_of, lanes_of, lettered, plot_of
from scrubwright.paperwork.route_text import lane_list, name_in_words
from scrubwright.paperwork.wording import NO_BREAK, Teller

MOST_SHOWN = 8
MOST_UNGROUPED = 12
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|m|mm|m²|ft|ft²|in|L|gal|h|min|s|km/h|mph|kg|lb)(?!\w))")
_RUN = re.compile(r"\d+-\d+[,.]?")
PAGE_SCALE_RATIO = 1 / 1000
PAGE_MARGIN_M = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Figure:
    """A number as the page shows it: its label, its text, where it comes from, and the rest on a tap."""

    label: str
    value: str
    origin: str
    detail: str


def held(text: str) -> str:
    """The text with each number held to its unit, so that no line ends between them."""
    return _BEFORE_UNIT.sub(NO_BREAK, text)


def figures(answer: RouteAnswer, teller: Teller) -> str:
    """The numbers that matter most, large; the others, and what went in, behind one tap."""
    results = _results(answer, teller)
    more = "".join(_figure(each, "figure small") for each in (*results[4:], *_inputs(answer, teller)))
    return (
        "".join(_figure(each, "figure") for each in results[:4])
        + f'<details class="more"><summary>{escape(teller.words("All numbers, and what the plan was made with"))}'
        f"</summary>{more}</details>"
    )


def cautions_at_start(answer: RouteAnswer, teller: Teller) -> str:
    """The cautions that belong to no single step."""
    found = [each for each in answer.cautions if not _bites_somewhere(each, answer)]
    if not found:
        return ""
    return f'<div class="cautions">{"".join(_caution(each, teller) for each in found)}</div>'


def steps(answer: RouteAnswer, teller: Teller) -> str:
    """Each machine's blocks and dump stops in the order of the night, between leaving and coming back."""
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
            parts += [_trip(answer, route, trip, teller, is_first=trip is trips[0]) for trip in trips]
            parts.append(f"<ol>{home}</ol>")
        else:
            rows = [_step(answer, route, each, teller) for trip in trips for each in trip]
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


def _trip(answer: RouteAnswer, route: MachineRoute, trip: list[Block | Stop], teller: Teller, *, is_first: bool) -> str:
    """A long list is folded trip by trip, so that a thumb finds its way."""
    blocks = [each for each in trip if isinstance(each, Block)]
    stops = [each for each in trip if isinstance(each, Stop)]
    rows = "".join(_step(answer, route, each, teller) for each in trip)
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


def _step(answer: RouteAnswer, route: MachineRoute, each: Block | Stop, teller: Teller) -> str:
    if isinstance(each, Stop):
        return _stop_step(answer, route, each, teller)
    return _block_step(answer, route, each, teller)


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
        rows = []
        for letter, piece, _ in (each for each in lettered(answer) if each[2] == kind):
            x, y = plot.at(piece.x_m, piece.y_m)
            area = teller.number("area_m2", piece.area_m2)
            rows.append(
                f'<li><button type="button" class="out" data-x="{x}" data-y="{y}"><span class="letter">{letter or "·"}'
                f"</span><span><b>{escape(piece.name)}, {escape(area)}</b>"
                f"<span>{escape(held(teller.tell(piece.reason)))}</span></span></button></li>"
            )
        if rows:
            parts.append(f"<div><h2>{escape(title)}</h2>{_shortened(rows, teller)}</div>")
    if answer.why[1:]:
        rows = [f'<li class="why">{escape(held(teller.tell(each)))}</li>' for each in answer.why[1:]]
        title = teller.words("Why, and what would change it")
        parts.append(f"<div><h2>{escape(title)}</h2>{_shortened(rows, teller)}</div>")
    return "".join(parts)


def _shortened(rows: list[str], teller: Teller) -> str:
    shown = f"<ul>{''.join(rows[:MOST_SHOWN])}</ul>"
    hidden = rows[MOST_SHOWN:]
    if not hidden:
        return shown
    title = teller.words("{count} more", count=len(hidden))
    return f'{shown}<details class="more"><summary>{escape(title)}</summary><ul>{"".join(hidden)}</ul></details>'


def _results(answer: RouteAnswer, teller: Teller) -> list[_Figure]:
    words, number = teller.words, teller.number
    total = {
        name: float(sum(getattr(route, name) for route in answer.routes))
        for name in ("scrub_time_s", "drive_time_s", "stop_time_s", "drive_length_m", "water_used_l")
    }
    left_m2 = float(sum(piece.area_m2 for piece in answer.missed))
    split = words(
        "Scrubbing {scrub_time_s}, driving {drive_time_s}, dumping and filling {stop_time_s}.",
        scrub_time_s=total["scrub_time_s"],
        drive_time_s=total["drive_time_s"],
        stop_time_s=total["stop_time_s"],
    )
    least = words(
        "No order of these lanes takes less than {lower_bound_s}; this one takes {gap_fraction} more.",
        lower_bound_s=answer.lower_bound_s,
        gap_fraction=answer.bound_gap_fraction,
    )
    shown = [
        ("total_time_s", words("Time"), teller.duration(answer.total_time_s), f"{split} {least}"),
        (
            "dump_trips",
            words("Dump stops"),
            str(answer.dump_trips),
            words("The tanks allow no fewer than {count}.", count=answer.dump_trips_bound),
        ),
        (
            "coverage_fraction",
            words("Scrubbed, of what it can reach"),
            number("coverage_fraction", answer.coverage_fraction),
            words(
                "Measured on the plan as drawn; counted again on a grid it is {raster_fraction}. Left: {left_m2}.",
                raster_fraction=answer.raster_coverage_fraction,
                left_m2=left_m2,
            ),
        ),
        (
            "reachable_area_m2",
            words("Floor that the deck can reach"),
            number("reachable_area_m2", answer.reachable_area_m2),
            words("Of {floor_area_m2} between the walls.", floor_area_m2=answer.floor_area_m2),
        ),
        ("water_used_l", words("Solution used"), number("water_used_l", total["water_used_l"]), ""),
        (
            "deck_down_length_m",
            words("Way with the deck down"),
            number("deck_down_length_m", answer.deck_down_length_m),
            words(
                "{more_fraction} more than the floor's size alone would take; {drive_length_m} more with the deck up.",
                more_fraction=answer.length_bound_ratio - 1,
                drive_length_m=total["drive_length_m"],
            ),
        ),
        (
            "overlap_fraction",
            words("Scrubbed more than once"),
            number("overlap_fraction", answer.overlap_fraction),
            "",
        ),
        ("planning_time_s", words("Planning took"), number("planning_time_s", answer.planning_time_s), ""),
    ]
    sources = {each.name: each for each in answer.provenance}
    found = []
    for name, label, value, detail in shown:
        # What the planner worked out is an estimate unless it says more.
        source = sources.get(name)
        origin = words(source.origin if source else Origin.ESTIMATE)
        told = teller.tell(source.detail) if source else ""
        found.append(_Figure(label=label, value=value, origin=origin, detail=f"{detail} {told}".strip()))
    return found


def _inputs(answer: RouteAnswer, teller: Teller) -> list[_Figure]:
    results = {"total_time_s", "coverage_fraction", "reachable_area_m2", "water_used_l", "deck_down_length_m"}
    results |= {"overlap_fraction", "planning_time_s", "lower_bound_s"}
    return [
        _Figure(
            label=name_in_words(each.name, teller),
            value=teller.number(each.name, each.value),
            origin=teller.words(each.origin),
            detail=teller.tell(each.detail),
        )
        for each in answer.provenance
        if each.name not in results
    ]


def _figure(figure: _Figure, kind: str) -> str:
    number, _, unit = figure.value.rpartition(" ")
    # Durations such as "3 h 54 min" stay whole; a lone unit is set smaller.
    value = f"{number} <small>{escape(unit)}</small>" if number and " " not in number else escape(figure.value)
    return (
        f'<details class="{kind}"><summary><span class="label">{escape(figure.label)}</span>'
        f'<span class="value">{value}</span><span class="origin">{escape(figure.origin)}</span></summary>'
        f"<p>{escape(figure.detail or figure.origin)}</p></details>"
    )


def _block_step(answer: RouteAnswer, route: MachineRoute, block: Block, teller: Teller) -> str:
    lanes = lanes_of(answer, block)
    lines = [_pattern(block, teller)]
    if lanes:
        first, last = (_corner(corner_of(lanes, point), teller) for point in (block.entry_m, block.exit_m))
        if first and last:
            lines.append(teller.words("Start {first}, finish {last}.", first=first, last=last))
    takes = teller.duration(60.0 * max(1, round((block.end_s - block.start_s) / 60)))
    # A run of lane numbers is not torn at its dash.
    said = "".join(f"<span>{_RUN.sub(_whole, escape(line))}</span>" for line in lines)
    place = block.area or teller.words("Block {number}", number=block.number)
    told = "".join(_caution(each, teller) for each in answer.cautions if _bites_at_block(each, route, block))
    return (
        f'<li><button type="button" class="step" aria-pressed="false" data-block="{route.machine}-{block.number}" '
        f'data-end="{block.end_s:.0f}"><span class="big">{block.number}</span><span class="what">'
        f'<b>{escape(place)}</b>{said}<span class="when">{_time(block.start_s, teller)}–{_time(block.end_s, teller)} '
        f"· {escape(takes)}</span></span></button>{told}</li>"
    )


def _whole(run: Match[str]) -> str:
    return f"<i>{run[0]}</i>"


def _pattern(block: Block, teller: Teller) -> str:
    words = teller.words
    count, numbers = len(block.lanes), lane_list(block.lanes, block.pattern)
    in_order = ", ".join(str(lane) for lane in block.lanes)
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
            "{count} lanes: every second one out, the others on the way back: {numbers}.", count=count, numbers=in_order
        )
    return words("{count} lanes in this order: {numbers}.", count=count, numbers=numbers)


def _corner(corner: tuple[str, str], teller: Teller) -> str:
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


def _stop_step(answer: RouteAnswer, route: MachineRoute, stop: Stop, teller: Teller) -> str:
    words = teller.words
    title = (
        words("Dump at {drain}", drain=stop.drain)
        if stop.tap is None
        else words("Dump and fill at {drain}", drain=stop.drain)
    )
    said = words("Out: {dumped_l}.", dumped_l=stop.dumped_l)
    if stop.tap is not None:
        said += " " + words("In: {filled_l} at {tap}.", filled_l=stop.filled_l, tap=stop.tap)
    takes = words("{takes_s} there", takes_s=stop.duration_s)
    told = "".join(_caution(each, teller) for each in answer.cautions if _bites_at_stop(each, route, stop))
    return (
        f'<li><div class="step" data-end="{stop.arrive_s + stop.duration_s:.0f}"><span class="big"><span class="gem">'
        f'{stop.number}</span></span><span class="what"><b>{escape(title)}</b><span>{escape(said)}</span>'
        f'<span class="when">{_time(stop.arrive_s, teller)} · {escape(takes)}</span></span></div>{told}</li>'
    )


def _home_step(said: str, at_s: float, teller: Teller) -> str:
    return (
        f'<li><div class="step" data-end="{at_s:.0f}"><span class="big"><span class="home">P</span></span>'
        f'<span class="what"><b>{escape(said)}</b><span class="when">{_time(at_s, teller)}</span></span></div></li>'
    )


def _time(at_s: float, teller: Teller) -> str:
    return f'<time data-s="{at_s:.0f}">{teller.clock(at_s)}</time>'


def _caution(caution: Sentence, teller: Teller) -> str:
    return f'<p class="caution">{escape(held(teller.tell(caution)))}</p>'


def _bites_somewhere(caution: Sentence, answer: RouteAnswer) -> bool:
    return any(_bites_at_block(caution, route, block) for route in answer.routes for block in route.blocks) or any(
        _bites_at_stop(caution, route, stop) for route in answer.routes for stop in route.stops
    )


def _bites_at_block(caution: Sentence, route: MachineRoute, block: Block) -> bool:
    """Whether a caution names this block by its number, or its area where this is the machine's first block there."""
    values = dict(caution.values)
    if values.get("machine", route.machine) != route.machine:
        return False
    first = next(each for each in route.blocks if each.area == block.area)
    return values.get("block") == block.number or (
        first is block and bool(block.area) and values.get("area") == block.area
    )


def _bites_at_stop(caution: Sentence, route: MachineRoute, stop: Stop) -> bool:
    values = dict(caution.values)
    if values.get("machine", route.machine) != route.machine:
        return False
    first = next(each for each in route.stops if each.drain == stop.drain)
    return values.get("stop") == stop.number or (first is stop and values.get("drain") == stop.drain)
