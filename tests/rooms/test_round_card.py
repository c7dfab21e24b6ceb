"""The card holds what applies and is due, in walking order, and nothing else."""

from datetime import timedelta
from pathlib import Path

import pytest

from scrubwright.catalogue.checks import Occasion, Result, Skill, State, Station, WornBy
from scrubwright.catalogue.terms import DECKS, Term
from scrubwright.jobs.machine_facts import battery_of, facts_of, site_of
from scrubwright.jobs.round_card import RoundCard, round_card
from scrubwright.jobs.round_history import Because, MeterRead, RoundHistory
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.catalogues import shipped_catalogue
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import plate_from
from tests.rooms.round_example import FACTS, NOW, catalogue, check

EXAMPLES = Path(__file__).parents[2] / "examples"
PLATES = ("narrow_disc_055", "mid_cylindrical_080", "wide_disc_105")


def identities(card: RoundCard) -> list[str]:
    return [row.check.identity for row in card.rows]


def card_of(facts: frozenset[Term], occasions: tuple[Occasion, ...] = (Occasion.BEFORE_SHIFT,)) -> RoundCard:
    return round_card(shipped_catalogue(), "Ours", facts, occasions, now=NOW)


def test_three_example_plates_give_three_different_cards() -> None:
    plates = [plate_from(EXAMPLES / "plates" / f"{name}.toml") for name in PLATES]
    cards = [set(identities(card_of(facts_of(plate, Term.FLOODED_BATTERY)))) for plate in plates]
    for number, one in enumerate(cards):
        for other in cards[number + 1 :]:
            assert one - other
            assert other - one


@pytest.mark.parametrize("occasion", Occasion)
def test_another_deck_changes_exactly_the_rows_that_depend_on_the_deck(occasion: Occasion) -> None:
    plate = plate_from(EXAMPLES / "plates" / "narrow_disc_055.toml")
    disc = facts_of(plate, Term.FLOODED_BATTERY)
    cylindrical = disc - {Term.DISC_DECK} | {Term.CYLINDRICAL_DECK}
    changed = set(identities(card_of(disc, (occasion,)))) ^ set(identities(card_of(cylindrical, (occasion,))))
    wanted = {
        each.identity
        for each in shipped_catalogue().checks
        if occasion in each.when and each.applies_when.holds(disc) != each.applies_when.holds(cylindrical)
    }
    assert changed == wanted
    by_name = {each.identity: each for each in shipped_catalogue().checks}
    assert all(by_name[name].applies_when.terms & set(DECKS) for name in changed)


def test_another_deck_does_change_the_card() -> None:
    disc = frozenset({Term.DISC_DECK, Term.FLOODED_BATTERY})
    cylindrical = frozenset({Term.CYLINDRICAL_DECK, Term.FLOODED_BATTERY})
    assert set(identities(card_of(disc))) ^ set(identities(card_of(cylindrical)))


def test_one_walks_with_the_key_off_then_on_then_drives_and_clockwise_each_time() -> None:
    card = card_of(FACTS)
    states = [list(State).index(chunk.state) for chunk in card.chunks]
    assert states == sorted(states)
    for state in State:
        mine = [chunk for chunk in card.chunks if chunk.state is state]
        first = [min(list(Station).index(each) for each in chunk.stations) for chunk in mine]
        assert first == sorted(first)


def test_chunks_hold_five_to_eight_rows_with_stops_first() -> None:
    for chunk in card_of(FACTS).chunks:
        assert 5 <= len(chunk.rows) <= 8
        stops = [row.is_stop for row in chunk.rows]
        assert stops == sorted(stops, reverse=True)


def test_rows_are_numbered_through() -> None:
    card = card_of(FACTS)
    assert [row.number for row in card.rows] == list(range(1, len(card.rows) + 1))


def test_the_minutes_add_up() -> None:
    card = round_card(catalogue(check("a", takes_min=0.5), check("b", takes_min=2.0)), "Ours", FACTS, now=NOW)
    assert card.takes_min == pytest.approx(2.5)


def test_a_fact_of_the_site_makes_a_stop_of_a_row() -> None:
    lines = catalogue(check("horn", stop_when="public present"))
    (calm,) = round_card(lines, "Ours", FACTS, now=NOW).rows
    (busy,) = round_card(lines, "Ours", FACTS | {Term.PUBLIC_PRESENT}, now=NOW).rows
    assert (calm.worst, busy.worst) == (Result.FIX, Result.STOP)


def test_without_a_log_a_weekly_check_waits_until_it_is_asked_for() -> None:
    lines = catalogue(check("daily"), check("weekly", when=(Occasion.WEEKLY,)))
    assert identities(round_card(lines, "Ours", FACTS, now=NOW)) == ["daily"]
    assert identities(round_card(lines, "Ours", FACTS, (Occasion.WEEKLY,), now=NOW)) == ["weekly"]


