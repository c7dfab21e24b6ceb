"""The route's answer as text for a terminal or a printed sheet: verdict first, then the driver's list."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scrubwright.jobs.route_answer import Block, LaneKind, LeftOut, MachineRoute, Pattern, RouteAnswer, Stop
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import unit_of
from scrubwright.paperwork.text_columns import WIDTH, Column, row, wrapped
from scrubwright.paperwork.wording import Teller

MOST_PIECES = 12
# Of pieces smaller than this, the largest few stand for the rest.
SMALL_PIECE_M2 = 1.0
MOST_SMALL_PIECES = 4
_ORIGIN_WIDTH = 18
_BLOCKS = (
    Column(width=5, right=True),
    Column(width=17),
    Column(width=12),
    Column(width=19),
    Column(width=10, right=True),
    Column(width=5, right=True),
)
_PIECES = (Column(width=9, right=True), Column(width=26), Column(width=39))


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of the text: its heading (for the first, the verdict) and what stands under it."""

    heading: str
    body: str


def route_text(answer: RouteAnswer, teller: Teller) -> str:
    """The whole answer as plain text, 80 letters wide."""
    return "\n\n".join(f"{section.heading}\n{section.body}" for section in route_sections(answer, teller))


def route_sections(answer: RouteAnswer, teller: Teller) -> tuple[Section, ...]:
    """The answer's parts in reading order; parts with nothing to say are left out.

    Verdict and the first reason; numbers, each with the word for where it comes from; each machine's
    way as a driver's list; what stays unscrubbed, stays wet or cannot be reached; cautions; the other
    reasons; what the plan was made with.
    """
    words = teller.words
    sections = [
        Section(heading=wrapped(teller.tell(answer.verdict)), body=_because(answer, teller)),
        Section(heading=words("Numbers"), body=_numbers(answer, teller)),
        *(Section(heading=_heading(answer, route, teller), body=_way(route, teller)) for route in answer.routes),
        _left(words("Stays unscrubbed"), answer.missed, teller),
        _left(words("Stays wet in bends"), answer.stays_wet, teller),
        _left(words("Cannot be reached"), answer.unreachable, teller),
        Section(heading=words("Take care"), body=_told(answer.cautions, teller)),
        Section(heading=words("Why, and what would change it"), body=_told(answer.why[1:], teller)),
        Section(heading=words("Made with"), body=_made_with(answer, teller)),
    ]
    return tuple(section for section in sections if section.body)


def name_in_words(name: str, teller: Teller) -> str:
    """What a number's name says without its unit, e.g. `solution_tank_l` as "solution tank"."""
    unit = unit_of(name)
    plain = name.removesuffix("_" + unit.suffix) if unit else name
    return teller.words(plain.replace("_", " "))


def lane_list(lanes: Sequence[int], pattern: Pattern) -> str:
    """Lane numbers as a driver reads them: "1-14", "3, 7-9"; in driving order where the pattern says no other.

    Examples
    --------
    >>> lane_list((1, 3, 5, 4, 2), Pattern.EVERY_SECOND)
    '1-5'
    """
    ordered = list(lanes) if pattern is Pattern.AS_LISTED else sorted(lanes)
    runs: list[list[int]] = []
    for lane in ordered:
        if runs and lane == runs[-1][-1] + 1:
            runs[-1].append(lane)
        else:
            runs.append([lane])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)


def _because(answer: RouteAnswer, teller: Teller) -> str:
    where = teller.words(
        "{site}, {floor}, with {machine}.", site=answer.site, floor=answer.floor, machine=answer.machine
    )
    lines = [*(teller.tell(reason) for reason in answer.why[:1]), where]
    return "\n".join(wrapped(line) for line in lines)


def _numbers(answer: RouteAnswer, teller: Teller) -> str:
    words, origins = teller.words, {sourced.name: sourced.origin for sourced in answer.provenance}
    more = teller.number("more_fraction", answer.length_bound_ratio - 1)
    shown = (
        ("Time, parking place to parking place", "total_time_s", teller.duration(answer.total_time_s)),
        ("No quicker way over these lanes than", "lower_bound_s", teller.duration(answer.lower_bound_s)),
        ("So this way is longer by at most", "bound_gap_fraction", ""),
        ("Stops to dump and fill", "dump_trips", teller.plain(answer.dump_trips)),
        ("The tanks allow no fewer than", "dump_trips_bound", teller.plain(answer.dump_trips_bound)),
        ("Floor between the walls", "floor_area_m2", ""),
        ("Floor that the deck can reach", "reachable_area_m2", ""),
        ("Scrubbed, of what it can reach", "coverage_fraction", ""),
        ("The same, counted on a grid", "raster_coverage_fraction", ""),
        ("Scrubbed more than once", "overlap_fraction", ""),
        ("Way with the deck down", "deck_down_length_m", ""),
        ("More than floor size alone would take", "length_bound_ratio", more),
        ("Solution used", "water_used_l", teller.number("water_l", sum(r.water_used_l for r in answer.routes))),
    )
    return _three_columns(
        [
            (
                words(label),
                text or teller.number(name, getattr(answer, name)),
                words(origins.get(name, Origin.ESTIMATE)),
            )
            for label, name, text in shown
        ]
    )


def _three_columns(rows: Sequence[tuple[str, str, str]]) -> str:
    """Labels, numbers and origins; the labels get what the longest number leaves."""
    number_width = max((len(number) for _, number, _ in rows), default=0)
    columns = (
        Column(width=WIDTH - 6 - _ORIGIN_WIDTH - number_width),
        Column(width=number_width, right=True),
        Column(width=_ORIGIN_WIDTH),
    )
    return "\n".join(row(cells, columns) for cells in rows)


