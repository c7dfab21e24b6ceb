"""What falls due: the earliest rule decides, what is written down counts, and nothing is left out."""

from datetime import date, datetime, timedelta

import pytest

from scrubwright.catalogue.checks import Occasion, WornBy
from scrubwright.catalogue.parts import ServiceAction
from scrubwright.catalogue.terms import Term
from scrubwright.jobs.due_answer import DueItem, Rule, Standing
from scrubwright.jobs.due_lines import due_lines
from scrubwright.jobs.due_question import Change, DueQuestion, Happened, Machine, MachineMeter
from scrubwright.jobs.what_is_due import due_for_many, what_is_due
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.paperwork.catalogues import shipped_catalogue
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading
from scrubwright.wear.open_days import ClosedSpell
from tests.rooms.due_example import FACTS, NOW, catalogue, check, item, machine, meter, question


def only(of: Machine, *items: object, **more: object) -> DueItem:
    (found,) = what_is_due(question(of, catalogue(*items), **more)).items  # type: ignore[arg-type]
    return found


def test_hours_run_since_the_change_are_taken_off_the_life() -> None:
    # 50 days ago, at 2 h a day and last read the day before yesterday: 96 h of 200 h are run, 104 h take 52 days.
    done = Change(line="brush", at=NOW - timedelta(days=50))
    found = only(machine(meter(), changes=[done]), item("brush"))
    assert found.rule is Rule.METER
    assert found.run_h == pytest.approx(96.0)
    assert found.days.value == pytest.approx(50.0, abs=3.0)
    assert found.last_done == done.at.date()


def test_the_calendar_decides_where_it_comes_first() -> None:
    found = only(machine(meter()), item("brush", life_h=(2000.0, 2000.0), life_days=(120, 120)))
    assert found.rule is Rule.CALENDAR
    assert found.days.value == 20.0
    assert (found.days.low, found.days.high) == (None, None)
    assert found.days.origin is Origin.COMMON_PRACTICE


def test_a_day_of_the_calendar_that_is_past_is_overdue() -> None:
    found = only(machine(meter()), item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(60, 60)))
    assert found.standing is Standing.OVERDUE
    assert found.days.value == -40.0


def test_what_was_never_done_counts_from_the_first_reading_and_says_so() -> None:
    answer = what_is_due(question(machine(meter()), catalogue(item("brush"))))
    assert answer.items[0].last_done is None
    assert answer.items[0].counted_from == (NOW - timedelta(days=100)).date()
    assert "Never written down as done: 1 of 1" in str(answer.questions[0])


def test_a_machine_in_service_counts_from_that_day() -> None:
    of = Machine(name="one", facts=FACTS, in_service=date(2026, 4, 1))
    found = only(of, item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(10, 10)))
    assert found.days.value == 2.0


def test_nothing_written_down_at_all_still_gives_a_day_and_asks() -> None:
    answer = what_is_due(question(machine(), catalogue(item("brush"), item("hose", life_days=(30, 60)))))
    assert [each.line.identity for each in answer.items] == ["hose", "brush"]
    assert all(each.days.value > 0 for each in answer.items)
    assert "never read" in str(answer.meters[0].questions[0])


def test_measured_wear_takes_the_place_of_the_usual_life() -> None:
    # 60 mm at the start, 50 mm after 96 h: 38 mm more until 12 mm take 365 h, at 2 h a day half a year.
    told = [
        Change(line="brush", at=NOW - timedelta(days=100), happened=Happened.MEASURED, measured_m=0.060),
        Change(line="brush", at=NOW - timedelta(days=52), happened=Happened.MEASURED, measured_m=0.050),
    ]
    found = only(machine(meter(), changes=told), item("brush", life_h=(100.0, 150.0), limit_m=0.012))
    assert found.rule is Rule.WEAR
    assert found.days.origin is Origin.MEASURED
    assert found.days.value == pytest.approx((0.038 / 0.010 * 96.0 - 2 * 50) / 2, abs=12)


def test_play_that_grows_is_due_where_it_reaches_its_limit() -> None:
    # 1 mm at the start, 2 mm after 96 h, limit 3 mm: as much again.
    told = [
        Change(line="caster", at=NOW - timedelta(days=100), happened=Happened.MEASURED, measured_m=0.001),
        Change(line="caster", at=NOW - timedelta(days=52), happened=Happened.MEASURED, measured_m=0.002),
    ]
    found = only(machine(meter(), changes=told), item("caster", life_h=(1000.0, 3000.0), limit_m=0.003))
    assert found.rule is Rule.WEAR
    assert found.days.value < 40


