"""Whatever the machine, a card holds each check once; whatever the order, a stop never goes away by itself."""

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from scrubwright.catalogue.checks import Occasion, Result, State, Station
from scrubwright.catalogue.terms import BATTERIES, DECKS, OPTION_TERMS, SITE_TERMS, Term
from scrubwright.jobs.fit_to_run import FitVerdict, fit_to_run
from scrubwright.jobs.round_answers import Answer
from scrubwright.jobs.round_card import MOST_ROWS, round_card, worst_of
from scrubwright.jobs.stops import Release, open_stops
from scrubwright.paperwork.catalogues import shipped_catalogue
from tests.rooms.round_example import FACTS, NOW, TECHNICIAN, catalogue, check, seen

facts = st.builds(
    lambda deck, battery, more: frozenset({deck, battery, *more}),
    st.sampled_from(DECKS),
    st.sampled_from(BATTERIES),
    st.sets(st.sampled_from((*OPTION_TERMS, *SITE_TERMS))),
)
lines = st.lists(
    st.tuples(st.sampled_from(Station), st.sampled_from(State), st.sampled_from((Result.FIX, Result.STOP))),
    min_size=1,
    max_size=40,
)
STOPPING = tuple(check(name, worst=Result.STOP) for name in ("brake", "steering", "case"))


@given(facts, st.sampled_from(Occasion))
def test_a_card_holds_each_check_that_applies_once(machine: frozenset[Term], occasion: Occasion) -> None:
    card = round_card(shipped_catalogue(), "Ours", machine, (occasion,), now=NOW)
    wanted = [
        each.identity
        for each in shipped_catalogue().checks
        if occasion in each.when and each.applies_when.holds(machine)
    ]
    assert sorted(row.check.identity for row in card.rows) == sorted(wanted)


@given(facts, st.sampled_from(SITE_TERMS))
def test_a_fact_more_of_the_site_never_makes_a_check_milder(machine: frozenset[Term], more: Term) -> None:
    for each in shipped_catalogue().checks:
        assert worst_of(each, machine | {more}).rank >= worst_of(each, machine - {more}).rank


@given(lines)
def test_chunks_are_short_and_stops_lead_them(given_lines: Sequence[tuple[Station, State, Result]]) -> None:
    checks = [
        check(f"c{number}", station=station, state=state, worst=worst)
        for number, (station, state, worst) in enumerate(given_lines)
    ]
    card = round_card(catalogue(*checks), "Ours", FACTS, now=NOW)
    assert len(card.rows) == len(checks)
    for chunk in card.chunks:
        assert 1 <= len(chunk.rows) <= MOST_ROWS
        assert {row.check.state for row in chunk.rows} == {chunk.state}
        stops = [row.is_stop for row in chunk.rows]
        assert stops == sorted(stops, reverse=True)


entries = st.lists(
    st.one_of(
        st.builds(lambda one, choice: seen(one, choice), st.sampled_from(STOPPING), st.sampled_from((1, 2))),
        st.builds(
            lambda one: Release(check=one.identity, at=NOW, by=TECHNICIAN, reason="Mended and tried"),
            st.sampled_from(STOPPING),
        ),
    ),
    max_size=20,
)


@given(entries)
def test_a_stop_is_open_when_no_release_follows_its_last_bad_answer(log: list[Answer | Release]) -> None:
    for one in STOPPING:
        mine = [each for each in log if each.check == one.identity]
        bad = [n for n, each in enumerate(mine) if isinstance(each, Answer) and each.result is Result.STOP]
        closed = [n for n, each in enumerate(mine) if isinstance(each, Release)]
        is_open = bool(bad) and (not closed or bad[-1] > closed[-1])
        assert (one.identity in {stop.check for stop in open_stops(log)}) is is_open


@given(st.lists(st.sampled_from((0, 1, 2)), min_size=3, max_size=3))
def test_one_open_or_unanswered_stop_is_enough(choices: list[int]) -> None:
    card = round_card(catalogue(*STOPPING), "Ours", FACTS, now=NOW)
    answers = {one.identity: seen(one, choice) for one, choice in zip(STOPPING, choices, strict=True) if choice}
    verdict = fit_to_run(card, answers, open_stops(answers.values())).verdict
    assert verdict is (FitVerdict.RUN if choices == [1, 1, 1] else FitVerdict.STOP)