@pytest.mark.parametrize(("days", "is_due"), [(6, False), (7, True)])
def test_a_weekly_check_joins_after_seven_days(days: int, is_due: bool) -> None:
    lines = catalogue(check("weekly", when=(Occasion.WEEKLY,)))
    history = RoundHistory(begun=NOW - timedelta(days=90), done={"weekly": NOW - timedelta(days=days)})
    card = round_card(lines, "Ours", FACTS, now=NOW, history=history)
    assert [row.because for row in card.rows] == [Because.CALENDAR] * is_due


@pytest.mark.parametrize(("shown_h", "is_due"), [(149.9, False), (150.0, True)])
def test_a_check_by_hours_joins_when_its_own_meter_has_run_them(shown_h: float, is_due: bool) -> None:
    lines = catalogue(check("print", when=(Occasion.BY_HOURS,), every_h=50.0))
    reads = (
        MeterRead(at=NOW - timedelta(days=5), meter=WornBy.BRUSH, shown_h=100.0),
        MeterRead(at=NOW - timedelta(days=5), meter=WornBy.KEY, shown_h=0.0),
        MeterRead(at=NOW, meter=WornBy.BRUSH, shown_h=shown_h),
        MeterRead(at=NOW, meter=WornBy.KEY, shown_h=900.0),
    )
    history = RoundHistory(begun=NOW - timedelta(days=5), reads=reads)
    card = round_card(lines, "Ours", FACTS, now=NOW, history=history)
    assert [row.because for row in card.rows] == [Because.HOURS] * is_due


def test_a_meter_that_nobody_read_is_asked_for() -> None:
    lines = catalogue(check("print", when=(Occasion.BY_HOURS,), every_h=50.0))
    card = round_card(lines, "Ours", FACTS, now=NOW, history=RoundHistory(begun=NOW))
    assert [each.identity for each in card.unread] == ["print"]


@pytest.mark.parametrize(("days", "is_due"), [(2, False), (3, True)])
def test_a_rest_of_three_days_asks_for_its_check(days: int, is_due: bool) -> None:
    lines = catalogue(check("drag", when=(Occasion.AFTER_IDLENESS,), idle_days=3))
    history = RoundHistory(begun=NOW - timedelta(days=30), used=NOW - timedelta(days=days))
    card = round_card(lines, "Ours", FACTS, now=NOW, history=history)
    assert [row.because for row in card.rows] == [Because.IDLENESS] * is_due


def test_what_is_due_and_beyond_the_drivers_skill_is_left_to_others() -> None:
    lines = catalogue(check("belts", when=(Occasion.MONTHLY,), skill=Skill.TECHNICIAN))
    history = RoundHistory(begun=NOW - timedelta(days=60))
    driver = round_card(lines, "Ours", FACTS, now=NOW, history=history)
    technician = round_card(lines, "Ours", FACTS, now=NOW, history=history, skill=Skill.TECHNICIAN)
    assert ([each.identity for each in driver.for_others], driver.rows) == (["belts"], ())
    assert identities(technician) == ["belts"]


def test_a_check_before_the_shift_stays_on_the_card_whoever_goes_round() -> None:
    card = round_card(catalogue(check("brake", worst=Result.STOP, skill=Skill.TECHNICIAN)), "Ours", FACTS, now=NOW)
    assert identities(card) == ["brake"]


def test_a_round_for_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="for nothing"):
        round_card(catalogue(check("a")), "Ours", FACTS, (), now=NOW)


@pytest.mark.parametrize(
    ("pack", "kind"),
    [
        ("market_hall_36v", Term.FLOODED_BATTERY),
        ("narrow_agm_24v", Term.SEALED_BATTERY),
        ("mid_lithium_36v", Term.LITHIUM_BATTERY),
    ],
)
def test_the_pack_tells_the_kind_of_battery(pack: str, kind: Term) -> None:
    assert battery_of(pack_from(EXAMPLES / "packs" / f"{pack}.toml").pack) is kind


def test_a_battery_that_is_none_and_a_site_that_is_none_are_refused() -> None:
    plate = plate_from(EXAMPLES / "plates" / "narrow_disc_055.toml")
    with pytest.raises(BadInput, match="no kind of battery"):
        facts_of(plate, Term.RAMPS)
    with pytest.raises(BadInput, match="nothing of a site"):
        facts_of(plate, Term.FLOODED_BATTERY, frozenset({Term.SEAT_BELT}))
    with pytest.raises(BadInput, match="nothing of a site"):
        site_of("ramps, moon")
