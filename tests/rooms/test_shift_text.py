"""The shift as text: verdict and chance first, the strip in step with the clock, numbers against what is wanted."""

import re
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from scrubwright.jobs.route_answer import Bites
from scrubwright.jobs.shift_answer import Doing, ShiftAnswer, ShiftVerdict, Stretch
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.shift_strip import Scale, strip_letters, strip_text
from scrubwright.paperwork.shift_text import shift_sections, shift_text
from scrubwright.paperwork.shift_words import block_times_s, chance_words, clock_from_words, clock_words, stop_times
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.shift_answer_example import START_AT, shift_answer

TELLER = Teller()


def section(answer: ShiftAnswer, heading: str) -> str:
    return next(each.body for each in shift_sections(answer, TELLER) if each.heading == heading)


@pytest.mark.parametrize("verdict", list(ShiftVerdict))
@pytest.mark.parametrize("machines", [1, 2])
@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("system", list(UnitSystem))
def test_every_line_fits_a_terminal_of_80_letters(
    verdict: ShiftVerdict, machines: int, language: Language, system: UnitSystem
) -> None:
    text = shift_text(shift_answer(verdict, machines=machines), Teller(language=language, system=system))
    assert [line for line in text.split("\n") if len(line) > 80] == []
    assert [line for line in text.split("\n") if line != line.rstrip()] == []


def test_the_verdict_and_its_chance_stand_first_and_the_reason_under_them() -> None:
    lines = shift_text(shift_answer(), TELLER).split("\n")
    assert lines[0] == "IT IS TIGHT: 78 % ± 2"
    assert lines[1].startswith("As planned it is dry 17 min before it must be with 23.6 % left")


def test_a_chance_is_told_in_whole_percent_and_never_as_sure() -> None:
    # Twice the standard error, rounded up: 0.4 points become 1, 0.6 become 2.
    assert chance_words(0.9216, 0.004, TELLER) == "92 % ± 1"
    assert chance_words(0.784, 0.006, TELLER) == "78 % ± 2"
    assert chance_words(1.0, 0.0, TELLER) == ">99 %"
    assert chance_words(0.0, 0.0, TELLER) == "<1 %"
    assert chance_words(0.994, 0.001, TELLER) == "99 % ± 1"


def test_a_pack_that_gives_out_above_the_reserve_is_said_to() -> None:
    answer = shift_answer()
    above = replace(answer.chance, end_charge_fraction=(0.37, 0.41, 0.5))
    told = "The charge fails with more than the reserve left"
    assert told in " ".join(shift_text(replace(answer, chance=above), TELLER).split())
    # In the example itself the low end lies below the reserve.
    assert told not in " ".join(shift_text(answer, TELLER).split())


def test_the_strip_shows_in_each_letter_what_takes_most_of_its_time() -> None:
    line = (
        Stretch(doing=Doing.SCRUB, start_s=0, end_s=330),
        Stretch(doing=Doing.SERVICE, start_s=330, end_s=600, stop=12),
        Stretch(doing=Doing.CHARGE, start_s=600, end_s=700, stop=12),
        Stretch(doing=Doing.DRYING, start_s=700, end_s=840),
    )
    assert strip_letters(line, Scale(span_s=1000, letters=10), 10) == "###12o+~  |"


def test_a_stop_too_short_for_a_letter_still_has_its_number() -> None:
    line = (
        Stretch(doing=Doing.SCRUB, start_s=0, end_s=500),
        Stretch(doing=Doing.SERVICE, start_s=500, end_s=520, stop=1),
        Stretch(doing=Doing.SCRUB, start_s=520, end_s=1000),
    )
    assert strip_letters(line, Scale(span_s=1000, letters=10), 10) == "#####1####|"


def test_what_the_machine_does_hides_the_floor_that_dries_meanwhile() -> None:
    line = (
        Stretch(doing=Doing.SCRUB, start_s=0, end_s=500),
        Stretch(doing=Doing.SERVICE, start_s=500, end_s=700, stop=1),
        Stretch(doing=Doing.DRYING, start_s=500, end_s=800),
    )
    assert strip_letters(line, Scale(span_s=1000, letters=10), 10) == "#####1o~  |"


