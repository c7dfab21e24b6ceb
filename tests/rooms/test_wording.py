"""How sentences, numbers and durations reach an English or a Spanish reader."""

import string

import pytest

from scrubwright.floor.place_names import FloorPart
from scrubwright.floor.site import Use
from scrubwright.jobs.route_answer import LaneKind, LegKind, Pattern
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.wording import Language, Teller, merged_words, words_of

ENGLISH = Teller(language=Language.ENGLISH, system=UnitSystem.SI)
SPANISH = Teller(language=Language.SPANISH, system=UnitSystem.SI)
AMERICAN = Teller(language=Language.ENGLISH, system=UnitSystem.US)
GAP = Sentence("The way in is {gap_m} wide; the machine needs {need_m}.", gap_m=0.88, need_m=1.0)


def test_a_sentence_is_told_in_metres_or_in_feet() -> None:
    assert ENGLISH.tell(GAP) == "The way in is 0.88 m wide; the machine needs 1.00 m."
    assert AMERICAN.tell(GAP) == "The way in is 2.9 ft wide; the machine needs 3.3 ft."


def test_a_sentence_without_a_translation_falls_back_to_english() -> None:
    assert SPANISH.tell(Sentence("Nobody translated this: {gap_m}.", gap_m=0.5)) == "Nobody translated this: 0,50 m."


@pytest.mark.parametrize(
    ("value", "decimals", "english", "spanish"),
    [
        (1234.5, 1, "1,234.5", "1234,5"),
        (12345.6, 1, "12,345.6", "12\u00a0345,6"),
        (1234567.0, 0, "1,234,567", "1\u00a0234\u00a0567"),
        (-0.25, 2, "-0.25", "-0,25"),
    ],
)
def test_spanish_writes_a_decimal_comma_and_groups_from_five_digits_on(
    value: float, decimals: int, english: str, spanish: str
) -> None:
    assert ENGLISH.plain(value, decimals) == english
    assert SPANISH.plain(value, decimals) == spanish


@pytest.mark.parametrize(
    ("name", "value", "shown"),
    [
        ("strip_m2", 0.42, "0.4 m²"),
        ("opening_m2", 0.128, "0.13 m²"),
        ("opening_m2", 0.0128, "128 cm²"),
        ("work_h", 3.0, "3 h"),
        ("left_h", 3.314, "3.3 h"),
        ("left_h", 2.997, "3 h"),
        ("rest_h", 0.25, "15 min"),
        ("rest_h", 0.0, "0 h"),
        ("lasts_cycles", 29.0, "29 cycles"),
        ("lasts_cycles", 1.0, "1 cycle"),
        ("left_shifts", 1.0, "1 shift"),
        ("age_days", 1.0, "1 day"),
        ("hall_m2", 9123.4, "9,123 m²"),
        ("aisle_m", 3.2, "3.20 m"),
        ("overlap_m", 0.04, "40 mm"),
        ("overlap_m", 0.1, "0.10 m"),
        ("overlap_m", 0.0, "0.00 m"),
        ("way_m", 11843.25, "11,843 m"),
        ("covered_fraction", 0.9934, "99.3 %"),
        ("slope_rad", 0.0872664626, "5°"),
        ("night_s", 14040.0, "3 h 54 min"),
        ("turn_s", 6.0, "6 s"),
        ("bound_ratio", 1.12, "1.120"),
    ],
)
def test_a_number_shows_as_many_digits_as_a_person_needs(name: str, value: float, shown: str) -> None:
    assert ENGLISH.number(name, value) == shown


def test_lengths_below_a_foot_are_inches() -> None:
    assert AMERICAN.number("overlap_m", 0.0508) == "2.0 in"
    assert AMERICAN.number("overlap_m", 0.3048) == "1.0 ft"
    assert AMERICAN.number("mark_m", 0.003) == "0.12 in"


def test_speeds_and_flows_have_spanish_labels_where_spanish_differs() -> None:
    teller = Teller(language=Language.SPANISH, system=UnitSystem.US)
    assert teller.number("speed_m_per_s", 1.25) == "2,8 mi/h"
    assert teller.number("flow_l_per_min", 3.785411784) == "1,00 gal/min"


@pytest.mark.parametrize(
    ("seconds_s", "said"),
    [
        (0.0, "0 s"),
        (45.0, "45 s"),
        (59.6, "1 min"),
        (570.0, "9 min 30 s"),
        (600.0, "10 min"),
        (3240.0, "54 min"),
        (3599.0, "1 h"),
        (14040.0, "3 h 54 min"),
    ],
)
def test_a_duration_is_short_and_drops_seconds_from_ten_minutes_on(seconds_s: float, said: str) -> None:
    assert ENGLISH.duration(seconds_s) == said


def test_the_clock_counts_hours_and_minutes_from_the_start() -> None:
    assert ENGLISH.clock(14040.0) == "3:54"
    assert ENGLISH.clock(59.0) == "0:01"


@pytest.mark.parametrize("kind", [*LegKind, *LaneKind, *Pattern, *Origin, *Use])
def test_every_name_that_a_reader_sees_has_its_spanish(kind: LegKind | LaneKind | Pattern | Origin | Use) -> None:
    assert str(kind) in words_of(Language.SPANISH)
    assert SPANISH.tell(Sentence("{kind}", kind=kind)) == words_of(Language.SPANISH)[str(kind)]


def test_an_inner_sentence_and_a_list_of_sentences_are_told_too() -> None:
    each = (Sentence("drain"), Sentence("tap"))
    assert SPANISH.tell(Sentence("{what}", what=each)) == "desagüe, toma de agua"


def test_two_papers_may_not_translate_one_sentence_in_two_ways() -> None:
    with pytest.raises(UnreadablePaper, match=r"a\.toml and b\.toml"):
        merged_words({"a.toml": {"drain": "desagüe"}, "b.toml": {"drain": "sumidero"}})


def test_two_papers_may_agree_on_one_sentence() -> None:
    assert merged_words({"a.toml": {"drain": "desagüe"}, "b.toml": {"drain": "desagüe"}}) == {"drain": "desagüe"}


def test_a_translation_keeps_the_values_of_its_sentence() -> None:
    with pytest.raises(UnreadablePaper, match="other names in braces"):
        merged_words({"a.toml": {"The gap is {gap_m}.": "El paso mide {paso_m}."}})


def test_the_words_files_that_are_shipped_load() -> None:
    for template, translation in words_of(Language.SPANISH).items():
        assert {field for _, field, _, _ in string.Formatter().parse(template) if field} == {
            field for _, field, _, _ in string.Formatter().parse(translation) if field
        }


def test_a_part_of_the_floor_is_called_in_the_readers_words_and_a_given_name_as_it_was_given() -> None:
    assert ENGLISH.called(FloorPart.TOP_LEFT) == "the top left of the floor"
    assert SPANISH.called(FloorPart.TOP_LEFT) == "la parte superior izquierda de la planta"
    assert SPANISH.called("Store room") == "Store room"
    assert {part for part in FloorPart if SPANISH.called(part) == str(part)} == set()
