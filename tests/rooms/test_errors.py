import pickle

import pytest

from scrubwright.measures.errors import BadInput, NoAnswer, OutOfRange, ScrubwrightError, UnreadablePaper
from scrubwright.measures.sentence import Sentence

FAMILY = [BadInput, OutOfRange, NoAnswer, UnreadablePaper]


@pytest.mark.parametrize("kind", FAMILY)
def test_the_whole_family_is_caught_by_one_name(kind: type[ScrubwrightError]) -> None:
    with pytest.raises(ScrubwrightError, match=r"^The tank holds 0 L\.$"):
        raise kind("The tank holds {tank_l}.", tank_l=0.0)


@pytest.mark.parametrize("kind", [BadInput, OutOfRange])
def test_an_impossible_value_is_also_a_value_error(kind: type[ScrubwrightError]) -> None:
    assert issubclass(kind, ValueError)


@pytest.mark.parametrize("kind", [NoAnswer, UnreadablePaper])
def test_what_is_no_mistake_of_the_value_is_no_value_error(kind: type[ScrubwrightError]) -> None:
    assert not issubclass(kind, ValueError)


@pytest.mark.parametrize("kind", FAMILY)
def test_an_error_crosses_to_another_process_whole(kind: type[ScrubwrightError]) -> None:
    error = kind("The tank holds {tank_l}: {reason}.", tank_l=0.0, reason=Sentence("enter {least_l}", least_l=20.0))
    arrived = pickle.loads(pickle.dumps(error))
    assert type(arrived) is kind
    assert arrived.sentence == error.sentence
    assert str(arrived) == "The tank holds 0 L: enter 20 L."
