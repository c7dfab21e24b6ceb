"""Hour meters: ordinary readings, what is said of odd ones, and what is refused."""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.wording import Language, Teller
from scrubwright.wear.cleaning import Standing, cleaned
from scrubwright.wear.meter_log import meter_log
from scrubwright.wear.meters import Counts, MeterBatch, MeterDefinition, MeterReading, meter_batch
from scrubwright.wear.ratio import meter_findings, run_at_h, shared_hours

NOW = datetime(2026, 6, 30, 18)
METER = MeterDefinition(counts=Counts.VACUUM, digits=5)


def weekly(*hours: float) -> list[MeterReading]:
    """Readings a week apart, the last of them today."""
    first = NOW - timedelta(weeks=len(hours) - 1)
    return [MeterReading(at=first + timedelta(weeks=week), value_h=value) for week, value in enumerate(hours)]


def said(*readings: MeterReading) -> list[str]:
    return [str(each.why) for each in meter_log(METER, readings, now=NOW).readings if each.why]


def test_readings_that_fit_have_nothing_said_of_them() -> None:
    log = meter_log(METER, weekly(300.0, 312.0, 325.5, 333.0), now=NOW)
    assert [each.why for each in log.readings] == [None] * 4
    assert log.readings[-1].run_h == pytest.approx(33.0)
    assert log.pace_h_per_day == pytest.approx(12.0 / 7)


def test_a_reading_in_the_future_asks_for_its_date() -> None:
    tomorrow = MeterReading(at=NOW + timedelta(days=1), value_h=340.0)
    assert said(*weekly(300.0, 312.0, 325.5), tomorrow) == [
        "The reading of 2026-07-01 lies in the future; correct its date."
    ]


def test_a_jump_of_ten_thousand_hours_is_kept_and_does_not_count() -> None:
    log = meter_log(METER, weekly(300.0, 312.0, 10_325.0, 337.0), now=NOW)
    assert [each.standing for each in log.readings][2] is Standing.DOES_NOT_FIT
    assert str(log.readings[2].why) == (
        "The reading 10,325.00 h of 2026-06-23 is 10,013.00 h above that of 2026-06-16, more than the time between "
        "them. It is kept and does not count."
    )
    assert log.readings[-1].run_h == pytest.approx(37.0)


def test_a_reading_with_more_digits_than_the_meter_is_named() -> None:
    assert said(*weekly(300.0, 312.0, 325_000.0))[0].startswith(
        "The reading 325,000.00 h of 2026-06-30 has more digits"
    )


def test_a_lower_reading_is_named_with_the_one_before() -> None:
    assert said(*weekly(1300.0, 1312.0, 131.0, 1337.0)) == [
        "The reading 131.00 h of 2026-06-23 is lower than 1,312.00 h of 2026-06-16. It is kept and does not count."
    ]


def test_the_question_is_told_in_spanish_too() -> None:
    question = meter_log(METER, weekly(1300.0, 1312.0, 1325.0, 4.0), now=NOW).question
    assert question is not None
    assert "¿Se escribió mal, o el horómetro es nuevo?" in Teller(language=Language.SPANISH).tell(question)


def test_a_meter_that_was_never_read_has_an_empty_log() -> None:
    log = meter_log(METER, [], now=NOW)
    assert log.readings == ()
    assert (log.last, log.question) == (None, None)


def test_an_old_reading_or_none_asks_for_a_new_one() -> None:
    log = meter_log(METER, weekly(300.0, 312.0), now=NOW)
    assert log.asks_for_a_reading(NOW + timedelta(days=27)) is None
    assert str(log.asks_for_a_reading(NOW + timedelta(days=40))).startswith("This meter was last read 40 days ago.")
    assert log.age_days(NOW - timedelta(days=1)) == 0.0
    never = meter_log(METER, [], now=NOW)
    assert never.age_days(NOW) is None
    assert str(never.asks_for_a_reading(NOW)).startswith("This meter was never read.")


def test_hours_are_shared_over_the_time_that_both_meters_were_read() -> None:
    # The key meter read from day 0 to day 28, the brush meter from day 7 to day 21.
    key, brush = weekly(100.0, 120.0, 140.0, 160.0, 180.0), weekly(50.0, 64.0, 78.0)
    brush = [replace(reading, at=reading.at - timedelta(weeks=1)) for reading in brush]
    batch = meter_batch([(METER, key), (METER, brush), (METER, [])], start=NOW - timedelta(weeks=4))
    clean = cleaned(batch, now_days=28.0)
    shared = shared_hours(batch, clean, np.array([1, 2]), np.array([0, 0]))
    assert shared.other_h.tolist() == pytest.approx([28.0, 0.0])
    assert shared.key_h.tolist() == pytest.approx([40.0, 0.0])
    assert shared.key_since_h[0] == pytest.approx(20.0)


