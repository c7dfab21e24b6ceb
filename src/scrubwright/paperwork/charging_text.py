"""The night of charging as text for a terminal: verdict first, then who charges when, loads, air and cautions."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from scrubwright.jobs.charging_answer import CONTINUOUS_FRACTION, ChargingAnswer, Circuit, MachineToCharge, Room
from scrubwright.measures.provenance import Sourced
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import METRES_PER_FOOT, UnitSystem, unit_of
from scrubwright.paperwork.charging_strip import strip_text
from scrubwright.paperwork.pack_lines import day_words, printable
from scrubwright.paperwork.shift_words import clock_words, share_words
from scrubwright.paperwork.text_columns import WIDTH, Column, Section, row, sections_text, wrapped
from scrubwright.paperwork.wording import Teller

_CLOCK, _DATED = Column(width=8), Column(width=16)
_NAME, _FIGURE, _REASON = Column(width=22), Column(width=10), Column(width=30)
_LABEL, _NUMBER, _ORIGIN = Column(width=42), Column(width=15, right=True), Column(width=15)
_MACHINE, _INPUT = Column(width=22), Column(width=12)
# Beyond, a time of day could mean two times of one night.
_LONGEST_BY_CLOCK = timedelta(hours=24)
_M2_PER_CM2, _M2_PER_IN2 = 1e-4, (METRES_PER_FOOT / 12) ** 2
# What the figures of the order are counted in; all others are about the room's air.
_OF_THE_ORDER = frozenset({"wh", "money"})


def charging_text(answer: ChargingAnswer, teller: Teller) -> str:
    """The whole answer as plain text, 80 letters wide."""
    return sections_text(charging_sections(answer, teller))


def charging_sections(answer: ChargingAnswer, teller: Teller) -> tuple[Section, ...]:
    """The answer's parts in reading order; parts with nothing to say are left out.

    Verdict and why; what would make it fit; who charges when, or should have; the night in letters; loads of the
    circuits; numbers of the order; the air of the room; what went in; what is taken for granted; what holds while
    charging.
    """
    words = teller.words
    verdict = words("It fits") if answer.fits else words("It does not fit")
    order = [each for each in answer.figures if _is_of_the_order(each)]
    sections = [
        Section(heading=verdict.upper(), body=_because(answer, teller)),
        Section(heading=words("What would make it fit"), body=_changes(answer, teller)),
        Section(heading=words("Who charges when"), body=_order(answer, teller)),
        Section(heading=words("Home and ready by"), body=_windows(answer, teller)),
        Section(heading=words("The night"), body=strip_text(answer, teller)),
        Section(heading=words("Circuits"), body=_circuits(answer, teller)),
        Section(heading=words("Numbers"), body=_figures(order, teller)),
        Section(heading=words("Air of the room: screening, not a design"), body=_air(answer, teller)),
        Section(heading=words("Made with"), body=_made_with(answer, teller)),
        Section(heading=words("Taken for granted"), body=_told(answer.remarks, teller, mark="- ")),
        Section(heading=words("Bear in mind"), body=_told(answer.cautions, teller, mark="! ")),
    ]
    return tuple(_harmless(section) for section in sections if section.body)


def _harmless(section: Section) -> Section:
    """The section without letters that would steer a terminal."""
    lines = [printable(line) for line in section.body.split("\n")]
    return Section(heading=printable(section.heading), body="\n".join(lines))


def _because(answer: ChargingAnswer, teller: Teller) -> str:
    first, last = _ends(answer)
    when = teller.words(
        "The night: {first_day}, {first}, to {last_day}, {last}.",
        first_day=day_words(first.date(), teller),
        first=clock_words(first),
        last_day=day_words(last.date(), teller),
        last=clock_words(last),
    )
    return "\n".join(wrapped(line) for line in (teller.tell(answer.why), when))


def _changes(answer: ChargingAnswer, teller: Teller) -> str:
    """What helps, best first."""
    if answer.fits:
        return ""
    if not answer.changes:
        told = teller.words("Nothing that was tried makes it fit. Charge fewer machines, or on more than one night.")
        return wrapped(told, indent="  ")
    lines = []
    for number, change in enumerate(answer.changes, 1):
        lines.append(wrapped(teller.tell(change), indent="  ", mark=f"{number}. "))
    return "\n".join(lines)


def _order(answer: ChargingAnswer, teller: Teller) -> str:
    """Machine, circuit, from, until, ready by; a charge that pauses has a line for each stretch."""
    if not answer.charges:
        return ""
    ready = {machine.name: machine.ready_by for machine in answer.night.machines}
    times = _DATED if _is_long(answer) else _CLOCK
    width = (WIDTH - 2 - 4 * 2 - 3 * times.width) // 2
    columns = (Column(width=width), Column(width=width), times, times, times)
    words = teller.words
    titles = (words("Machine"), words("Circuit"), words("From"), words("Until"), words("Ready by"))
    lines = [row(titles, columns)]
    for charge in answer.charges:
        names, wanted = (charge.machine, charge.circuit), _when(ready[charge.machine], answer)
        for begins, ends in charge.spans:
            lines.append(row((*names, _when(begins, answer), _when(ends, answer), wanted), columns))
            names, wanted = ("", ""), ""
    return "\n".join(lines)


def _windows(answer: ChargingAnswer, teller: Teller) -> str:
    """Where there is no order: between which times each machine should have been charged."""
    if answer.charges:
        return ""
    words = teller.words
    columns = (Column(width=40), _DATED, _DATED)
    lines = [row((words("Machine"), words("Home"), words("Ready by")), columns)]
    for machine in answer.night.machines:
        lines.append(row((machine.name, _when(machine.home_at, answer), _when(machine.ready_by, answer)), columns))
    return "\n".join(lines)


def _circuits(answer: ChargingAnswer, teller: Teller) -> str:
    """What chargers draw on each circuit at most, what they may, and why no more."""
    most = {load.circuit: teller.number("most_a", load.most_a) for load in answer.loads}
    words = teller.words
    columns = (_NAME, _FIGURE, _FIGURE, _REASON)
    lines = [row((words("Circuit"), words("At most") if most else "", words("Allowed"), ""), columns)]
    for circuit in answer.night.circuits:
        cells = (
            circuit.name,
            most.get(circuit.name, ""),
            teller.number("limit_a", circuit.limit_a),
            _limit_words(circuit, teller),
        )
        lines.append(row(cells, columns))
    return "\n".join(lines)


def _limit_words(circuit: Circuit, teller: Teller) -> str:
    share = share_words(CONTINUOUS_FRACTION, teller)
    if not circuit.other_load_a:
        return teller.words("{share} of {breaker_a}", share=share, breaker_a=circuit.breaker_a)
    return teller.words(
        "{share} of {breaker_a}, less {other_load_a}",
        share=share,
        breaker_a=circuit.breaker_a,
        other_load_a=circuit.other_load_a,
    )


def _is_of_the_order(figure: Sourced) -> bool:
    unit = unit_of(figure.name)
    return unit is not None and unit.suffix in _OF_THE_ORDER


def _air(answer: ChargingAnswer, teller: Teller) -> str:
    """What the packs need, what the room has, and by which formulas."""
    figures = [each for each in answer.figures if not _is_of_the_order(each)]
    if not figures:
        return ""
    words = teller.words
    formulas = (
        words("Air: 0.055 m³/h for each cell and each ampere that it gasses, all packs added up (EN IEC 62485-3)."),
        words("Without a fan: 28 cm² of opening low, and again high, and 2.5 m³ of room for each m³/h."),
    )
    told = (_given_words(answer.night.room, teller), *formulas)
    return "\n".join([_figures(figures, teller), *(wrapped(each, indent="  ") for each in told if each)])


def _given_words(room: Room | None, teller: Teller) -> str:
    """What the room has, by the file."""
    told = []
    if room is not None and room.air_m3_per_h is not None:
        told.append(teller.words("The room changes {air_m3_per_h}, as you gave it.", air_m3_per_h=room.air_m3_per_h))
    if room is not None and room.free_m3 is not None:
        told.append(teller.words("Its free volume is {free_m3}.", free_m3=room.free_m3))
    return " ".join(told)


def _figures(figures: Iterable[Sourced], teller: Teller) -> str:
    """Each number and the word for where it comes from."""
    lines = []
    for each in figures:
        detail = teller.tell(each.detail)
        cells = (detail[:1].upper() + detail[1:], _number(each, teller), teller.words(each.origin))
        lines.append(row(cells, (_LABEL, _NUMBER, _ORIGIN)))
    return "\n".join(lines)


def _number(figure: Sourced, teller: Teller) -> str:
    unit = unit_of(figure.name)
    if unit is None or unit.suffix != "m2":
        return teller.number(figure.name, figure.value)
    # A tenth of a square metre is too coarse for an opening, whatever its size.
    if teller.system is UnitSystem.SI:
        return f"{teller.plain(figure.value / _M2_PER_CM2)} cm²"
    return f"{teller.plain(figure.value / _M2_PER_IN2)} in²"


def _made_with(answer: ChargingAnswer, teller: Teller) -> str:
    """What went in for each machine: the number, and under it the word for where it comes from."""
    words = teller.words
    columns = (_MACHINE, _INPUT, _INPUT, _INPUT, _INPUT)
    titles = (words("Machine"), words("Draws"), words("Charges for"), words("Gasses after"), words("Energy"))
    lines = [row(titles, columns)]
    for machine in answer.night.machines:
        name, _, rest = wrapped(machine.name, _MACHINE.width).partition("\n")
        numbers, origins = [name], [rest]
        for name, value in _inputs(machine):
            numbers.append("-" if value is None else _input_words(name, value, teller))
            origins.append("" if value is None else words(machine.origin(name)))
        lines += [row(numbers, columns), row(origins, columns)]
    return "\n".join(lines)


def _inputs(machine: MachineToCharge) -> tuple[tuple[str, float | None], ...]:
    """The figures of a charge by their names; None where not known, or where it never gasses."""
    gasses = machine.gassing_from_h < machine.charge_h
    return (
        ("mains_a", machine.mains_a),
        ("charge_h", machine.charge_h),
        ("gassing_from_h", machine.gassing_from_h if gasses else None),
        ("energy_wh", machine.energy_wh),
    )


def _input_words(name: str, value: float, teller: Teller) -> str:
    """Hours as people say them, which no plan knows to the second."""
    if name == "gassing_from_h" and value == 0:
        return teller.words("at once")
    return teller.duration(round(value * 60) * 60.0) if name.endswith("_h") else teller.number(name, value)


def _told(sentences: Iterable[Sentence], teller: Teller, mark: str) -> str:
    return "\n".join(wrapped(teller.tell(sentence), indent="  ", mark=mark) for sentence in sentences)


def _ends(answer: ChargingAnswer) -> tuple[datetime, datetime]:
    """When the first machine is home, and when the last one must be ready."""
    machines = answer.night.machines
    return min(machine.home_at for machine in machines), max(machine.ready_by for machine in machines)


def _is_long(answer: ChargingAnswer) -> bool:
    first, last = _ends(answer)
    return last - first > _LONGEST_BY_CLOCK


def _when(at: datetime, answer: ChargingAnswer) -> str:
    return at.strftime("%Y-%m-%d %H:%M") if _is_long(answer) else clock_words(at)
