"""Tables with a row for each thing that was read or done on some machine: which machine a row is of."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum

from scrubwright.machine.plate import Plate
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.readings_columns import plain_name
from scrubwright.paperwork.table_rows import TableRow
from scrubwright.paperwork.toml_tables import quoted


def rows_of_machines(
    rows: Iterable[TableRow], field: StrEnum, plates: Sequence[Plate], others: dict[str, int]
) -> Iterator[tuple[TableRow, Plate]]:
    """The rows of the machines asked about, each with its machine.

    Parameters
    ----------
    rows, field
        The rows of a table, and the column that names the machine; it may be left out where one is asked about.
    plates
        The machines.
    others
        Grows by how many rows there are of each other machine.
    """
    known = {plain_name(plate.name): plate for plate in plates}
    for row in rows:
        name = row.text(field)
        plate = plates[0] if not name and len(known) == 1 else known.get(plain_name(name))
        if plate is None:
            others[name] = others.get(name, 0) + 1
        else:
            yield row, plate


def passed_over(file: str, others: Mapping[str, int], plates: Iterable[Plate]) -> tuple[Sentence, ...]:
    """What is said of rows that belong to none of the machines asked about."""
    names = ", ".join(plate.name for plate in plates)
    return tuple(
        Sentence(
            '{file}: rows of "{name}" are passed over: {count}. Asked about: {names}. Is the name as in its plate?',
            file=file,
            name=quoted(name),
            count=count,
            names=names,
        )
        for name, count in others.items()
    )