def test_one_reading_is_believed() -> None:
    log = meter_log(METER, weekly(812.0), now=NOW)
    assert log.last is not None
    assert (log.last.standing, log.last.run_h) == (Standing.ACCEPTED, 0.0)


def test_two_readings_on_one_day_that_agree_are_both_believed() -> None:
    twice = [MeterReading(at=NOW, value_h=value) for value in (325.0, 327.0)]
    log = meter_log(METER, [*weekly(300.0, 312.0, 325.0)[:2], *twice], now=NOW)
    assert [each.standing for each in log.readings] == [Standing.ACCEPTED] * 4


@pytest.mark.parametrize(
    "make",
    [
        lambda: MeterDefinition(counts=Counts.KEY, digits=0),
        lambda: MeterDefinition(counts=Counts.KEY, digits=8),
        lambda: MeterDefinition(counts=Counts.KEY, step_h=0.0),
        lambda: MeterReading(at=NOW, value_h=-1.0),
        lambda: MeterReading(at=NOW, value_h=float("nan")),
        lambda: MeterReading(at=NOW, value_h=5.0, meant_h=-1.0),
    ],
)
def test_what_no_meter_can_show_is_refused(make: object) -> None:
    assert callable(make)
    with pytest.raises(BadInput):
        make()


def test_a_batch_out_of_order_or_of_other_shapes_is_refused() -> None:
    def batch(at: list[float], value: list[float]) -> MeterBatch:
        return MeterBatch(
            at_days=np.array([at]),
            value_h=np.array([value]),
            rulings=np.zeros((1, len(value)), dtype=np.int8),
            lengths=np.array([len(at)]),
            rolls_at_h=np.array([1e5]),
            step_h=np.array([0.1]),
        )

    with pytest.raises(BadInput, match="out of order"):
        batch([3.0, 2.0], [1.0, 2.0])
    with pytest.raises(BadInput, match="different lengths"):
        batch([3.0, 4.0], [1.0])
    with pytest.raises(BadInput, match="less than no hours"):
        batch([3.0, 4.0], [1.0, float("nan")])


def test_hours_at_a_time_between_readings_lie_on_the_line() -> None:
    batch = meter_batch([(METER, weekly(300.0, 314.0, 328.0))], start=NOW - timedelta(weeks=2))
    clean = cleaned(batch, now_days=14.0)
    assert run_at_h(batch, clean, np.array([0, 0]), np.array([3.5, 99.0])).tolist() == pytest.approx([7.0, 28.0])


def test_meters_of_one_machine_that_agree_say_nothing() -> None:
    ran_h = {Counts.KEY: 100.0, Counts.TRACTION: 78.0, Counts.BRUSH: 66.0, Counts.VACUUM: 70.0}
    assert meter_findings(ran_h) == ()
    assert meter_findings({}) == ()


@pytest.mark.parametrize(
    ("ran_h", "words"),
    [
        ({Counts.KEY: 100.0, Counts.TRACTION: 110.0}, "the traction meter ran 110.00 h and the key meter 100.00 h"),
        ({Counts.KEY: 100.0, Counts.BRUSH: 110.0}, "the brush meter ran 110.00 h and the key meter"),
        ({Counts.KEY: 100.0, Counts.VACUUM: 110.0}, "the vacuum meter ran 110.00 h and the key meter"),
        ({Counts.BRUSH: 80.0, Counts.VACUUM: 60.0}, "the brush meter ran 80.00 h and the vacuum meter 60.00 h"),
        ({Counts.KEY: 100.0, Counts.TRACTION: 30.0}, "drove for 30.0 % of its key hours"),
        ({Counts.KEY: 100.0, Counts.TRACTION: 97.0}, "drove for 97.0 % of its key hours"),
    ],
)
def test_meters_that_contradict_each_other_are_named(ran_h: dict[Counts, float], words: str) -> None:
    findings = meter_findings(ran_h)
    assert len(findings) == 1
    assert words in str(findings[0])
