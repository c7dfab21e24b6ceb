"""The numbers of a shift's page: the chance large, the times and the charge beside it, the rest behind a tap."""

import math
from collections.abc import Sequence

from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.paperwork.route_figures import (
    Figure,
    drawn_figure,
    figure_list,
    floor_figures,
    given_figure,
    given_to_route,
    result_figure,
)
from scrubwright.paperwork.shift_words import (
    RESULTS,
    at,
    chance_words,
    clock_from_words,
    clock_words,
    limits_words,
    provenance_words,
    share_words,
)
from scrubwright.paperwork.wording import Teller

# Numbers of the route that a shift tells in its own time, or that would say the same twice.
_TOLD_BY_THE_SHIFT = ("total_time_s", "lower_bound_s", "dump_trips")


def chance_figure(answer: ShiftAnswer, teller: Teller) -> str:
    """The chance with its give and take, and on a tap what it counts and what fails first."""
    words, chance, question = teller.words, answer.chance, answer.question
    meaning = words(
        "The chance is of {samples} shifts drawn at random: how many are done and dry by {dry_by} with {reserve} of "
        "the charge left.",
        samples=chance.samples,
        dry_by=clock_words(question.dry_by),
        reserve=share_words(question.settings.reserve_fraction, teller),
    )
    give = words("The ± is what another draw could say: twice its standard error, in points of a hundred.")
    figure = result_figure(
        (),
        teller,
        "chance_fraction",
        words("Chance of finishing, dry in time, with charge to spare"),
        chance_words(chance.chance_fraction, chance.error_fraction, teller),
        " ".join(each for each in (meaning, give, limits_words(answer, teller)) if each),
    )
    return drawn_figure(figure, "figure answer-figure", teller)


def shift_figures(answer: ShiftAnswer, teller: Teller) -> str:
    """What decides the night, each with its range; then the floor's numbers, and what the plan was made with."""
    floor = [each for each in floor_figures(answer.route, teller) if each.name not in _TOLD_BY_THE_SHIFT]
    known = {each.name for each in answer.provenance}
    given = [
        given_figure(each, provenance_words(each, teller), teller)
        for each in answer.provenance
        if each.name not in RESULTS
    ]
    given += [each for each in given_to_route(answer.route, teller) if each.name not in known]
    return figure_list([*_decides(answer, teller), *floor], given, teller)


def _decides(answer: ShiftAnswer, teller: Teller) -> list[Figure]:
    words, chance, question = teller.words, answer.chance, answer.question
    ends = [
        words("Machine {machine}: {end}", machine=each.machine, end=_share(each.end_charge_fraction, teller))
        for each in answer.machines
    ]
    charged_ah = math.fsum(each.charged_ah for each in answer.machines)
    charged = words("{charged_ah} charged on the way.", charged_ah=charged_ah) if charged_ah > 0 else ""
    rows = [
        (
            "dry_at_s",
            words("Floor is dry; wanted by {dry_by}", dry_by=clock_words(question.dry_by)),
            clock_from_words(answer.dry_at),
            _clocks(answer, chance.dry_s, teller),
            words(
                "A wet lane dries in {middle_s}, 8 times in 10 between {low_s} and {high_s}.",
                middle_s=answer.dry_s[1],
                low_s=answer.dry_s[0],
                high_s=answer.dry_s[2],
            ),
        ),
        (
            "finish_s",
            words("Last machine is back"),
            clock_words(answer.finish_at),
            _clocks(answer, chance.finish_s, teller),
            "",
        ),
        (
            "end_charge_fraction",
            words("Charge at the end; keep {reserve}", reserve=share_words(question.settings.reserve_fraction, teller)),
            _share(min(each.end_charge_fraction for each in answer.machines), teller),
            words(
                "8 in 10: {low} to {high}",
                low=_share(chance.end_charge_fraction[0], teller),
                high=_share(chance.end_charge_fraction[-1], teller),
            ),
            f"{'; '.join(ends)}. {charged}" if len(ends) > 1 else charged,
        ),
        (
            "first_limit",
            words("Most likely to fail first"),
            words(answer.first_limit),
            "",
            limits_words(answer, teller),
        ),
        ("dump_trips", words("Stops to dump and fill"), teller.plain(answer.route.dump_trips), "", ""),
        (
            "wet_crossed_m",
            words("Driven over wet floor"),
            teller.number("wet_crossed_m", answer.wet_crossed_m),
            "",
            words("How far the way leads over lanes that are not dry yet."),
        ),
        (
            "energy_wh",
            words("Drawn from the packs") if len(answer.machines) > 1 else words("Drawn from the pack"),
            teller.number("energy_wh", math.fsum(each.energy_wh for each in answer.machines)),
            "",
            "",
        ),
    ]
    return [
        result_figure(answer.provenance, teller, name, label, value, detail, band)
        for name, label, value, band, detail in rows
    ]


def _share(share: float, teller: Teller) -> str:
    return share_words(max(0.0, share), teller)


def _clocks(answer: ShiftAnswer, ends_s: Sequence[float], teller: Teller) -> str:
    low, high = clock_words(at(answer, ends_s[0])), clock_words(at(answer, ends_s[-1]))
    return "" if low == high else teller.words("8 in 10: {low} to {high}", low=low, high=high)