def test_one_measurement_alone_asks_for_another() -> None:
    told = [Change(line="brush", at=NOW - timedelta(days=9), happened=Happened.MEASURED, measured_m=0.060)]
    found = only(machine(meter(), changes=told), item("brush", limit_m=0.012))
    assert found.rule is Rule.METER
    assert "measure it again" in str(found.questions[0])


def test_own_parts_that_wore_out_change_the_life() -> None:
    ends = [90, 70, 50, 30, 10]
    told = [Change(line="brush", at=NOW - timedelta(days=day), happened=Happened.WORN_OUT) for day in ends]
    of = machine(meter(days=100, every=1), changes=told)
    own = only(of, item("brush", life_h=(200.0, 600.0)), failure_ratio=3.0)
    assert "own parts" in str(own.days.detail)
    # Each lasted 40 h, far less than the usual 346 h; the one on the machine now has run about 18 h.
    assert own.days.value < 60
    assert own.change is not None


def test_parts_lost_or_changed_while_good_alone_do_not_teach_a_life() -> None:
    told = [
        Change(line="brush", at=NOW - timedelta(days=day), happened=Happened.CHANGED_WHILE_GOOD) for day in (90, 50, 10)
    ]
    found = only(machine(meter(), changes=told), item("brush", life_h=(200.0, 600.0)))
    assert "common practice" in str(found.days.detail)


def test_a_meter_that_nobody_reads_goes_through_the_key_meter() -> None:
    answer = what_is_due(question(machine(meter(Counts.KEY)), catalogue(item("brush", life_h=(200.0, 200.0)))))
    # 0.7 brush hours a key hour (common practice): of 196 key hours 137, so 63 h or 90 key hours are left.
    (found,) = answer.items
    assert found.run_h == pytest.approx(0.7 * 196.0, abs=1.0)
    assert 25 < found.days.value < 65
    assert found.days.low is not None
    assert found.days.high is not None
    assert found.days.high - found.days.low > 20
    assert any("guessed from the key meter" in str(each) for stand in answer.meters for each in stand.questions)


def test_closed_days_put_a_date_off() -> None:
    of = machine(meter(), changes=[Change(line="brush", at=NOW - timedelta(days=50))])
    usual = only(of, item("brush"))
    spell = ClosedSpell(first=date(2026, 4, 20), last=date(2026, 5, 19))
    closed = only(of, item("brush"), closed=(spell,))
    assert closed.days.value - usual.days.value == pytest.approx(30.0, abs=3.0)


def test_a_round_that_is_written_down_counts_for_all_its_checks() -> None:
    checks = [check("a", Occasion.WEEKLY), check("b", Occasion.WEEKLY), check("c", Occasion.MONTHLY)]
    told = [Change(line="weekly", at=NOW - timedelta(days=2)), Change(line="b", at=NOW - timedelta(days=1))]
    answer = what_is_due(question(machine(changes=told), catalogue(checks=checks)))
    assert {each.line.identity: each.days.value for each in answer.items} == {"a": 5.0, "b": 6.0, "c": 30.0}


def test_checks_of_every_shift_never_fall_due() -> None:
    checks = [check("a", Occasion.BEFORE_SHIFT), check("b", Occasion.BEFORE_SHIFT, Occasion.WEEKLY)]
    assert what_is_due(question(machine(), catalogue(checks=checks))).items == ()


def test_a_reading_ten_thousand_hours_too_high_is_told_and_changes_nothing() -> None:
    plain = meter()
    jumped = MachineMeter(
        meter=plain.meter,
        readings=(*plain.readings[:-5], MeterReading(at=plain.readings[-5].at, value_h=11190.0), *plain.readings[-4:]),
    )
    answer = what_is_due(question(machine(jumped), catalogue(item("brush"))))
    expected = what_is_due(question(machine(plain), catalogue(item("brush"))))
    assert "more than the time between" in str(answer.meters[0].questions[0])
    assert answer.items[0].days.value == pytest.approx(expected.items[0].days.value, abs=2.0)


def test_a_reading_of_tomorrow_is_told_and_does_not_count() -> None:
    plain = meter()
    ahead = MeterReading(at=NOW + timedelta(days=30), value_h=1300.0)
    answer = what_is_due(
        question(machine(MachineMeter(meter=plain.meter, readings=(*plain.readings, ahead))), catalogue(item("brush")))
    )
    assert "Readings dated after today do not count: 1" in str(answer.meters[0].questions[0])


def test_a_change_of_tomorrow_and_an_unknown_line_are_told() -> None:
    told = [Change(line="brush", at=NOW + timedelta(days=3)), Change(line="blade", at=NOW - timedelta(days=3))]
    answer = what_is_due(question(machine(meter(), changes=told), catalogue(item("brush"))))
    assert answer.items[0].last_done is None
    assert ["blade" in str(answer.questions[0]), "after today" in str(answer.questions[1])] == [True, True]


