"""Whatever visit is written down, in whatever way people write it, is the visit that is read; nothing crashes."""

import csv
import io
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scrubwright.battery.pack import Chemistry
from scrubwright.battery.visit import Event, Moment, Visit, VoltsUnderLoad
from scrubwright.measures.errors import ScrubwrightError, UnreadablePaper
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.packs import pack_of_text
from scrubwright.paperwork.readings_blank import blank_readings, csv_text, separator_of
from scrubwright.paperwork.wording import Language, Teller
from tests.rooms.readings_example import AGM, HALL, LITHIUM, PACKS, TODAY, TRACTION, one_row, read

PAPERS = (HALL, TRACTION, AGM, LITHIUM)
HALL_TEXT = (PACKS / "market_hall_36v.toml").read_text(encoding="utf-8")
STOPS_SPREADSHEETS = ("=", "+", "-", "@")
PLAIN_NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?")


def rounded(least: float, most: float, decimals: int) -> st.SearchStrategy[float]:
    return st.floats(least, most).map(lambda value: round(value, decimals))


def maybe(strategy: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    return st.none() | strategy


@st.composite
def visits(draw: st.DrawFn, paper: PackPaper) -> Visit:
    pack = paper.pack
    is_flooded, is_lithium = pack.chemistry is Chemistry.FLOODED, pack.chemistry is Chemistry.LITHIUM
    cell_v = (2.6, 3.6) if is_lithium else (1.9, 2.2)
    gravities = draw(st.lists(maybe(rounded(1.06, 1.34, 3)), min_size=pack.cells, max_size=pack.cells))
    has_gravities = is_flooded and any(each is not None for each in gravities)
    has_blocks = 1 < pack.blocks and 1 < pack.cells_per_block and draw(st.booleans())
    load_v = round(draw(rounded(*cell_v, 3)) * pack.cells, 2)
    at = draw(st.datetimes(datetime(2000, 1, 1), datetime(2026, 4, 30))).replace(second=0, microsecond=0)
    finished_at = at - timedelta(minutes=draw(st.integers(0, 1439)))
    event = draw(st.none() | st.sampled_from(Event))
    return Visit(
        at=at,
        # A pack runs out at work.
        moment=Moment.WORKED if event is Event.RAN_OUT else draw(st.sampled_from(Moment)),
        meter_h=draw(maybe(rounded(0, 99_999, 1))),
        rested_h=draw(maybe(rounded(0, 100, 1))),
        gravities_ratio=tuple(gravities) if has_gravities else (),
        electrolyte_k=(draw(rounded(-10, 55, 1)) + 273.15,) if has_gravities else (),
        rested_v=round(draw(rounded(*cell_v, 3)) * pack.cells, 2),
        blocks_v=tuple(round(draw(rounded(1.9, 2.2, 3)) * pack.cells_per_block, 2) for _ in range(pack.blocks))
        if has_blocks
        else (),
        under_load=VoltsUnderLoad(idle_v=load_v + 0.5, idle_a=1.2, load_v=load_v, load_a=draw(rounded(2, 300, 1)))
        if draw(st.booleans())
        else None,
        water_l=draw(maybe(rounded(0, 9, 2))) if is_flooded else None,
        finished_at=finished_at,
        plugged_in_at=finished_at - timedelta(minutes=draw(st.integers(0, 1439))),
        charge_fraction=draw(st.integers(2, 100)) / 100 if is_lithium else None,
        event=event,
    )


def told(value: float | None, decimals: int, mark: str, scale: float = 1.0) -> str:
    return "" if value is None else f"{value * scale:.{decimals}f}".replace(".", mark)


def written(visit: Visit, paper: PackPaper, teller: Teller, note: str, *, has_bare_times: bool) -> str:
    """A visit as a person writes it into the blank of its pack."""
    separator = separator_of(teller)
    blank = blank_readings(paper, teller)
    header = next(csv.reader(io.StringIO(blank), delimiter=separator))
    mark = "," if separator == ";" else "."
    load, clock = visit.under_load, "%H:%M" if has_bare_times else "%Y-%m-%d %H:%M"
    is_us = teller.system is UnitSystem.US
    degrees = [each * 1.8 - 459.67 if is_us else each - 273.15 for each in visit.electrolyte_k]
    density = 0.99705 if paper.scale == "kg/L" else 1.0
    entries: dict[str, str] = {
        "date": visit.at.date().isoformat(),
        "time": f"{visit.at:%H:%M}",
        "moment": teller.called(visit.moment),
        "meter_h": told(visit.meter_h, 1, mark),
        "rested_h": told(visit.rested_h, 1, mark),
        "temperature_f" if is_us else "temperature_c": told(next(iter(degrees), None), 2 if is_us else 1, mark),
        "rested_v": told(visit.rested_v, 2, mark),
        "idle_v": told(None if load is None else load.idle_v, 2, mark),
        "idle_a": told(None if load is None else load.idle_a, 1, mark),
        "load_v": told(None if load is None else load.load_v, 2, mark),
        "load_a": told(None if load is None else load.load_a, 1, mark),
        "water_fl_oz" if is_us else "water_ml": told(visit.water_l, 2 if is_us else 0, mark, 33.814 if is_us else 1000),
        "plugged_in": f"{visit.plugged_in_at:{clock}}",
        "finished": f"{visit.finished_at:{clock}}",
        "charge_percent": told(visit.charge_fraction, 0, mark, 100),
        "event": "" if visit.event is None else teller.called(visit.event),
        "note": note,
    }
    named = {teller.words(name): entry for name, entry in entries.items()}
    for number, gravity in enumerate(visit.gravities_ratio, 1):
        named[teller.words("cell_{number}", number=number)] = told(gravity, 5, mark, density)
    for number, block_v in enumerate(visit.blocks_v, 1):
        named[teller.words("block_{number}_v", number=number)] = told(block_v, 2, mark)
    return blank + csv_text([[named.get(name, "") for name in header]], separator)


notes = st.text(max_size=20).map(lambda text: text.replace("\0", ""))
tellers = st.builds(Teller, language=st.sampled_from(Language), system=st.sampled_from(UnitSystem))


@given(st.data(), st.sampled_from(PAPERS), tellers, notes, st.booleans())
def test_a_visit_written_down_is_the_visit_that_is_read(
    data: st.DataObject, paper: PackPaper, teller: Teller, note: str, has_bare_times: bool
) -> None:
    visit = data.draw(visits(paper))
    (found,) = read(written(visit, paper, teller, note, has_bare_times=has_bare_times), paper).visits
    assert (found.at, found.moment, found.event) == (visit.at, visit.moment, visit.event)
    assert (found.plugged_in_at, found.finished_at) == (visit.plugged_in_at, visit.finished_at)
    assert (found.meter_h, found.rested_h, found.rested_v) == (visit.meter_h, visit.rested_h, visit.rested_v)
    assert (found.blocks_v, found.charge_fraction) == (visit.blocks_v, visit.charge_fraction)
    assert found.electrolyte_k == pytest.approx(visit.electrolyte_k, abs=0.006)
    assert [each is None for each in found.gravities_ratio] == [each is None for each in visit.gravities_ratio]
    assert [each for each in found.gravities_ratio if each] == pytest.approx(
        [each for each in visit.gravities_ratio if each], abs=1e-5
    )
    assert found.water_l == pytest.approx(visit.water_l, abs=0.0002)
    assert (found.under_load is None) == (visit.under_load is None)


@given(st.lists(st.lists(st.text() | st.floats(allow_nan=False, allow_infinity=False), min_size=1), min_size=1))
def test_no_text_that_is_written_begins_a_formula(rows: list[list[str | float]]) -> None:
    text = csv_text(rows, ",")
    back = list(csv.reader(io.StringIO(text, newline="")))
    flat = [
        (given, found) for row, line in zip(rows, back, strict=False) for given, found in zip(row, line, strict=False)
    ]
    texts = [found for given, found in flat if isinstance(given, str) and not PLAIN_NUMBER.fullmatch(found)]
    assert [found for found in texts if found.startswith(STOPS_SPREADSHEETS)] == []


@given(st.floats(1.06, 1.34), st.sampled_from([0.001, 0.01, 0.1, 10, 100, 1000, -1]))
def test_a_gravity_with_its_point_elsewhere_is_never_taken(gravity_ratio: float, slip: float) -> None:
    with pytest.raises(UnreadablePaper, match=r"column cell_5: "):
        read(one_row({"cell_5": f"{gravity_ratio * slip:.6f}"}))


@given(st.floats(-20, 60), st.sampled_from([lambda c: c + 273.15, lambda c: c * 1.8 + 32]))
def test_kelvin_is_never_taken_for_celsius_and_fahrenheit_only_where_both_can_be(
    temperature_degc: float, other: Callable[[float], float]
) -> None:
    given_deg = other(temperature_degc)
    text = one_row({"temperature_c": f"{given_deg:.1f}"})
    if round(given_deg, 1) <= 60:
        read(text)
    else:
        with pytest.raises(UnreadablePaper, match=r"column temperature_c: "):
            read(text)


def nothing_but_a_sentence(read_it: Callable[[], object]) -> None:
    try:
        read_it()
    except ScrubwrightError as error:
        said = [Teller(language=language).tell(error.sentence) for language in Language]
    else:
        said = ["read"]
    assert all(said)


@given(st.binary(max_size=400))
def test_no_content_crashes_the_reader(content: bytes) -> None:
    nothing_but_a_sentence(lambda: read(content))


@given(st.integers(0, 21), st.text(max_size=12))
def test_no_entry_crashes_the_reader(index: int, entry: str) -> None:
    header, line = one_row({}).splitlines()
    cells = line.split(",")
    cells[index] = entry
    nothing_but_a_sentence(lambda: read(f"{header}\n{csv_text([cells], ',')}"))


@given(st.integers(0, len(HALL_TEXT)), st.integers(0, 12), st.text(max_size=8))
def test_no_slip_of_the_pen_crashes_the_reader_of_packs(start: int, length: int, instead: str) -> None:
    text = HALL_TEXT[:start] + instead + HALL_TEXT[start + length :]

    def read_it() -> None:
        reading = pack_of_text(text, "pack.toml")
        told_of = [Teller(language=Language.SPANISH).tell(each) for each in reading.wrong + reading.missing]
        assert (reading.paper is None) == bool(told_of)

    nothing_but_a_sentence(read_it)


@given(st.dates(date(2026, 5, 2), date(2100, 1, 1)))
def test_no_day_to_come_is_taken(day: date) -> None:
    with pytest.raises(UnreadablePaper, match="has not come yet"):
        read(one_row({"date": day.isoformat()}), today=TODAY)