def test_a_stop_at_two_places_has_its_number_once() -> None:
    line = (
        Stretch(doing=Doing.SERVICE, start_s=0, end_s=300, stop=1),
        Stretch(doing=Doing.MOVE, start_s=300, end_s=400),
        Stretch(doing=Doing.SERVICE, start_s=400, end_s=600, stop=1),
        Stretch(doing=Doing.SCRUB, start_s=600, end_s=1000),
    )
    assert strip_letters(line, Scale(span_s=1000, letters=10), 10) == "1oo-oo####|"


def test_the_strip_of_a_late_shift_runs_past_the_mark() -> None:
    line = (Stretch(doing=Doing.SCRUB, start_s=0, end_s=1000),)
    assert strip_letters(line, Scale(span_s=1000, letters=10), 5) == "#####|####"


def test_every_clock_of_the_strip_stands_over_its_letter() -> None:
    clocks, ticks, strip = strip_text(shift_answer(), TELLER).split("\n")[:3]
    places = [found.start() for found in re.finditer(r"\d\d:\d\d", clocks)]
    assert places == [found.start() for found in re.finditer(r"\|", ticks)]
    assert clocks[places[-1] :] == "05:45"
    assert strip[places[-1]] == "|"
    # A fifth of the way from 04:00 to 05:45 is 04:21.
    span = places[-1] - places[0]
    at_20_min = clocks.index("04:20")
    assert at_20_min - places[0] == pytest.approx(span * 20 / 105, abs=1)


def test_the_chance_stands_at_the_end_of_the_first_strip() -> None:
    strips = [line for line in strip_text(shift_answer(machines=2), TELLER).split("\n") if "Machine" in line]
    assert [line.endswith("78 % ± 2") for line in strips] == [True, False]
    assert [line.split()[1] for line in strips] == ["1", "2"]


@pytest.mark.parametrize("hours", [1.0, 1.75, 3.0, 8.0, 11.5, 24.0])
def test_the_clock_row_never_runs_together(hours: float) -> None:
    answer = shift_answer()
    question = replace(answer.question, dry_by=START_AT + timedelta(hours=hours))
    clocks = strip_text(replace(answer, question=question), TELLER).split("\n")[0]
    assert all(re.fullmatch(r"\d\d:\d\d", each) for each in clocks.split())
    assert len(clocks.split()) >= 3


def test_the_numbers_stand_against_what_is_wanted() -> None:
    numbers = section(shift_answer(), "Numbers").split("\n")
    assert [line.split("  ")[1] for line in numbers[:3]] == [
        "Last machine is back",
        "Floor is dry; wanted by 05:45",
        "Charge at the end; keep 20 %",
    ]
    # Back at 05:20:28; dry at 05:27:38, which holds from 05:28 on.
    assert " 05:20 " in numbers[0]
    assert " 05:28 " in numbers[1]
    assert " 24 %  18 to 29 % " in numbers[2]
    assert all(line.endswith("estimate") for line in numbers)


def test_a_clock_rounds_and_a_dry_floor_is_never_promised_early() -> None:
    at = START_AT + timedelta(seconds=61)
    assert (clock_words(at), clock_from_words(at)) == ("04:01", "04:02")
    assert clock_from_words(START_AT) == "04:00"


def test_the_changes_are_ranked_and_tell_their_gain() -> None:
    body = section(shift_answer(), "What would make it fit")
    assert [line.split(".")[0].strip() for line in body.split("\n") if re.match(r"  \d\. ", line)] == ["1", "2", "3"]
    assert "94 % ± 1: 16 more shifts in 100 work." in body
    assert "97 % ± 1: 19 more shifts in 100 work. Back at 05:09, dry at 05:17." in body


def test_a_shift_that_fits_lists_no_changes() -> None:
    headings = [each.heading for each in shift_sections(shift_answer(ShiftVerdict.FITS), TELLER)]
    assert headings[0].startswith("IT FITS: 99 %")
    assert "What would make it fit" not in headings


def test_where_nothing_helps_that_is_said() -> None:
    answer = replace(shift_answer(ShiftVerdict.DOES_NOT_FIT), changes=())
    assert "Nothing that was tried makes it fit" in section(answer, "What would make it fit")


def test_a_change_without_gain_is_not_praised() -> None:
    answer = shift_answer()
    same = replace(answer.changes[0], chance_fraction=answer.chance.chance_fraction)
    assert "no more shifts work" in section(replace(answer, changes=(same,)), "What would make it fit")