def test_hours_beside_a_change_are_a_reading_too() -> None:
    told = [Change(line="brush", at=NOW - timedelta(days=day), meter_h=500.0 - 3 * day) for day in (40, 30, 20, 10, 1)]
    answer = what_is_due(question(machine(changes=told), catalogue(item("brush"))))
    assert answer.meters[0].last_h == 497.0


def test_many_machines_together_get_what_each_gets_alone() -> None:
    by = catalogue(item("brush", life_h=(150.0, 400.0)), item("hose", life_h=(900.0, 900.0), life_days=(200, 300)))
    asked = [question(machine(meter(pace_h_per_day=pace), name=str(pace)), by) for pace in (0.5, 1.0, 2.0, 4.0)]
    together = due_for_many(asked)
    for one, among in zip((what_is_due(each) for each in asked), together, strict=True):
        assert [each.line for each in one.items] == [each.line for each in among.items]
        assert [each.days.value for each in one.items] == pytest.approx([e.days.value for e in among.items], abs=0.02)


def test_a_machine_without_lines_beside_another_keeps_its_own_meters() -> None:
    by = catalogue(item("brush", applies_when="disc deck"))
    other = Machine(name="two", facts=frozenset({Term.ORBITAL_DECK}), meters=(meter(Counts.KEY, pace_h_per_day=3.0),))
    _, found = due_for_many([question(machine(meter()), by), question(other, by)])
    assert found.items == ()
    assert [stand.counts for stand in found.meters] == [Counts.KEY]
    assert found.meters[0].last_h == 1294.0


def test_two_machines_of_one_name_are_refused() -> None:
    asked = question(machine(), catalogue(item("brush")))
    with pytest.raises(BadInput, match="one name"):
        due_for_many((asked, asked))


def test_switching_the_deck_changes_only_lines_that_ask_for_a_deck() -> None:
    shipped = shipped_catalogue()
    disc, cylinders = (
        {line.identity for line in due_lines(shipped, frozenset({deck, Term.SEALED_BATTERY}))}
        for deck in (Term.DISC_DECK, Term.CYLINDRICAL_DECK)
    )
    asks = set()
    for part in shipped.parts:
        terms = {item.identity: item.applies_when.terms for item in part.service}
        terms |= {check.identity: check.applies_when.terms for check in part.checks}
        decks = {Term.DISC_DECK, Term.CYLINDRICAL_DECK}
        asks |= {identity for identity, own in terms.items() if decks & (own | part.applies_when.terms)}
    assert disc ^ cylinders
    assert disc ^ cylinders <= asks


def test_the_tasks_of_the_catalogue_are_kept() -> None:
    (line,) = due_lines(catalogue(item("grease", action=ServiceAction.GREASE)), FACTS)
    assert line.task == "grease"


@pytest.mark.parametrize(("name", "value"), [("horizon_days", 0.0), ("failure_ratio", 1.0)])
def test_a_question_out_of_range_is_refused(name: str, value: float) -> None:
    with pytest.raises(BadInput):
        DueQuestion(machine=machine(), catalogue=catalogue(item("brush")), at=NOW, **{name: value})  # type: ignore[arg-type]


def test_a_measurement_without_its_number_is_refused() -> None:
    with pytest.raises(BadInput, match="no number"):
        Change(line="brush", at=NOW, happened=Happened.MEASURED)


def test_two_meters_that_count_one_thing_are_refused() -> None:
    with pytest.raises(BadInput, match="one thing"):
        machine(meter(), meter())


def test_times_with_and_without_a_zone_are_refused() -> None:
    read = MachineMeter(
        meter=MeterDefinition(counts=Counts.BRUSH),
        readings=(MeterReading(at=datetime.fromisoformat("2026-04-01T10:00+00:00"), value_h=5.0),),
    )
    with pytest.raises(BadInput, match="time zone"):
        what_is_due(question(machine(read), catalogue(item("brush"))))


def test_the_newest_reading_that_does_not_fit_is_asked_about_once() -> None:
    plain = meter()
    slip = MeterReading(at=NOW - timedelta(hours=3), value_h=11960.0)
    ahead = MeterReading(at=NOW + timedelta(days=3), value_h=1210.0)
    of = machine(MachineMeter(meter=plain.meter, readings=(*plain.readings, slip, ahead)))
    (stand,) = what_is_due(question(of, catalogue(item("brush")))).meters
    said = [str(each) for each in stand.questions]
    assert "Was it mistyped, or is it a new meter?" in said[0]
    assert [each for each in said[1:] if "11,960" in each] == []
