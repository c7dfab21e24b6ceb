"""What was done to machines, as people write it down row by row; what cannot be read is listed, the rest counts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from scrubwright.catalogue.checks import Occasion
from scrubwright.catalogue.parts import Catalogue
from scrubwright.jobs.due_question import Change, Happened
from scrubwright.machine.plate import Plate
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT
from scrubwright.paperwork.machine_rows import passed_over, rows_of_machines
from scrubwright.paperwork.readings_columns import plain_name
from scrubwright.paperwork.readings_sheet import Sheet, read_sheet
from scrubwright.paperwork.table_rows import TableRow, header_of, table_rows
from scrubwright.paperwork.table_writing import Entry
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, Teller


class ChangeField(StrEnum):
    """What a column of the log of changes holds."""

    DATE = "date"
    TIME = "time"
    MACHINE = "machine"
    ITEM = "item"
    HAPPENED = "happened"
    METER = "meter_h"
    MILLIMETRES = "measured_mm"
    INCHES = "measured_in"
    WHO = "who"
    NOTE = "note"


NEEDED = (ChangeField.DATE, ChangeField.ITEM)
# By what a measurement is multiplied to be in metres.
_METRES = {ChangeField.MILLIMETRES: 1e-3, ChangeField.INCHES: METRES_PER_FOOT / 12}
_PERIODIC = (Occasion.WEEKLY, Occasion.MONTHLY, Occasion.BY_HOURS, Occasion.YEARLY)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry:
    """One row: what was done to which machine, who did it, and what they noted."""

    machine: str
    change: Change
    who: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangesPaper:
    """The changes of a file: what could be read, and what could not, each with its row."""

    entries: tuple[ChangeEntry, ...]
    refused: tuple[Sentence, ...] = ()

    def of(self, machine: str) -> tuple[Change, ...]:
        """The changes of one machine."""
        return tuple(entry.change for entry in self.entries if entry.machine == machine)


def read_changes(path: Path, plates: Sequence[Plate], catalogue: Catalogue) -> ChangesPaper:
    """What was done to some machines.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx), at most 5 MB and 5,000 rows.
    plates
        The machines; rows of others are counted and passed over.
    catalogue
        Whose lines the rows name: by id, or by name in English or Spanish.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or its columns are not those of a log of changes.
    """
    return changes_of_sheet(read_sheet(path), plates, catalogue)


def changes_of_sheet(sheet: Sheet, plates: Sequence[Plate], catalogue: Catalogue) -> ChangesPaper:
    """What was done to some machines, from a table.

    Parameters
    ----------
    sheet
        The table.
    plates, catalogue
        As for `read_changes`.

    Raises
    ------
    UnreadablePaper
        Its columns are not those of a log of changes.
    """
    lines = line_names(catalogue)
    entries: list[ChangeEntry] = []
    refused: list[Sentence] = []
    others: dict[str, int] = {}
    rows = table_rows(sheet, ChangeField, NEEDED)
    for row, plate in rows_of_machines(rows, ChangeField.MACHINE, plates, others):
        change = _change(row, lines)
        if change is not None and not row.wrong:
            who, note = row.text(ChangeField.WHO), row.text(ChangeField.NOTE)
            entries.append(ChangeEntry(machine=plate.name, change=change, who=who, note=note))
        refused += row.wrong
    return ChangesPaper(entries=tuple(entries), refused=(*refused, *passed_over(sheet.file, others, plates)))


def change_rows(entries: Sequence[ChangeEntry], teller: Teller) -> list[list[Entry]]:
    """Changes as rows of a table, the names of the columns first; `read_changes` reads them again.

    Parameters
    ----------
    entries
        In the order in which they are to stand.
    teller
        Whose language names columns and what happened; measurements are in millimetres.
    """
    return [list(header_of(ChangeField, teller)), *(_row(entry, teller) for entry in entries)]


def _row(entry: ChangeEntry, teller: Teller) -> list[Entry]:
    change = entry.change
    return [
        change.at.date(),
        f"{change.at:%H:%M}",
        entry.machine,
        change.line,
        teller.words(change.happened),
        change.meter_h,
        None if change.measured_m is None else round(change.measured_m / _METRES[ChangeField.MILLIMETRES], 3),
        None,
        entry.who or None,
        entry.note or None,
    ]


def _change(row: TableRow, lines: dict[str, str]) -> Change | None:
    at = row.at(ChangeField.DATE, ChangeField.TIME)
    line = line_under(row, ChangeField.ITEM, lines)
    measured = [row.number_under(field) for field in _METRES]
    if all(figure is not None for figure in measured):
        row.wrong.append(Sentence("{place} is measured in millimetres and in inches; keep one.", place=row.place))
    told = zip(measured, _METRES.values(), strict=True)
    measured_m = next((figure.value * ratio for figure, ratio in told if figure is not None), None)
    happened = row.word_under(ChangeField.HAPPENED, Happened)
    meter_h = row.number_under(ChangeField.METER)
    if row.wrong or at is None or line is None:
        return None
    if happened is None:
        # Whoever only writes a number has measured; whoever writes nothing has done it.
        happened = Happened.DONE if measured_m is None else Happened.MEASURED
    return row.made(
        lambda: Change(
            line=line,
            at=at,
            happened=happened,
            meter_h=None if meter_h is None else meter_h.value,
            measured_m=measured_m,
        )
    )


def line_under(row: TableRow, field: StrEnum, names: Mapping[str, str]) -> str | None:
    """The line of the catalogue that a row names; None, with its refusal, where there is no such line.

    Parameters
    ----------
    row, field
        The row, and the column that names the line.
    names
        As `line_names` gives them.
    """
    given = row.text(field)
    line = names.get(plain_name(given))
    if line is None:
        row.wrong.append(
            Sentence(
                '{place}: the catalogue has no line "{given}". Write its id or its name as "scrubwright due" lists it.',
                place=row.place,
                given=quoted(given),
            )
        )
    return line


def line_names(catalogue: Catalogue) -> dict[str, str]:
    """Every way to name a line, to its id; an occasion stands for all its checks."""
    tellers = [Teller(language=language) for language in Language]
    names = {plain_name(teller.words(occasion)): str(occasion) for occasion in _PERIODIC for teller in tellers}
    for item in catalogue.service:
        names |= {plain_name(teller.tell(item.name)): item.identity for teller in tellers}
    identities = [*(item.identity for item in catalogue.service), *(check.identity for check in catalogue.checks)]
    return names | {plain_name(identity): identity for identity in identities}
