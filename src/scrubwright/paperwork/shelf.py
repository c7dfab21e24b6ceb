"""The shelf of parts: what is there, what is on its way, and how each part is sold, one row for each."""

from enum import StrEnum
from functools import partial
from pathlib import Path

from scrubwright.catalogue.parts import Catalogue
from scrubwright.jobs.what_to_carry import Shelf
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.changes_log import line_names, line_under
from scrubwright.paperwork.readings import problems_listed
from scrubwright.paperwork.readings_sheet import read_sheet
from scrubwright.paperwork.table_rows import TableRow, table_rows


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
        line = line_under(row, ShelfField.ITEM, names)
        if line in found:
            row.wrong.append(Sentence("{place} names a part that stands there already; keep one.", place=row.place))
        elif line is not None:
            shelf = row.made(partial(_shelf, row))
            if shelf is not None:
                found[line] = shelf
        wrong += row.wrong
    if wrong:
        raise UnreadablePaper(
            "{file} cannot be used yet. Things to mend: {count}.\n{problems}",
            file=path.name,
            count=len(wrong),
            problems=problems_listed(wrong),
        )
    return found


def _shelf(row: TableRow) -> Shelf:
    on_shelf, on_order, pack, least = (
        row.count_under(field)
        for field in (ShelfField.ON_SHELF, ShelfField.ON_ORDER, ShelfField.PACK, ShelfField.LEAST)
    )
    return Shelf(
        on_shelf=on_shelf or 0, on_order=on_order or 0, pack_pieces=1 if pack is None else pack, least_pieces=least or 0
    )
