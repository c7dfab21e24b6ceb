"""Parts to hold and trips to make."""

from datetime import timedelta
from pathlib import Path

import pytest

from scrubwright.catalogue.checks import Occasion, WornBy
from scrubwright.catalogue.parts import ServiceAction
from scrubwright.jobs.due_question import Change
from scrubwright.jobs.due_visits import due_visits
from scrubwright.jobs.what_is_due import due_for_many, what_is_due
from scrubwright.jobs.what_to_carry import Shelf, what_to_carry
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.plates import plate_from
from tests.rooms.due_example import NOW, catalogue, check, item, machine, meter, question

PLATES = Path(__file__).parents[2] / "examples" / "plates"
MID, WIDE = (plate_from(PLATES / name) for name in ("mid_cylindrical_080.toml", "wide_disc_105.toml"))


def test_planned_changes_take_whole_sets() -> None:
    by = catalogue(item("brush", life_h=(200.0, 200.0), count=2), item("oil", action=ServiceAction.GREASE))
    asked = [question(machine(meter(), name=name), by, horizon_days=30.0) for name in ("one", "two")]
    found = what_to_carry(due_for_many(asked), (MID, MID), level_fraction=0.95)
    # Both machines have run 196 h of 200 h; grease takes no part.
    (line,) = found.lines
    assert (line.planned_pieces, line.surprise_pieces, line.pieces) == (4, 0, 4)
    assert line.machines == ("one", "two")


def test_machines_of_other_widths_take_other_parts() -> None:
    by = catalogue(item("brush", life_h=(200.0, 200.0)))
    asked = [question(machine(meter(), name=name), by, horizon_days=30.0) for name in ("one", "two")]
    found = what_to_carry(due_for_many(asked), (MID, WIDE), level_fraction=0.95)
    assert [line.machines for line in found.lines] == [("one",), ("two",)]


def test_a_surprise_is_held_for_at_a_high_level_and_not_at_a_low_one() -> None:
    # 100 of about 150 days are gone, range 100 to 225: about one in four falls due within 30 days.
    by = catalogue(item("hose", meter=WornBy.CALENDAR, life_h=None, life_days=(100, 225)))
    answers = due_for_many([question(machine(meter()), by, horizon_days=30.0)])
    assert answers[0].items[0].days.value > 30
    high = what_to_carry(answers, (MID,), level_fraction=0.95)
    assert (high.lines[0].surprise_pieces, high.lines[0].served_fraction) == (1, 1.0)
    assert what_to_carry(answers, (MID,), level_fraction=0.4).lines == ()


def test_orders_fill_packs_and_count_what_is_there() -> None:
    by = catalogue(item("brush", life_h=(200.0, 200.0), count=3))
    answers = due_for_many([question(machine(meter()), by, horizon_days=30.0)])
    shelf = {"brush": Shelf(on_shelf=1, pack_pieces=4)}
    assert what_to_carry(answers, (MID,), level_fraction=0.9, shelf=shelf).lines[0].order_pieces == 4
    shelf = {"brush": Shelf(on_shelf=1, on_order=2)}
    assert what_to_carry(answers, (MID,), level_fraction=0.9, shelf=shelf).lines[0].order_pieces == 0


def test_no_machine_and_a_share_out_of_range_are_refused() -> None:
    with pytest.raises(BadInput):
        what_to_carry((), (), level_fraction=0.95)
    answers = due_for_many([question(machine(meter()), catalogue(item("brush")))])
    with pytest.raises(BadInput):
        what_to_carry(answers, (MID,), level_fraction=1.0)
    with pytest.raises(BadInput):
        Shelf(pack_pieces=0)


def test_a_dear_trip_puts_jobs_together_and_a_cheap_one_does_not() -> None:
    by = catalogue(
        item("a", meter=WornBy.CALENDAR, life_h=None, life_days=(105, 105)),
        item("b", meter=WornBy.CALENDAR, life_h=None, life_days=(109, 109)),
    )
    answer = what_is_due(question(machine(meter()), by, horizon_days=30.0))
    dear = due_visits((answer,), trip_ratio=5.0, failure_ratio=3.0)
    cheap = due_visits((answer,), trip_ratio=0.001, failure_ratio=3.0)
    assert [len(visit.rows) for visit in dear.visits] == [2]
    assert [visit.day for visit in cheap.visits] == [NOW.date() + timedelta(days=day) for day in (5, 9)]


def test_a_check_that_can_stop_the_machine_is_never_late() -> None:
    by = catalogue(checks=[check("a", Occasion.WEEKLY, stops=True), check("b", Occasion.MONTHLY)])
    told = [Change(line="weekly", at=NOW), Change(line="monthly", at=NOW - timedelta(days=10))]
    answer = what_is_due(question(machine(changes=told), by, horizon_days=30.0))
    found = due_visits((answer,), trip_ratio=5.0, failure_ratio=3.0)
    first = next(visit for visit in found.visits for _, row in visit.rows if row.identity == "weekly-checks")
    assert first.day <= NOW.date() + timedelta(days=7)
    assert found.machines_that_stand == ()


def test_no_hours_before_its_day_makes_a_machine_stand() -> None:
    by = catalogue(checks=[check("a", Occasion.WEEKLY, stops=True)])
    told = [Change(line="weekly", at=NOW - timedelta(days=7))]
    answer = what_is_due(question(machine(changes=told), by, horizon_days=30.0))
    # Today is a Thursday, and nobody comes before Friday.
    found = due_visits(
        (answer,),
        trip_ratio=1.0,
        failure_ratio=3.0,
        weekdays=(False, False, False, False, True, False, False),
    )
    assert found.machines_that_stand == ("one",)


def test_nothing_due_needs_no_trip() -> None:
    answer = what_is_due(question(machine(meter()), catalogue(item("brush", life_h=(5000.0, 5000.0)))))
    assert due_visits((answer,), trip_ratio=1.0, failure_ratio=3.0).visits == ()
