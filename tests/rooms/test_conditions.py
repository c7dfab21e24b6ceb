"""Conditions of the catalogue: which machines a line is for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.catalogue.terms import BATTERIES, DECKS, OPTION_TERMS, SITE_TERMS, Term, condition
from scrubwright.machine.deck import DeckKind
from scrubwright.machine.parts import Option
from scrubwright.measures.errors import BadInput

FACTS = st.builds(
    lambda deck, battery, others: frozenset({deck, battery, *others}),
    st.sampled_from(DECKS),
    st.sampled_from(BATTERIES),
    st.sets(st.sampled_from(OPTION_TERMS + SITE_TERMS)),
)


def texts() -> st.SearchStrategy[str]:
    terms = st.sampled_from([str(term) for term in Term])
    return st.recursive(
        terms,
        lambda inner: st.one_of(
            st.builds("not ({})".format, inner),
            st.builds("({}) and ({})".format, inner, inner),
            st.builds("({}) or ({})".format, inner, inner),
        ),
        max_leaves=5,
    )


def test_and_binds_closer_than_or() -> None:
    either = condition("side brush or seat belt and ramps")
    assert either.holds(frozenset({Term.SIDE_BRUSH}))
    assert not either.holds(frozenset({Term.SEAT_BELT}))
    assert either.holds(frozenset({Term.SEAT_BELT, Term.RAMPS}))


def test_brackets_and_not_are_read() -> None:
    wanted = condition("flooded battery and not (ramps or lift)")
    assert wanted.holds(frozenset({Term.FLOODED_BATTERY}))
    assert not wanted.holds(frozenset({Term.FLOODED_BATTERY, Term.LIFT}))


@given(text=texts(), facts=FACTS)
def test_a_condition_and_its_opposite_never_hold_together(text: str, facts: frozenset[Term]) -> None:
    assert condition(text).holds(facts) is not condition(f"not ({text})").holds(facts)


@given(text=texts(), facts=FACTS)
def test_whatever_holds_somewhere_is_reachable(text: str, facts: frozenset[Term]) -> None:
    if condition(text).holds(facts):
        assert condition(text).reachable


@given(first=texts(), second=texts(), facts=FACTS)
def test_what_follows_holds_wherever_the_other_does(first: str, second: str, facts: frozenset[Term]) -> None:
    if condition(first).follows_from(condition(second)) and condition(second).holds(facts):
        assert condition(first).holds(facts)


@pytest.mark.parametrize(
    "text", ["disc deck and orbital deck", "flooded battery and lithium battery", "lift and not lift", "not always"]
)
def test_what_no_machine_can_be_is_told(text: str) -> None:
    assert not condition(text).reachable


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("side brsh", 'cannot be read at "side brsh"'),
        ("ramps and", "breaks off"),
        ("(ramps or lift", "bracket"),
        ("ramps lift", 'cannot be read at "ramps lift"'),
        ("ramps) or lift", r'cannot be read at "\)"'),
    ],
)
def test_a_condition_that_cannot_be_read_says_where_and_what_is_known(text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        condition(text)


def test_every_option_and_deck_of_a_plate_is_a_word_of_the_catalogue() -> None:
    assert {str(option) for option in Option} == {str(term) for term in OPTION_TERMS}
    assert {f"{kind} deck" for kind in DeckKind} == {str(deck) for deck in DECKS}
