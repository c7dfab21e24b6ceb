import pickle

import pytest

from scrubwright.measures.sentence import Sentence


def test_a_float_is_shown_with_the_unit_of_its_name() -> None:
    sentence = Sentence("The way in is {gap_m} wide; the machine needs {need_m}.", gap_m=0.88, need_m=1.0)
    assert str(sentence) == "The way in is 0.88 m wide; the machine needs 1.00 m."


def test_text_and_whole_numbers_are_shown_as_they_are() -> None:
    assert str(Sentence("{count} lanes in {area}.", count=12, area="Hall")) == "12 lanes in Hall."


def test_a_sentence_may_stand_in_a_sentence() -> None:
    reason = Sentence("the gap is {gap_m}", gap_m=0.5)
    assert str(Sentence("Left out: {reason}.", reason=reason)) == "Left out: the gap is 0.50 m."


def test_several_sentences_are_set_off_by_commas() -> None:
    places = (Sentence("{area_m2} behind the bakery", area_m2=4.0), Sentence("the ramp"))
    assert str(Sentence("Missed: {places}.", places=places)) == "Missed: 4 m² behind the bakery, the ramp."


def test_each_reader_gets_their_own_words_and_numbers() -> None:
    spanish = {"Left out: {reason}.": "Queda fuera: {reason}.", "{gap_m} is too narrow": "{gap_m} es muy angosto"}
    sentence = Sentence("Left out: {reason}.", reason=Sentence("{gap_m} is too narrow", gap_m=0.5))
    said = sentence.told(lambda template: spanish[template], lambda _, value: f"{value} m".replace(".", ","))
    assert said == "Queda fuera: 0,5 m es muy angosto."


def test_values_are_not_read_as_templates() -> None:
    assert str(Sentence("No file {name}.", name="{gap_m}")) == "No file {gap_m}."


def test_a_sentence_crosses_to_another_process_whole() -> None:
    sentence = Sentence("Missed: {places}.", places=(Sentence("{area_m2} left", area_m2=4.0),))
    assert pickle.loads(pickle.dumps(sentence)) == sentence


def test_a_value_that_nobody_gave_is_a_mistake_of_ours() -> None:
    with pytest.raises(KeyError, match="gap_m"):
        str(Sentence("The way in is {gap_m} wide."))
