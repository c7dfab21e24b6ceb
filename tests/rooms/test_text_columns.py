"""Plain text in lines and columns."""

from scrubwright.paperwork.text_columns import Column, row, wrapped


def test_a_number_is_never_parted_from_its_unit() -> None:
    assert wrapped("the aisle is 3.20 m wide", 18) == "the aisle is\n3.20 m wide"
    assert wrapped("it takes 3 h 54 min so", 14) == "it takes\n3 h 54 min so"


def test_every_line_begins_with_the_indent() -> None:
    assert wrapped("one two", 5, indent="> ") == "> one\n> two"


def test_cells_wrap_within_their_columns() -> None:
    columns = (Column(width=5, right=True), Column(width=6))
    assert row(("12 m", "one two"), columns) == "   12 m  one\n         two"
