"""From the tables of a catalogue file to the records of the catalogue."""

import string
from collections.abc import Mapping

from scrubwright.catalogue.checks import Against, Check, Grounds, Measured, Result, Seen
from scrubwright.catalogue.parts import (
    Hazardous,
    Lesson,
    LessonStep,
    Part,
    PartFault,
    ServiceItem,
    WearLimit,
)
from scrubwright.catalogue.terms import Condition, both, condition
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.catalogue_file import (
    CautionTable,
    CheckTable,
    FaultTable,
    LessonTable,
    MeasureTable,
    PartFile,
    ServiceItemTable,
    SourcedTable,
    TellingTable,
    WearTable,
)

# What a shop's files changed: id of a line -> "file: key", in their order.
Changed = Mapping[str, tuple[str, ...]]


def part_of(file: PartFile, changed: Changed) -> Part:
    """The part that a file describes.

    Parameters
    ----------
    file
        Its tables.
    changed
        What a shop's files changed, by id.

    Raises
    ------
    BadInput
        A text names a number that its check does not have, or other numbers in its translation, or
        a condition cannot be read.
    """
    fits = _condition(file.id, file.applies_when)
    return Part(
        identity=file.id,
        name=_told(file.id, file.name),
        does=_told(file.id, file.does),
        station=file.station,
        applies_when=fits,
        cautions=tuple(_caution(each, file, changed) for each in file.caution),
        checks=tuple(_check(each, file, fits, changed) for each in file.check),
        service=tuple(_service(each, file, fits, changed) for each in file.service),
        faults=tuple(_fault(each, file, changed) for each in file.fault),
        lessons=tuple(_lesson(each, file, fits) for each in file.lesson),
    )


def _caution(table: CautionTable, file: PartFile, changed: Changed) -> Hazardous:
    return Hazardous(
        identity=table.id,
        hazard=table.hazard,
        text=_told(table.id, table.text),
        grounds=_grounds(table.id, table, file, changed),
    )


def _check(table: CheckTable, file: PartFile, fits: Condition, changed: Changed) -> Check:
    limits = _limits(table.measure)
    can_stop = table.if_not is Result.STOP or table.stop_when is not None
    if table.release is not None and not can_stop:
        raise BadInput(
            'Check "{check}" never stops a machine, so nobody releases it; take release out.', check=table.id
        )
    return Check(
        identity=table.id,
        part=file.id,
        when=table.when,
        applies_when=both(fits, _condition(table.id, table.applies_when)),
        station=table.station or file.station,
        state=table.state,
        look=_told(table.id, table.look, limits),
        good=_told(table.id, table.good, limits),
        why=_told(table.id, table.why, limits),
        do=_told(table.id, table.do, limits),
        if_not=table.if_not,
        stop_when=_condition(table.id, table.stop_when) if table.stop_when is not None else None,
        release=table.release,
        skill=table.skill,
        takes_min=table.minutes,
        protection=table.ppe,
        cautions=table.cautions,
        seen=tuple(Seen(saw=_told(table.id, each.saw, limits), result=each.result) for each in table.seen),
        measured=_measured(table.id, table.measure),
        grounds=_grounds(table.id, table, file, changed),
        every_h=table.every_h,
        meter=table.meter,
        every_years=table.every_years,
        idle_days=table.idle_days,
    )


def _service(table: ServiceItemTable, file: PartFile, fits: Condition, changed: Changed) -> ServiceItem:
    return ServiceItem(
        identity=table.id,
        part=file.id,
        name=_told(table.id, table.name),
        action=table.action,
        applies_when=both(fits, _condition(table.id, table.applies_when)),
        count=table.count,
        measured=_told(table.id, table.measured, _wear(table)),
        meter=table.meter,
        life_h=table.life_h,
        life_days=table.life_days,
        limit=_limit(table.limit),
        new=_limit(table.new),
        takes_min=table.minutes,
        cost_ratio=table.cost_ratio,
        skill=table.skill,
        grounds=_grounds(table.id, table, file, changed),
    )


def _fault(table: FaultTable, file: PartFile, changed: Changed) -> PartFault:
    return PartFault(
        identity=table.id,
        part=file.id,
        cause=_told(table.id, table.cause),
        shows=_told(table.id, table.shows),
        result=table.result,
        by_operator=table.by_operator,
        grounds=_grounds(table.id, table, file, changed),
    )


def _lesson(table: LessonTable, file: PartFile, fits: Condition) -> Lesson:
    steps = tuple(
        LessonStep(step=_told(table.id, each.step), key=_told(table.id, each.key), reason=_told(table.id, each.reason))
        for each in table.step
    )
    return Lesson(
        identity=table.id,
        part=file.id,
        title=_told(table.id, table.title),
        takes_min=table.minutes,
        steps=steps,
        applies_when=both(fits, _condition(table.id, table.applies_when)),
    )


def _condition(identity: str, text: str) -> Condition:
    try:
        return condition(text)
    except BadInput as error:
        raise BadInput("{id}: {problem}", id=identity, problem=error.sentence) from error


def _measured(identity: str, table: MeasureTable | None) -> Measured | None:
    if table is None:
        return None
    return Measured(
        what=_told(identity, table.what),
        name="value_" + table.unit,
        against=table.against,
        low=table.at_least,
        high=table.at_most,
    )


def _limits(table: MeasureTable | None) -> dict[str, float]:
    """The numbers that a check's texts may name."""
    if table is None:
        return {}
    unit = "ratio" if table.against is Against.BASELINE else table.unit
    ends = {"at_least_" + unit: table.at_least, "at_most_" + unit: table.at_most}
    return {name: end for name, end in ends.items() if end is not None}


def _wear(table: ServiceItemTable) -> dict[str, float]:
    return {each.name: each.value for each in (table.limit, table.new) if each is not None}


def _limit(table: WearTable | None) -> WearLimit | None:
    return None if table is None else WearLimit(name=table.name, value=table.value)


def _grounds(identity: str, table: SourcedTable, file: PartFile, changed: Changed) -> Grounds:
    origin = table.source or file.source or Origin.COMMON_PRACTICE
    detail = table.source_detail if table.source else table.source_detail or file.source_detail
    if origin is Origin.PUBLISHED and not detail:
        raise BadInput(
            '"{id}" is said to be published, but not where; enter source_detail: who, title or number, year, section.',
            id=identity,
        )
    return Grounds(origin=origin, detail=detail, changed=changed.get(identity, ()))


def _told(identity: str, table: TellingTable, values: Mapping[str, float] | None = None) -> Sentence:
    known = values or {}
    named = {name for _, name, _, _ in string.Formatter().parse(table.en) if name is not None}
    others = {name for _, name, _, _ in string.Formatter().parse(table.es) if name is not None}
    if named != others:
        raise BadInput(
            '"{id}": the English and the Spanish of "{text}" name different numbers in braces; name the same.',
            id=identity,
            text=table.en,
        )
    if unknown := sorted(named - known.keys()):
        raise BadInput(
            '"{id}": nothing gives the number {number} in "{text}"; known here: {known}.',
            id=identity,
            number=unknown[0],
            text=table.en,
            known=", ".join(sorted(known)) or "-",
        )
    tellings = {"en": table.en, "es": table.es}
    return Sentence.in_languages(tellings, **{name: known[name] for name in sorted(named)})
