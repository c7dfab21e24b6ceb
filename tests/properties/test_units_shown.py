import pickle

from hypothesis import given
from hypothesis import strategies as st

from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import UNITS, Unit, UnitSystem, shown, unit_of

units = st.sampled_from(UNITS)
systems = st.sampled_from(UnitSystem)
words = st.text("abhlms_", min_size=1)


@given(units, words)
def test_a_name_that_ends_in_a_suffix_has_a_unit_at_least_as_long(unit: Unit, word: str) -> None:
    found = unit_of(f"{word}_{unit.suffix}")
    assert found is not None
    assert found.suffix.endswith(unit.suffix)


@given(units, systems, st.floats(min_value=-1e6, max_value=1e6))
def test_a_shown_number_reads_back_within_half_its_last_digit(unit: Unit, system: UnitSystem, value: float) -> None:
    how = unit.si if system is UnitSystem.SI else unit.us
    text = shown(unit.suffix, value, system).removesuffix(how.label).strip().replace(",", "")
    assert abs(float(text) - how.number(value)) <= 0.5000001 * 10**-how.decimals + 1e-9 * abs(how.number(value))


@given(units, systems, st.floats(0, 1e6), st.floats(0, 1e6))
def test_a_larger_quantity_is_never_shown_as_smaller(unit: Unit, system: UnitSystem, one: float, two: float) -> None:
    how = unit.si if system is UnitSystem.SI else unit.us
    texts = (shown(unit.suffix, value, system).removesuffix(how.label) for value in sorted((one, two)))
    smaller, larger = (float(text.replace(",", "")) for text in texts)
    assert smaller <= larger


@given(st.text(), st.floats(allow_nan=False), st.integers())
def test_whatever_text_is_put_in_comes_out_of_another_process(name: str, gap_m: float, count: int) -> None:
    sentence = Sentence("{count} x {gap_m} at {name}.", name=name, gap_m=gap_m, count=count)
    assert str(pickle.loads(pickle.dumps(sentence))) == str(sentence)
    assert name in str(sentence)
