"""The shelf of parts: what is there, what is on its way, and how each part is sold, one row for each."""

from enum import StrEnum
from pathlib import Path

from scrubwright.catalogue.parts import Catalogue
from scrubwright.jobs.what_to_carry import Shelf
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.changes_log import line_names
from scrubwright.paperwork.readings import problems_listed
from scrubwright.paperwork.readings_columns import plain_name
from scrubwright.paperwork.readings_sheet import read_sheet
from scrubwright.paperwork.table_rows import TableRow, table_rows
from scrubwright.paperwork.toml_tables import quoted


class ShelfField(StrEnum):
    """What a column of the shelf's table holds."""

    ITEM = "item"
    ON_SHELF = "on_shelf"
    ON_ORDER = "on_order"
    PACK = "pack_pieces"
    LEAST = "least_order"
    NOTE = "note"


NEEDED = (ShelfField.ITEM,)


def read_shelf(path: Path, catalogue: Catalogue) -> dict[str, Shelf]:
    """What is there of each part, by the identity of its line.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx).
    catalogue
        Whose lines the rows name.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or something in it is no entry; tells up to twelve problems at once.
    """
    names = line_names(catalogue)
    found: dict[str, Shelf] = {}
    wrong: list[Sentence] = []
    for row in table_rows(read_sheet(path), ShelfField, NEEDED):
        given = row.text(ShelfField.ITEM)
        line = names.get(plain_name(given))
        if line is None:
            row.wrong.append(
                Sentence(
                    '{place}: the catalogue has no line "{given}". Write its id or its name as "scrubwright due" lists '
                    "it.",
                    place=row.place,
                    given=quoted(given),
                )
            )
        elif line in found:
            row.wrong.append(Sentence("{place} names a part that stands there already; keep one.", place=row.place))
        else:
            _put(row, line, found)
        wrong += row.wrong
    if wrong:
        raise UnreadablePaper(
            "{file} cannot be used yet. Things to mend: {count}.\n{problems}",
            file=path.name,
            count=len(wrong),
            problems=problems_listed(wrong),
        )
    return found


def _put(row: TableRow, line: str, found: dict[str, Shelf]) -> None:
    try:
        found[line] = Shelf(
            on_shelf=_count(row, ShelfField.ON_SHELF, 0),
            on_order=_count(row, ShelfField.ON_ORDER, 0),
            pack_pieces=_count(row, ShelfField.PACK, 1),
            least_pieces=_count(row, ShelfField.LEAST, 0),
        )
    except BadInput as problem:
        row.wrong.append(Sentence("{what}: {why}", what=row.place, why=problem.sentence))


def _count(row: TableRow, field: ShelfField, usual: int) -> int:
    figure = row.number_under(field)
    if figure is None:
        return usual
    if figure.value != round(figure.value):
        row.wrong.append(
            Sentence(
                "{where}: {given} is no count. Write 0, 1, 2 and so on.", where=row.place, given=f"{figure.value:g}"
            )
        )
    return round(figure.value)
