"""Hour meters as people write them down, row by row; what cannot be read is listed with its row, the rest counts."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from scrubwright.jobs.due_question import MachineMeter
from scrubwright.machine.plate import Plate
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.machine_rows import passed_over, rows_of_machines
from scrubwright.paperwork.readings_columns import plain_name
from scrubwright.paperwork.readings_sheet import Sheet, read_sheet
from scrubwright.paperwork.table_rows import TableRow, header_of, table_rows
from scrubwright.paperwork.table_writing import Entry
from scrubwright.paperwork.toml_tables import quoted
from scrubwright.paperwork.wording import Language, Teller
from scrubwright.wear.meters import Counts, MeterDefinition, MeterReading, Ruling


class MeterField(StrEnum):
    """What a column of meter readings holds."""

    DATE = "date"
    TIME = "time"
    MACHINE = "machine"
    METER = "meter"
    HOURS = "hours"
    MEANT = "meant_hours"
    RULING = "ruling"
    WHO = "who"
    NOTE = "note"


NEEDED = (MeterField.DATE, MeterField.METER, MeterField.HOURS)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterEntry:
    """One row: which meter of which machine, what was read, who read it, and what they noted."""

    machine: str
    counts: Counts
    reading: MeterReading
    who: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterPaper:
    """The readings of a file.

    Parameters
    ----------
    entries
        What could be read, in the order of the file.
    refused
        What could not, each with its row and what to write instead.
    """

    entries: tuple[MeterEntry, ...]
    refused: tuple[Sentence, ...] = ()


def read_meters(path: Path, plates: Sequence[Plate]) -> MeterPaper:
    """The meter readings of some machines.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx), at most 5 MB and 5,000 rows.
    plates
        The machines; rows of others are counted and passed over.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or its columns are not those of meter readings.
    """
    return meters_of_sheet(read_sheet(path), plates)


def meters_of_sheet(sheet: Sheet, plates: Sequence[Plate]) -> MeterPaper:
    """The meter readings in a table.

    Parameters
    ----------
    sheet
        The table.
    plates
        The machines.

    Raises
    ------
    UnreadablePaper
        Its columns are not those of meter readings.
    """
    entries: list[MeterEntry] = []
    refused: list[Sentence] = []
    others: dict[str, int] = {}
    rows = table_rows(sheet, MeterField, NEEDED)
    for row, plate in rows_of_machines(rows, MeterField.MACHINE, plates, others):
        entry = _entry(row, plate)
        if entry is not None and not row.wrong:
            entries.append(entry)
        refused += row.wrong
    return MeterPaper(entries=tuple(entries), refused=(*refused, *passed_over(sheet.file, others, plates)))


def machine_meters(plate: Plate, entries: Iterable[MeterEntry]) -> tuple[MachineMeter, ...]:
    """The meters of a machine with their readings; digits as the plate has them, else five.

    Parameters
    ----------
    plate
        The machine.
    entries
        Readings, also of other machines.
    """
    digits = {Counts(meter.counts.value): meter.digits for meter in plate.meters}
    read: dict[Counts, list[MeterReading]] = {counts: [] for counts in digits}
    for entry in entries:
        if entry.machine == plate.name:
            read.setdefault(entry.counts, []).append(entry.reading)
    return tuple(
        MachineMeter(meter=MeterDefinition(counts=counts, digits=digits.get(counts, 5)), readings=tuple(readings))
        for counts, readings in read.items()
    )


def meter_rows(entries: Sequence[MeterEntry], teller: Teller) -> list[list[Entry]]:
    """Readings as rows of a table, the names of the columns first; `read_meters` reads them again.

    Parameters
    ----------
    entries
        In the order in which they are to stand.
    teller
        Whose language names columns, meters and rulings.
    """
    return [list(header_of(MeterField, teller)), *(_row(entry, teller) for entry in entries)]


def _row(entry: MeterEntry, teller: Teller) -> list[Entry]:
    reading = entry.reading
    return [
        reading.at.date(),
        f"{reading.at:%H:%M}",
        entry.machine,
        teller.words(entry.counts),
        reading.value_h,
        reading.meant_h,
        None if reading.ruling is None else teller.words(reading.ruling),
        entry.who or None,
        entry.note or None,
    ]


def _entry(row: TableRow, plate: Plate) -> MeterEntry | None:
    at = row.at(MeterField.DATE, MeterField.TIME)
    counts = _counts(row, plate)
    hours, meant = row.number_under(MeterField.HOURS), row.number_under(MeterField.MEANT)
    ruling = row.word_under(MeterField.RULING, Ruling)
    if hours is None and not row.wrong:
        row.wrong.append(Sentence("{place} has no hours; write what the meter shows, or delete it.", place=row.place))
    if row.wrong or at is None or counts is None or hours is None:
        return None
    reading = row.made(
        lambda: MeterReading(at=at, value_h=hours.value, meant_h=None if meant is None else meant.value, ruling=ruling)
    )
    if reading is None:
        return None
    who, note = row.text(MeterField.WHO), row.text(MeterField.NOTE)
    return MeterEntry(machine=plate.name, counts=counts, reading=reading, who=who, note=note)


def _counts(row: TableRow, plate: Plate) -> Counts | None:
    """What the meter of a row counts: named as the display names it, or by what it counts."""
    names = {plain_name(meter.name): Counts(meter.counts.value) for meter in plate.meters}
    tellers = [Teller(language=language) for language in Language]
    names |= {plain_name(teller.words(counts)): counts for counts in Counts for teller in tellers}
    given = row.text(MeterField.METER)
    found = names.get(plain_name(given))
    if found is None:
        row.wrong.append(
            Sentence(
                '{place}: there is no meter "{given}" on {machine}; write one of: {known}.',
                place=row.place,
                given=quoted(given),
                machine=plate.name,
                known=", ".join([*Counts, *(meter.name for meter in plate.meters if meter.name not in set(Counts))]),
            )
        )
    return found