def test_the_stops_follow_the_night_with_the_charge_that_is_left() -> None:
    answer = shift_answer()
    shift = answer.machines[0]
    times = stop_times(answer, shift)
    assert [each.stop.number for each in times] == [1, 2, 3, 4]
    # The second is plugged in for 15 minutes, and leaves with more than it came.
    assert [each.charge_s for each in times] == [0, 900, 0, 0]
    assert times[2].charge_fraction > times[1].charge_fraction > shift.course.charge_fraction.min()
    before = int(np.searchsorted(shift.course.end_s, times[0].arrive_s - 1e-6))
    assert times[0].charge_fraction == pytest.approx(shift.course.charge_fraction[before])
    assert "Charge for 15 min." in " ".join(section(answer, "Stops").split())


def test_a_night_without_stops_has_no_list_of_them() -> None:
    answer = shift_answer()
    bare = replace(answer.route, routes=tuple(replace(each, stops=()) for each in answer.route.routes))
    assert "Stops" not in [each.heading for each in shift_sections(replace(answer, route=bare), TELLER)]


def test_the_time_of_a_block_counts_charging_and_waiting() -> None:
    answer = shift_answer()
    times = block_times_s(answer.machines[0])
    blocks = {block.number: block for block in answer.route.routes[0].blocks}
    assert set(times) == set(blocks)
    assert times[1][0] == pytest.approx(blocks[1].start_s)
    # Block 4 comes after 15 minutes of charging, block 8 after 4 minutes of waiting too.
    assert times[4][1] == pytest.approx(blocks[4].end_s + 900)
    assert times[8][1] == pytest.approx(blocks[8].end_s + 900 + 240)


def test_floor_is_closed_no_later_and_opened_no_earlier_than_planned() -> None:
    answer = shift_answer()
    rows = [line.split() for line in section(answer, "Closed to people").split("\n")[1:]]
    assert rows[0][:3] == ["04:00", "04:15", "West"]
    for cells, piece in zip(rows, answer.sections, strict=True):
        for text, since_s, sign in ((cells[0], piece.close_s, 1), (cells[1], piece.open_s, -1)):
            hours, minutes = text.split(":")
            told_s = 3600 * (int(hours) - START_AT.hour) + 60 * int(minutes)
            assert 0 <= sign * (since_s - told_s) < 60


def test_many_sections_stand_by_name_from_the_first_to_the_last() -> None:
    answer = shift_answer()
    first = answer.sections[0]
    many = [replace(first, blocks=(n,), close_s=60.0 * n, open_s=60.0 * n + 600) for n in range(1, 13)]
    body = section(replace(answer, sections=tuple(many)), "Closed to people").split("\n")
    assert body[1].split()[:2] == ["04:01", "04:22"]
    assert body[1].endswith("1-12")
    assert body[2].strip().startswith("Section by section")


def test_a_caution_of_the_start_is_told_once() -> None:
    answer = shift_answer()
    start = next(each.told for each in answer.route.cautions if each.bites is Bites.START)
    text = shift_text(replace(answer, cautions=(start, *answer.cautions)), TELLER)
    assert " ".join(text.split()).count(str(start)) == 1


def test_every_caution_of_the_way_is_told_where_it_bites() -> None:
    answer = shift_answer()
    told = {each.bites: each.told for each in answer.route.cautions}
    assert str(told[Bites.STOPS]) in " ".join(section(answer, "Stops").split())
    assert str(told[Bites.START]) in " ".join(section(answer, "Before you start").split())
    assert "! Blocks 7-9: Ramp: straight up or down" in section(answer, "On the way")


def test_numbers_that_came_out_are_not_told_again_as_made_with() -> None:
    made_with = section(shift_answer(), "Made with")
    assert "Charge at the start: as given" in made_with
    assert "78.4 %" not in made_with


def test_letters_that_would_steer_a_terminal_are_taken_out() -> None:
    answer = replace(shift_answer(), why=Sentence("{name} is odd.", name="\x1b[2Jhall\u202e"))
    assert "\x1b" not in shift_text(answer, TELLER)
    assert "\u202e" not in shift_text(answer, TELLER)


def test_spanish_and_us_units_are_told_throughout() -> None:
    text = shift_text(shift_answer(), Teller(language=Language.SPANISH, system=UnitSystem.US))
    assert text.startswith("VA JUSTO: 78 % ± 2\n")
    assert "vaciar y llenar, con su número" in text
    assert " gal" in text
    assert " L " not in text
