"""The route's answer as text for a terminal or a printed sheet: verdict first, then the driver's list."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from scrubwright.jobs.route_answer import Bites, Block, LaneKind, LeftOut, MachineRoute, Pattern, RouteAnswer, Stop
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.left_groups import grouped, told_reason
from scrubwright.paperwork.text_columns import WIDTH, Column, Section, row, sections_text, wrapped
from scrubwright.paperwork.wording import Teller

# Past so many blocks, those that follow each other in one area stand in one line.
MOST_BLOCKS = 20
MOST_GROUPS = 4
_ORIGIN_WIDTH = 18
_BLOCKS = (
    Column(width=7, right=True),
    Column(width=17),
    Column(width=11),
    Column(width=18),
    Column(width=10, right=True),
    Column(width=5, right=True),
)
_PIECES = (Column(width=9, right=True), Column(width=26), Column(width=39))
_ORIGINS = (Column(width=17), Column(width=59))
STOP_RUN = ("", -1)


def route_text(answer: RouteAnswer, teller: Teller) -> str:
    """The whole answer as plain text, 80 letters wide."""
    return sections_text(route_sections(answer, teller))


def route_sections(answer: RouteAnswer, teller: Teller) -> tuple[Section, ...]:
    """The answer's parts in reading order; parts with nothing to say are left out.

    Verdict and the first reason; numbers, each with the word for where it comes from; what to see to
    before the start; each machine's way as a driver's list, cautions at the step where they bite; what
    stays unscrubbed, stays wet or cannot be reached; the other reasons; what the plan was made with.
    """
    words = teller.words
    start = [each.told for each in answer.cautions if each.bites is Bites.START]
    sections = [
        Section(heading=wrapped(teller.tell(answer.verdict)), body=_because(answer, teller)),
        Section(heading=words("Numbers"), body=_numbers(answer, teller)),
        Section(heading=words("Before you start"), body=_told(start, teller)),
        *(
            Section(heading=_heading(answer, route, teller), body=_way(answer, route, teller))
            for route in answer.routes
        ),
        _left(words("Cannot be reached"), answer.unreachable, teller),
        _left(words("Stays unscrubbed"), answer.missed, teller),
        _left(words("Stays wet in bends"), answer.stays_wet, teller),
        Section(heading=words("Why, and what would change it"), body=_told(answer.why[1:], teller)),
        Section(heading=words("Made with"), body=_made_with(answer, teller)),
    ]
    return tuple(section for section in sections if section.body)


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
    shown = [
        ("Time, parking place to parking place", "total_time_s", teller.duration(answer.total_time_s)),
        ("No order of these lanes saves more than", "lower_bound_s", quicker_by(answer, teller)),
        ("Scrubbed, of what it can reach", "coverage_fraction", ""),
        ("Floor that the deck can reach", "reachable_area_m2", ""),
        ("Floor out of reach", "out_of_reach_m2", ""),
        ("Strip along walls and racks, by hand", "hand_strip_m2", ""),
        ("Stops to dump and fill", "dump_trips", teller.plain(answer.dump_trips)),
        ("The tanks allow no fewer than", "dump_trips_bound", teller.plain(answer.dump_trips_bound)),
        ("Solution used", "water_used_l", teller.number("water_l", sum(r.water_used_l for r in answer.routes))),
        ("Way with the deck down", "deck_down_length_m", ""),
    ]
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


def quicker_by(answer: RouteAnswer, teller: Teller) -> str:
    """By how much of its time another order of the lanes could be quicker at most."""
    return teller.number("quicker_fraction", max(0.0, 1 - answer.lower_bound_s / answer.total_time_s))


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


def _way(answer: RouteAnswer, route: MachineRoute, teller: Teller) -> str:
    """Blocks and stops in the order of the night."""
    words = teller.words
    split = words(
        "Scrubbing {scrub_time_s}, driving {drive_time_s}, dumping and filling {stop_time_s}.",
        scrub_time_s=route.scrub_time_s,
        drive_time_s=route.drive_time_s,
        stop_time_s=route.stop_time_s,
    )
    titles = [words(each) for each in ("Block", "Area", "Lanes", "How", "Takes", "After")]
    lines = [wrapped(split, indent="  ")]
    lines += [_caution(each.told, teller, "  ") for each in answer.cautions if each.bites is Bites.LANES]
    folded = len(route.blocks) > MOST_BLOCKS
    if folded:
        lines.append(wrapped(words("Blocks in one area are one line; the page (--html) has each."), indent="  "))
    lines.append(row(titles, _BLOCKS))
    steps_of_night: list[Block | Stop] = [*route.blocks, *route.stops]
    timed = sorted(steps_of_night, key=_begins_s)
    # Without folding, every block is a run of its own.
    for key, steps in groupby(timed, key=lambda step: _run_of(step, is_folded=folded)):
        if key == STOP_RUN:
            lines += [_stop_with_cautions(answer, step, teller) for step in steps if isinstance(step, Stop)]
        else:
            lines.append(_blocks(answer, [step for step in steps if isinstance(step, Block)], teller))
    return "\n".join(lines)


def _begins_s(step: Block | Stop) -> float:
    return step.start_s if isinstance(step, Block) else step.arrive_s


def _run_of(step: Block | Stop, *, is_folded: bool) -> tuple[str, int]:
    if isinstance(step, Stop):
        return STOP_RUN
    return step.area, 0 if is_folded else step.number


def _blocks(answer: RouteAnswer, blocks: Sequence[Block], teller: Teller) -> str:
    """One line for blocks of one area that follow each other, and the cautions that bite there."""
    first, last = blocks[0], blocks[-1]
    lanes = [lane for block in blocks for lane in block.lanes]
    cells = (
        str(first.number) if first is last else f"{first.number}-{last.number}",
        first.area,
        lane_list(lanes, first.pattern if first is last else Pattern.AS_LISTED),
        _how(first, teller) if first is last else teller.words("{count} blocks", count=len(blocks)),
        _minutes(last.end_s - first.start_s, teller),
        teller.clock(first.start_s),
    )
    lines = [row(cells, _BLOCKS)]
    numbers = {block.number for block in blocks}
    for each in answer.cautions:
        here = sorted(numbers.intersection(each.blocks))
        if each.bites is not Bites.BLOCKS or not here:
            continue
        at = "" if first is last else teller.words("Block {number}", number=_numbers_in_a_row(here)) + ": "
        again = min(each.blocks) not in here
        told = (
            teller.words("Take care as at block {number}.", number=min(each.blocks))
            if again
            else teller.tell(each.told)
        )
        lines.append(wrapped(at + told, indent="    ", mark="! "))
    return "\n".join(lines)


def _numbers_in_a_row(numbers: Sequence[int]) -> str:
    return lane_list(numbers, Pattern.IN_ORDER)


def _how(block: Block, teller: Teller) -> str:
    how = teller.words("by number") if is_by_number(block) else teller.words(block.pattern)
    if block.kind is LaneKind.LANE:
        return how
    kind = teller.words({LaneKind.EDGE: "edge pass", LaneKind.PATCH: "patch"}[block.kind])
    return kind if block.pattern is Pattern.SINGLE else f"{kind}, {how}"


def is_by_number(block: Block) -> bool:
    """Whether the lanes follow no pattern but that of their numbers."""
    ascending = tuple(range(block.lanes[0], block.lanes[0] + len(block.lanes)))
    return block.pattern is Pattern.AS_LISTED and block.lanes == ascending


def _stop_with_cautions(answer: RouteAnswer, stop: Stop, teller: Teller) -> str:
    told = [each.told for each in answer.cautions if each.bites is Bites.STOPS]
    return "\n".join([wrapped(_stop(stop, teller), indent="    "), *(_caution(each, teller, "    ") for each in told)])


def _caution(told: Sentence, teller: Teller, indent: str) -> str:
    return wrapped(teller.tell(told), indent=indent, mark="! ")


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
    """What is left out by place and reason, the largest sum first, the small change in one line."""
    groups = grouped(pieces)
    lines = []
    before: Sentence | None = None
    for group in groups[:MOST_GROUPS]:
        largest = group[0]
        place = teller.words(
            "{name}, at x {x}, y {y}",
            name=largest.name,
            x=teller.bare("x_m", largest.x_m, 0),
            y=teller.bare("y_m", largest.y_m, 0),
        )
        sum_m2 = teller.number("area_m2", float(sum(piece.area_m2 for piece in group)))
        reason = told_reason(group, teller, is_same=largest.reason == before)
        before = largest.reason
        lines.append(row((sum_m2, place, reason), _PIECES))
    rest = [piece for group in groups[MOST_GROUPS:] for piece in group]
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
    """The numbers that went into the plan, by where they come from; those that came out stand under Numbers."""
    by_origin: dict[Origin, list[str]] = {}
    for each in answer.provenance:
        if not is_a_result(answer, each.name):
            told = f"{teller.tell(each.detail)} {teller.number(each.name, each.value)}"
            by_origin.setdefault(each.origin, []).append(told)
    return "\n".join(row((teller.words(origin), "; ".join(told) + "."), _ORIGINS) for origin, told in by_origin.items())


def is_a_result(answer: RouteAnswer, name: str) -> bool:
    """Whether a number came out of the plan rather than went in."""
    inputs = ("deck_width_m", "overlap_m", "solution_tank_l", "recovery_tank_l")
    return hasattr(answer, name) and name not in inputs