def _heading(answer: RouteAnswer, route: MachineRoute, teller: Teller) -> str:
    if len(answer.routes) == 1:
        return teller.words("The way")
    return teller.words(
        "The way of machine {machine}: {total_time_s}", machine=route.machine, total_time_s=route.total_time_s
    )


def _way(route: MachineRoute, teller: Teller) -> str:
    """Blocks and stops in the order of the night."""
    words = teller.words
    split = words(
        "Scrubbing {scrub_time_s}, driving {drive_time_s}, dumping and filling {stop_time_s}.",
        scrub_time_s=route.scrub_time_s,
        drive_time_s=route.drive_time_s,
        stop_time_s=route.stop_time_s,
    )
    titles = [words(each) for each in ("Block", "Area", "Lanes", "How", "Takes", "After")]
    lines = [wrapped(split, indent="  "), row(titles, _BLOCKS)]
    steps: list[tuple[float, str]] = [(block.start_s, _block(block, teller)) for block in route.blocks]
    steps += [(stop.arrive_s, wrapped(_stop(stop, teller), indent="    ")) for stop in route.stops]
    lines.extend(text for _, text in sorted(steps, key=lambda step: step[0]))
    return "\n".join(lines)


def _block(block: Block, teller: Teller) -> str:
    how = teller.words(block.pattern)
    if block.kind is not LaneKind.LANE:
        kind = teller.words({LaneKind.EDGE: "edge pass", LaneKind.PATCH: "patch"}[block.kind])
        how = kind if block.pattern is Pattern.SINGLE else f"{kind}, {how}"
    cells = (
        str(block.number),
        block.area,
        lane_list(block.lanes, block.pattern),
        how,
        _minutes(block.end_s - block.start_s, teller),
        teller.clock(block.start_s),
    )
    return row(cells, _BLOCKS)


def _minutes(seconds_s: float, teller: Teller) -> str:
    """A duration without its seconds from two minutes on: the list is read while driving."""
    return teller.duration(60.0 * round(seconds_s / 60) if seconds_s >= 120 else seconds_s)


def _stop(stop: Stop, teller: Teller) -> str:
    number, clock = stop.number, teller.clock(stop.arrive_s)
    dumped_l, filled_l, takes_s = stop.dumped_l, stop.filled_l, stop.duration_s
    if stop.tap is None:
        return teller.words(
            "Stop {number} after {clock}: dump {dumped_l} at {drain}. {takes_s}.",
            number=number,
            clock=clock,
            dumped_l=dumped_l,
            drain=stop.drain,
            takes_s=takes_s,
        )
    if stop.tap == stop.drain:
        return teller.words(
            "Stop {number} after {clock}: dump {dumped_l} and fill {filled_l} at {drain}. {takes_s}.",
            number=number,
            clock=clock,
            dumped_l=dumped_l,
            filled_l=filled_l,
            drain=stop.drain,
            takes_s=takes_s,
        )
    return teller.words(
        "Stop {number} after {clock}: dump {dumped_l} at {drain}, fill {filled_l} at {tap}. {takes_s}.",
        number=number,
        clock=clock,
        dumped_l=dumped_l,
        drain=stop.drain,
        filled_l=filled_l,
        tap=stop.tap,
        takes_s=takes_s,
    )


def _left(heading: str, pieces: Sequence[LeftOut], teller: Teller) -> Section:
    """What is left out, under a heading that gives the sum."""
    sum_m2 = teller.number("area_m2", float(sum(piece.area_m2 for piece in pieces)))
    return Section(heading=f"{heading}: {sum_m2}", body=_pieces(pieces, teller))


def _pieces(pieces: Sequence[LeftOut], teller: Teller) -> str:
    """What is left out, the largest first, the small change in one line."""
    if not pieces:
        return ""
    largest = sorted(pieces, key=lambda piece: -piece.area_m2)
    large = sum(piece.area_m2 >= SMALL_PIECE_M2 for piece in largest)
    listed = min(MOST_PIECES, max(large, MOST_SMALL_PIECES))
    lines = []
    before: Sentence | None = None
    for piece in largest[:listed]:
        place = teller.words(
            "{name}, at x {x}, y {y}",
            name=piece.name,
            x=teller.bare("x_m", piece.x_m, 0),
            y=teller.bare("y_m", piece.y_m, 0),
        )
        reason = teller.words("the same") if piece.reason == before else teller.tell(piece.reason)
        before = piece.reason
        lines.append(row((teller.number("area_m2", piece.area_m2), place, reason), _PIECES))
    rest = largest[listed:]
    if rest:
        more = teller.words(
            "And {count} smaller pieces, {area_m2} together.",
            count=len(rest),
            area_m2=float(sum(piece.area_m2 for piece in rest)),
        )
        lines.append(wrapped(more, indent="  "))
    return "\n".join(lines)


def _told(sentences: Iterable[Sentence], teller: Teller) -> str:
    return "\n".join(wrapped(teller.tell(sentence), indent="  ", mark="- ") for sentence in sentences)


def _made_with(answer: RouteAnswer, teller: Teller) -> str:
    """The numbers that went into the plan; those that came out of it stand under Numbers."""
    given = [sourced for sourced in answer.provenance if not _is_a_result(answer, sourced.name)]
    return _three_columns(
        [(teller.tell(each.detail), teller.number(each.name, each.value), teller.words(each.origin)) for each in given]
    )


def _is_a_result(answer: RouteAnswer, name: str) -> bool:
    inputs = ("deck_width_m", "overlap_m", "solution_tank_l", "recovery_tank_l")
    return hasattr(answer, name) and name not in inputs
