"""The worst reason decides, a stop stays open, and only the right person closes it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from scrubwright.catalogue.checks import Against, Measured, Occasion, Result, Skill, WornBy
from scrubwright.catalogue.terms import Term
from scrubwright.jobs.after_shift import after_shift
from scrubwright.jobs.fit_to_run import FitAnswer, FitVerdict, fit_to_run
from scrubwright.jobs.pack_answer import PackVerdict
from scrubwright.jobs.round_answers import Answer, Person, PlateLimit, Reading, answer_read, answer_seen, standing
from scrubwright.jobs.round_card import round_card
from scrubwright.jobs.round_cues import DoneRound, teaching_cues
from scrubwright.jobs.round_history import MeterRead
from scrubwright.jobs.stops import open_stops, release_of
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from tests.rooms.round_example import FACTS, LEAD, NOW, OPERATOR, TECHNICIAN, catalogue, check, seen, stopping

BRAKE = check("brake", worst=Result.STOP)
BLADE = check("blade")
NOTE = check("sign", worst=Result.NOTE)
CARD = round_card(catalogue(BRAKE, BLADE, NOTE), "Ours", FACTS, now=NOW)
GOOD = {each.identity: seen(each, 1) for each in (BRAKE, BLADE, NOTE)}


def verdict(answers: dict[str, Answer], **more: PackVerdict | int) -> FitAnswer:
    return fit_to_run(CARD, answers, open_stops(answers.values()), **more)  # type: ignore[arg-type]


def test_all_good_may_run() -> None:
    assert verdict(GOOD).verdict is FitVerdict.RUN


def test_a_note_does_not_hinder() -> None:
    answer = verdict(GOOD | {"sign": seen(NOTE, 2)})
    assert answer.verdict is FitVerdict.RUN
    assert len(answer.notes) == 1


def test_something_to_mend_asks_for_care() -> None:
    answer = verdict(GOOD | {"blade": seen(BLADE, 2)})
    assert (answer.verdict, answer.release) == (FitVerdict.CARE, None)


def test_a_stop_stops_and_says_who_may_release_it() -> None:
    answer = verdict(GOOD | {"brake": seen(BRAKE, 2)})
    assert (answer.verdict, answer.release) == (FitVerdict.STOP, Skill.TECHNICIAN)


def test_an_unanswered_stop_check_is_not_yet_fit() -> None:
    answer = verdict({name: each for name, each in GOOD.items() if name != "brake"})
    assert (answer.verdict, answer.release, answer.unanswered) == (FitVerdict.STOP, None, (1, 1))
    assert "Not yet fit" in str(answer.why)


def test_an_unanswered_row_that_cannot_stop_asks_for_care() -> None:
    answer = verdict({name: each for name, each in GOOD.items() if name != "blade"})
    assert (answer.verdict, answer.unanswered) == (FitVerdict.CARE, (1, 0))


@pytest.mark.parametrize(
    ("battery", "wanted"),
    [
        (PackVerdict.RUN, FitVerdict.RUN),
        (PackVerdict.CARE, FitVerdict.CARE),
        (PackVerdict.UNKNOWN, FitVerdict.CARE),
        (PackVerdict.STOP, FitVerdict.STOP),
    ],
)
def test_the_battery_counts_too(battery: PackVerdict, wanted: FitVerdict) -> None:
    assert verdict(GOOD, battery=battery).verdict is wanted


def test_a_line_of_the_log_that_nobody_can_read_asks_for_care() -> None:
    assert verdict(GOOD, broken_lines=1).verdict is FitVerdict.CARE


def test_a_round_after_the_shift_lets_nothing_run() -> None:
    card = round_card(
        catalogue(check("a", when=(Occasion.AFTER_SHIFT,))), "Ours", FACTS, (Occasion.AFTER_SHIFT,), now=NOW
    )
    answers = {"a": seen(check("a", when=(Occasion.AFTER_SHIFT,)), 1)}
    assert fit_to_run(card, answers).verdict is FitVerdict.CARE


def test_no_word_of_a_verdict_promises_safety() -> None:
    for answers in (GOOD, {}, GOOD | {"brake": seen(BRAKE, 2)}):
        answer = verdict(answers)
        told = [answer.why, *(each.told for each in answer.reasons)]
        assert not any("safe" in str(each).lower() for each in told)


def test_a_fact_of_the_site_turns_the_gravest_finding_into_a_stop() -> None:
    horn = check("horn", stop_when="public present")
    assert answer_seen(horn, 2, FACTS, at=NOW, by=OPERATOR).result is Result.FIX
    assert answer_seen(horn, 2, FACTS | {Term.PUBLIC_PRESENT}, at=NOW, by=OPERATOR).result is Result.STOP
    assert answer_seen(horn, 1, FACTS | {Term.PUBLIC_PRESENT}, at=NOW, by=OPERATOR).result is Result.GOOD


def test_a_stop_stays_open_over_days_and_good_answers() -> None:
    bad = seen(BRAKE, 2, at=NOW - timedelta(days=9))
    good = seen(BRAKE, 1, at=NOW)
    (stop,) = open_stops((bad, good))
    assert stop.since is bad
    assert fit_to_run(CARD, GOOD, (stop,)).verdict is FitVerdict.STOP


def test_a_stop_of_another_round_is_told_with_what_to_do() -> None:
    hose = check("hose", when=(Occasion.AFTER_SHIFT,), worst=Result.STOP)
    card = round_card(catalogue(BRAKE, hose), "Ours", FACTS, now=NOW)
    answer = fit_to_run(card, {"brake": seen(BRAKE, 1)}, open_stops((seen(hose, 2),)))
    assert (answer.verdict, answer.reasons[0].do) == (FitVerdict.STOP, hose.do)


def test_a_correction_does_not_take_a_stop_away() -> None:
    bad = replace(seen(BRAKE, 2), number=4)
    corrected = replace(seen(BRAKE, 1), number=5, corrects=4)
    assert standing((bad, corrected)) == (corrected,)
    assert len(open_stops((bad, corrected))) == 1


def test_a_technician_closes_a_stop_with_a_reason() -> None:
    bad = seen(BRAKE, 2)
    stops = open_stops((bad,))
    release = release_of("brake", "Brake relined and taped", stops, at=NOW, by=TECHNICIAN)
    assert open_stops((bad, release)) == ()
    answer = fit_to_run(CARD, GOOD | {"brake": bad}, open_stops((bad, release)))
    assert answer.verdict is FitVerdict.CARE  # whoever drives looks at it first


def test_a_stop_seen_again_after_its_release_is_open_again() -> None:
    bad = seen(BRAKE, 2)
    release = release_of("brake", "Brake relined and taped", open_stops((bad,)), at=NOW, by=TECHNICIAN)
    assert len(open_stops((bad, release, bad))) == 1


@pytest.mark.parametrize("by", [OPERATOR, LEAD])
def test_too_little_skill_closes_nothing(by: Person) -> None:
    with pytest.raises(BadInput, match="asks for a technician or higher"):
        release_of("brake", "Brake relined and taped", open_stops((seen(BRAKE, 2),)), at=NOW, by=by)


@pytest.mark.parametrize("reason", ["", "   ", "ok", "........ 12345678"])
def test_an_empty_reason_closes_nothing(reason: str) -> None:
    with pytest.raises(BadInput, match="closed with a reason"):
        release_of("brake", reason, open_stops((seen(BRAKE, 2),)), at=NOW, by=TECHNICIAN)


def test_a_stop_that_is_not_open_is_named_with_those_that_are() -> None:
    with pytest.raises(BadInput, match="open ones are: brake"):
        release_of("horn", "Horn wired again", open_stops((seen(BRAKE, 2),)), at=NOW, by=TECHNICIAN)
    with pytest.raises(BadInput, match="No stop is open"):
        release_of("horn", "Horn wired again", (), at=NOW, by=TECHNICIAN)


@pytest.mark.parametrize(("value_m", "result"), [(0.012, Result.GOOD), (0.0119, Result.FIX)])
def test_a_number_is_held_against_its_limit(value_m: float, result: Result) -> None:
    bristle = check("bristle", measured=stopping(0.012))
    answer = answer_read(bristle, Reading(name="value_m", value=value_m), FACTS, at=NOW, by=OPERATOR)
    assert answer.result is result


@pytest.mark.parametrize(("value_m", "result"), [(2.4, Result.GOOD), (2.5, Result.STOP)])
def test_a_number_is_held_against_the_first_one_of_this_machine(value_m: float, result: Result) -> None:
    way = Measured(what=Sentence("Way"), name="value_m", against=Against.BASELINE, high=1.2)
    brake = check("way", worst=Result.STOP, measured=way)
    first = Reading(name="value_m", value=2.0)
    answer = answer_read(brake, Reading(name="value_m", value=value_m), FACTS, at=NOW, by=OPERATOR, first=first)
    assert answer.result is result


def test_a_number_against_the_plate_needs_what_the_plate_allows() -> None:
    slope = Measured(what=Sentence("Slope"), name="value_fraction", against=Against.PLATE)
    ramp = check("ramp", worst=Result.STOP, measured=slope)
    limit = PlateLimit(name="value_fraction", value=0.1)
    with pytest.raises(BadInput, match="what the plate allows"):
        answer_read(ramp, Reading(name="value_fraction", value=0.08), FACTS, at=NOW, by=OPERATOR)
    steep = Reading(name="value_fraction", value=0.12, limit=limit)
    assert answer_read(ramp, steep, FACTS, at=NOW, by=OPERATOR).result is Result.STOP


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_a_number_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(BadInput):
        Reading(name="value_m", value=value)


def test_a_choice_that_is_not_there_is_refused() -> None:
    for choice in (0, 3, -1):
        with pytest.raises(BadInput, match="enter a number from 1 to 2"):
            seen(BRAKE, choice)


def done(took_min: float, *answers: Answer) -> DoneRound:
    return DoneRound(took_min=took_min, practised_min=10.0, answers=answers or (seen(BLADE, 2),))


@pytest.mark.parametrize(("took_min", "cues"), [(3.9, 1), (4.0, 0)])
def test_a_round_below_two_fifths_of_the_usual_time_is_talked_about(took_min: float, cues: int) -> None:
    assert len(teaching_cues([*[done(10.0)] * 5, done(took_min)])) == cues


def test_the_first_rounds_have_no_usual_time() -> None:
    assert teaching_cues([*[done(10.0)] * 4, done(1.0)]) == ()


@pytest.mark.parametrize(("rounds", "cues"), [(9, 0), (10, 1)])
def test_ten_rounds_with_one_number_are_talked_about(rounds: int, cues: int) -> None:
    bristle = check("bristle", measured=stopping(0.03))
    read = answer_read(bristle, Reading(name="value_m", value=0.02), FACTS, at=NOW, by=OPERATOR)
    assert len(teaching_cues([done(10.0, read)] * rounds)) == cues


@pytest.mark.parametrize(("rounds", "cues"), [(59, 0), (60, 1)])
def test_sixty_rounds_without_a_finding_are_talked_about(rounds: int, cues: int) -> None:
    assert len(teaching_cues([done(10.0, seen(BLADE, 1))] * rounds)) == cues


def test_cues_help_and_do_not_blame() -> None:
    bristle = check("bristle", measured=stopping(0.01))
    read = answer_read(bristle, Reading(name="value_m", value=0.02), FACTS, at=NOW, by=OPERATOR)
    cues = teaching_cues([*[done(10.0, read)] * 60, done(1.0, read)])
    assert len(cues) == 3
    assert all("ogether" in str(cue) or "colleague" in str(cue) for cue in cues)


def meter(shown_h: float, hours_ago: float) -> MeterRead:
    return MeterRead(at=NOW - timedelta(hours=hours_ago), meter=WornBy.BRUSH, shown_h=shown_h)


def test_after_the_shift_the_hours_and_what_is_to_mend_are_told() -> None:
    answers = GOOD | {"blade": seen(BLADE, 2)}
    answer = after_shift(CARD, answers, (), (meter(100.0, 5), meter(103.5, 0)))
    assert answer.ran_h == ((WornBy.BRUSH, 3.5),)
    assert [row.check.identity for row in answer.to_mend] == ["blade"]
    assert answer.meters == ()


@pytest.mark.parametrize(("shown_h", "word"), [(99.0, "fell"), (106.0, "only")])
def test_a_meter_that_falls_or_outruns_the_clock_is_told(shown_h: float, word: str) -> None:
    answer = after_shift(CARD, GOOD, (), (meter(100.0, 5), meter(shown_h, 0)))
    assert word in str(answer.meters[0])
    assert answer.ran_h == ()
