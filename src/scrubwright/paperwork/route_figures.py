"""Numbers on a page: the answer large, what decides beside it, the rest behind a tap; those of the route."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.paperwork.route_lists import held
from scrubwright.paperwork.route_text import is_a_result, quicker_by
from scrubwright.paperwork.wording import Teller

MOST_IN_SIGHT = 6
_FIGURE_AND_UNIT = re.compile(r"(-?\d[\d.,\u00a0]*)(?:[ \u00a0]([^\d\s]\S*))?")

_GIVE_AND_TAKE = re.compile(r" ± \S+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number as a page shows it: its name, label, text and range, where it comes from, and the rest on a tap."""

    name: str
    label: str
    value: str
    origin: Origin
    detail: str
    band: str = ""


def figures(answer: RouteAnswer, teller: Teller) -> str:
    """The numbers of a route, the time largest."""
    first, *others = floor_figures(answer, teller)
    given = given_to_route(answer, teller)
    return f"{drawn_figure(first, 'figure answer-figure', teller)}{figure_list(others, given, teller)}"


def floor_figures(answer: RouteAnswer, teller: Teller) -> list[Figure]:
    """What came out of the route: what decides whether the night is good enough first, and what is left for people."""
    return [*_first(answer, teller), *_others(answer, teller)]


def given_to_route(answer: RouteAnswer, teller: Teller) -> list[Figure]:
    """What went into the route, called by what it is."""
    given = (each for each in answer.provenance if not is_a_result(answer, each.name))
    return [given_figure(each, teller.tell(each.detail), teller) for each in given]


def figure_list(results: Sequence[Figure], given: Sequence[Figure], teller: Teller) -> str:
    """The numbers in sight, the others behind a tap, and behind another what went into them."""
    in_sight = MOST_IN_SIGHT - 1
    parts = [drawn_figure(each, "figure", teller) for each in results[:in_sight]]
    folded = {
        teller.words("More numbers"): list(results[in_sight:]),
        teller.words("What the plan was made with"): list(given),
    }
    for title, hidden in folded.items():
        if hidden:
            rows = "".join(drawn_figure(each, "figure small", teller) for each in hidden)
            parts.append(f'<details class="more"><summary>{escape(title)}</summary>{rows}</details>')
    return "".join(parts)


def _first(answer: RouteAnswer, teller: Teller) -> list[Figure]:
    """What decides whether the night is good enough, and what is left for people."""
    words, number = teller.words, teller.number
    total = {
        name: float(sum(getattr(route, name) for route in answer.routes))
        for name in ("scrub_time_s", "drive_time_s", "stop_time_s")
    }
    split = words(
        "Scrubbing {scrub_time_s}, driving {drive_time_s}, dumping and filling {stop_time_s}.",
        scrub_time_s=total["scrub_time_s"],
        drive_time_s=total["drive_time_s"],
        stop_time_s=total["stop_time_s"],
    )
    missed_m2 = float(sum(piece.area_m2 for piece in answer.missed))
    return [
        _result(answer, teller, "total_time_s", words("Time"), teller.duration(answer.total_time_s), split),
        _result(
            answer,
            teller,
            "coverage_fraction",
            words("Scrubbed, of what it can reach"),
            number("coverage_fraction", answer.coverage_fraction),
            words(
                "Counted again on a grid it is {raster_fraction}. Left: {left_m2}.",
                raster_fraction=answer.raster_coverage_fraction,
                left_m2=missed_m2,
            ),
        ),
        _result(
            answer,
            teller,
            "dump_trips",
            words("Dump stops; the tanks allow no fewer than {count}", count=answer.dump_trips_bound),
            str(answer.dump_trips),
            "",
        ),
        _result(
            answer,
            teller,
            "lower_bound_s",
            words("No order of these lanes saves more than"),
            quicker_by(answer, teller),
            words("None takes less than {lower_bound_s}.", lower_bound_s=answer.lower_bound_s),
        ),
        _result(
            answer,
            teller,
            "out_of_reach_m2",
            words("Floor out of reach"),
            number("out_of_reach_m2", answer.out_of_reach_m2),
            words("Where and why: see below."),
        ),
        _result(
            answer,
            teller,
            "hand_strip_m2",
            words("Strip along walls and racks, by hand"),
            number("hand_strip_m2", answer.hand_strip_m2),
            words("The machine comes there, its deck does not."),
        ),
    ]


