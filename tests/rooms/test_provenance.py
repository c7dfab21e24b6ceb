import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin, Sourced
from scrubwright.measures.sentence import Sentence


def test_a_number_keeps_where_it_comes_from() -> None:
    width = Sourced(name="deck_width_m", value=0.8, origin=Origin.PLATE, detail=Sentence("as printed on the plate"))
    assert (width.name, width.value, width.origin) == ("deck_width_m", 0.8, "plate")


def test_a_number_whose_name_tells_no_unit_is_refused() -> None:
    with pytest.raises(BadInput, match="deck_width names no unit"):
        Sourced(name="deck_width", value=0.8, origin=Origin.PLATE, detail=Sentence("as printed on the plate"))
