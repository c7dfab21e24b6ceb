"""A file of readings becomes visits in the order of their time: all of it, or a refusal that tells every problem."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from pathlib import Path

from scrubwright.battery.visit import Visit
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_records import PackPaper
from scrubwright.paperwork.readings_columns import Column, Field, columns_of
from scrubwright.paperwork.readings_sheet import Sheet, read_sheet
from scrubwright.paperwork.readings_table import VisitRow, visits_in

MOST_TOLD = 12
# Electrolyte is seldom read colder or hotter; where it was, the thermometer may show the other degrees.
_SELDOM_COLDER_K = 278.15
_SELDOM_HOTTER_K = 318.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """The visits of a file.

    Parameters
    ----------
    visits
        In the order of their time.
    warnings
        What was kept although somebody should look at it.
    """

    visits: tuple[Visit, ...]
    warnings: tuple[Sentence, ...] = ()


def read_readings(path: Path, paper: PackPaper, *, today: date) -> Readings:
    """The visits in a file of readings.

    Parameters
    ----------
    path
        A CSV file or an Excel workbook (.xlsx), at most 5 MB and 5,000 rows.
    paper
        The pack that they are of.
    today
        The last day that a visit can have.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or something in it is wrong; tells up to twelve problems at once.
    """
    return readings_of_sheet(read_sheet(path), paper, today=today)


def readings_of_sheet(sheet: Sheet, paper: PackPaper, *, today: date) -> Readings:
    """The visits in a table of readings.

    Parameters
    ----------
    sheet
        The table.
    paper
        The pack that they are of.
    today
        The last day that a visit can have.

    Raises
    ------
    UnreadablePaper
        Something in it is wrong; tells up to twelve problems at once.
    """
    columns, wrong = columns_of(sheet, paper.pack)
    if not wrong:
        found, wrong = visits_in(sheet, columns, paper, today)
        wrong += _same_times(sheet, found)
    if wrong:
        raise UnreadablePaper(
            "{file} cannot be used yet. Things to mend: {count}.\n{problems}",
            file=sheet.file,
            count=len(wrong),
            problems=problems_listed(wrong),
        )
    if not found:
        raise UnreadablePaper(
            "{file} names its columns but holds no reading. Write one row for each visit below them.", file=sheet.file
        )
    in_order = sorted(found, key=lambda each: each.visit.at)
    warnings = (
        *_out_of_order(sheet, found),
        *_without_time(sheet, found),
        *_meter_backwards(sheet, in_order),
        *_doubtful_degrees(sheet, columns, in_order),
    )
    return Readings(visits=tuple(each.visit for each in in_order), warnings=warnings)


def problems_listed(problems: Sequence[Sentence]) -> Sentence:
    """The first dozen problems below one another; one that many cells share is told of the first of them."""
    alike: dict[tuple[str, str], list[Sentence]] = {}
    for problem in problems:
        alike.setdefault(_kind(problem), []).append(problem)
    told = [_first(group) for group in alike.values()]
    if len(told) > MOST_TOLD:
        told[MOST_TOLD:] = [Sentence("and {count} more", count=len(told) - MOST_TOLD)]
    listed = Sentence("  - {problem}", problem=told[-1])
    for problem in reversed(told[:-1]):
        listed = Sentence("  - {problem}\n{more}", problem=problem, more=listed)
    return listed


def _first(group: Sequence[Sentence]) -> Sentence:
    if len(group) == 1:
        return group[0]
    return Sentence("{problem} Places like this: {count}.", problem=group[0], count=len(group))


def _kind(problem: Sentence) -> tuple[str, str]:
    """What two problems that differ only in place and numbers have in common."""
    why = dict(problem.values).get("why")
    return problem.template, why.template if isinstance(why, Sentence) else ""


def _same_times(sheet: Sheet, found: Sequence[VisitRow]) -> Iterator[Sentence]:
    seen: dict[object, int] = {}
    for each in found:
        if each.has_time:
            first = seen.setdefault(each.visit.at, each.number)
            if first != each.number:
                yield Sentence(
                    "{file}: rows {first} and {second} have one day and time; delete one, or correct it.",
                    file=sheet.file,
                    first=first,
                    second=each.number,
                )


def _out_of_order(sheet: Sheet, found: Sequence[VisitRow]) -> Iterator[Sentence]:
    early = next((later.number for one, later in pairwise(found) if later.visit.at < one.visit.at), None)
    if early is not None:
        yield Sentence(
            "{file}: the rows are not in the order of their days, first at row {row}; they were put in order. Look at "
            "the days if that surprises you.",
            file=sheet.file,
            row=early,
        )


def _without_time(sheet: Sheet, found: Sequence[VisitRow]) -> Iterator[Sentence]:
    count = sum(not each.has_time for each in found)
    if count:
        yield Sentence("{file}: visits without a time: {count}; noon is taken.", file=sheet.file, count=count)


def _meter_backwards(sheet: Sheet, in_order: Sequence[VisitRow]) -> Iterator[Sentence]:
    metered = [(each, each.visit.meter_h) for each in in_order if each.visit.meter_h is not None]
    for (_, before_h), (later, later_h) in pairwise(metered):
        if later_h < before_h:
            yield Sentence(
                "{file}, row {row}: the meter shows {meter_h}, and {before_h} at the visit before. Kept as it is: "
                "right after a change of meter, else look at it again.",
                file=sheet.file,
                row=later.number,
                meter_h=later_h,
                before_h=before_h,
            )


def _doubtful_degrees(sheet: Sheet, columns: Sequence[Column], in_order: Sequence[VisitRow]) -> Iterator[Sentence]:
    """The first very cold or very hot visit: possible, but the degrees may be of the other kind."""
    is_fahrenheit = bool({column.field for column in columns} & {Field.FAHRENHEIT, Field.CELL_FAHRENHEIT})
    for each in in_order:
        for electrolyte_k in each.visit.electrolyte_k:
            if is_fahrenheit and electrolyte_k < _SELDOM_COLDER_K:
                yield Sentence(
                    "{file}, row {row}: electrolyte at {electrolyte_k}? If the thermometer shows degrees Celsius, call "
                    "the column temperature_c.",
                    file=sheet.file,
                    row=each.number,
                    electrolyte_k=electrolyte_k,
                )
                return
            if not is_fahrenheit and electrolyte_k > _SELDOM_HOTTER_K:
                yield Sentence(
                    "{file}, row {row}: electrolyte at {electrolyte_k}? If the thermometer shows degrees Fahrenheit, "
                    "call the column temperature_f.",
                    file=sheet.file,
                    row=each.number,
                    electrolyte_k=electrolyte_k,
                )
                return