def _others(answer: RouteAnswer, teller: Teller) -> list[Figure]:
    words, number = teller.words, teller.number
    water_l = float(sum(route.water_used_l for route in answer.routes))
    drive_m = float(sum(route.drive_length_m for route in answer.routes))
    return [
        _result(
            answer,
            teller,
            "reachable_area_m2",
            words("Floor that the deck can reach"),
            number("reachable_area_m2", answer.reachable_area_m2),
            words("Of {floor_area_m2} of open floor.", floor_area_m2=answer.floor_area_m2),
        ),
        _result(answer, teller, "water_used_l", words("Solution used"), number("water_used_l", water_l), ""),
        _result(
            answer,
            teller,
            "deck_down_length_m",
            words("Way with the deck down"),
            number("deck_down_length_m", answer.deck_down_length_m),
            words(
                "{more_fraction} more than the floor's size alone would take; {drive_length_m} more with the deck up.",
                more_fraction=answer.length_bound_ratio - 1,
                drive_length_m=drive_m,
            ),
        ),
        _result(
            answer,
            teller,
            "overlap_fraction",
            words("Scrubbed more than once"),
            number("overlap_fraction", answer.overlap_fraction),
            "",
        ),
        _result(
            answer,
            teller,
            "planning_time_s",
            words("Planning took"),
            number("planning_time_s", answer.planning_time_s),
            "",
        ),
    ]


def _result(answer: RouteAnswer, teller: Teller, name: str, label: str, value: str, detail: str) -> Figure:
    return result_figure(answer.provenance, teller, name, label, value, detail)


def result_figure(
    provenance: Sequence[Sourced], teller: Teller, name: str, label: str, text: str, detail: str, band: str = ""
) -> Figure:
    """A number that was worked out, or whatever else its own source says; `text` is the number as it is told."""
    source = next((each for each in provenance if each.name == name), None)
    # What the planner worked out is an estimate unless it says more.
    origin = source.origin if source else Origin.ESTIMATE
    told = _sentence(teller.tell(source.detail)) if source else ""
    # An estimate that says how it was worked out needs no more words about it.
    where = "" if source and origin is Origin.ESTIMATE else _origin_told(origin, teller)
    said = " ".join(part for part in (detail, told, where) if part)
    return Figure(name=name, label=label, value=text, origin=origin, detail=said, band=band)


def _sentence(told: str) -> str:
    return told[:1].upper() + told[1:].removesuffix(".") + "." if told else ""


def given_figure(source: Sourced, label: str, teller: Teller) -> Figure:
    """A number that went in, with its range behind a tap."""
    said = _origin_told(source.origin, teller)
    if source.low is not None and source.high is not None:
        low, high = (teller.number(source.name, end) for end in (source.low, source.high))
        said = f"{teller.words('8 times in 10 between {low} and {high}.', low=low, high=high)} {said}"
    return Figure(
        name=source.name,
        label=label,
        value=teller.number(source.name, source.value),
        origin=source.origin,
        detail=said,
    )


def _origin_told(origin: Origin, teller: Teller) -> str:
    """Where a number of this origin comes from, and what to do with it."""
    words = teller.words
    told = {
        Origin.PLATE: words("From the machine's plate file; correct it there."),
        Origin.MEASURED: words("Measured or entered by a person."),
        Origin.PUBLISHED: words("Published; the source stands in the documentation."),
        Origin.COMMON_PRACTICE: words("Common practice in the trade; your own measurement is better."),
        Origin.MEMORY: words("From memory; check it before you rely on it."),
        Origin.ESTIMATE: words("Worked out by the program from the drawing and the plate."),
    }
    return told[origin]


def drawn_figure(figure: Figure, kind: str, teller: Teller) -> str:
    """One number: label and origin on the left, the number large on the right, the rest on a tap."""
    value = _GIVE_AND_TAKE.sub(r"<small>\g<0></small>", _FIGURE_AND_UNIT.sub(_unit_smaller, escape(figure.value)))
    band = f'<span class="band">{escape(figure.band)}</span>' if figure.band else ""
    origin = escape(teller.words(figure.origin))
    return (
        f'<details class="{kind}"><summary><span class="label">{escape(figure.label)}</span>'
        f'<span class="value">{value}</span>{band}<span class="origin">{origin}</span></summary>'
        f"<p>{escape(held(figure.detail))}</p></details>"
    )


def _unit_smaller(found: re.Match[str]) -> str:
    """The unit after its figure in smaller letters: "3 h" and "54 min" of a duration each."""
    figure, unit = found[1], found[2]
    return f"{figure}<small> {unit}</small>" if unit else figure
