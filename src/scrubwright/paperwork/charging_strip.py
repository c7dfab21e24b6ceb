"""The night of charging in letters: under each circuit, one strip of time for each machine that charges there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from scrubwright.jobs.charging_answer import Charge, ChargingAnswer, MachineToCharge
from scrubwright.paperwork.shift_words import clock_words
from scrubwright.paperwork.text_columns import WIDTH
from scrubwright.paperwork.wording import Teller

# Plain letters, which every terminal and every copy has.
CHARGES, GASSES, WAITS, READY = "#", "=", ".", "|"

_LETTER_MIN = (5, 10, 15, 30, 60, 120, 240)
_TICKS_MIN = (30, 60, 120, 180, 240, 360, 720, 1440)
_CLOCK_WIDTH = len("00:00")
_WIDEST_NAME = 24
_INDENT = "  "
_GAP = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How times fall on letters, each of the same whole minutes."""

    begins_at: datetime
    letter: timedelta
    letters: int

    def place(self, at: datetime) -> int:
        """The letter that a time falls on, from 0."""
        return (at - self.begins_at) // self.letter

    def at(self, place: int) -> datetime:
        """When a letter begins."""
        return self.begins_at + place * self.letter


def strip_text(answer: ChargingAnswer, teller: Teller) -> str:
    """The strips under their clock, circuit by circuit, and what the signs mean; nothing where nobody charges."""
    if not answer.charges:
        return ""
    names = [charge.machine for charge in answer.charges]
    margin = len(_INDENT) + min(_WIDEST_NAME, max(map(len, names))) + 1
    # The last clock time needs room to the right of its tick.
    scale = scale_of(answer, WIDTH - margin - _CLOCK_WIDTH + 1)
    machines = {machine.name: machine for machine in answer.night.machines}
    lines = _clock_rows(scale, margin)
    for circuit in answer.night.circuits:
        here = [charge for charge in answer.charges if charge.circuit == circuit.name]
        if here:
            lines.append(f"{circuit.name}:")
            lines += [_row(charge, machines[charge.machine], scale, margin) for charge in here]
    return "\n".join([*lines, *_meanings(teller)])


def scale_of(answer: ChargingAnswer, width: int) -> Scale:
    """The finest scale on which the whole night has room, from when the first machine is home to the last ready-by.

    Parameters
    ----------
    answer
        With at least one charge.
    width
        Letters that there are.
    """
    first = min(machine.home_at for machine in answer.night.machines)
    last = max(machine.ready_by for machine in answer.night.machines)
    for minutes in _LETTER_MIN:
        letter = timedelta(minutes=minutes)
        midnight = first.replace(hour=0, minute=0, second=0, microsecond=0)
        begins_at = midnight + (first - midnight) // letter * letter
        letters = -((begins_at - last) // letter) + 1
        if letters <= width:
            break
    return Scale(begins_at=begins_at, letter=letter, letters=letters)


def strip_letters(charge: Charge, machine: MachineToCharge, scale: Scale) -> str:
    """One machine's strip: it waits at home, charges, charges and gasses; at the end, when it must be ready.

    A letter tells what takes most of it.

    Examples
    --------
    >>> night = datetime(2026, 3, 10, 22)
    >>> machine = MachineToCharge(name="A", mains_a=8, charge_h=3, gassing_from_h=2, home_at=night,
    ...                           ready_by=night + timedelta(hours=5))
    >>> charge = Charge(machine="A", circuit="1", spans=((night + timedelta(hours=1), night + timedelta(hours=4)),))
    >>> strip_letters(charge, machine, Scale(begins_at=night, letter=timedelta(minutes=30), letters=11))
    '..####==  |'
    """
    done_at = charge.spans[-1][1]
    gasses_at = gassing_at(charge, machine)
    letters = []
    for place in range(scale.letters):
        middle = scale.at(place) + scale.letter / 2
        is_on = any(begins <= middle < ends for begins, ends in charge.spans)
        if is_on:
            letters.append(CHARGES if middle < gasses_at else GASSES)
        else:
            letters.append(WAITS if machine.home_at <= middle < done_at else " ")
    letters[min(scale.place(machine.ready_by), scale.letters - 1)] = READY
    return "".join(letters).rstrip()


def gassing_at(charge: Charge, machine: MachineToCharge) -> datetime:
    """From when on a charge must not be interrupted, pauses before it left out of the count; its end if never."""
    left = timedelta(hours=machine.gassing_from_h)
    if machine.gassing_from_h < machine.charge_h:
        for begins, ends in charge.spans:
            if left < ends - begins:
                return begins + left
            left -= ends - begins
    return charge.spans[-1][1]


def _row(charge: Charge, machine: MachineToCharge, scale: Scale, margin: int) -> str:
    room = margin - len(_INDENT) - 1
    name = charge.machine if len(charge.machine) <= room else charge.machine[: room - 1] + "…"
    return (_INDENT + name).ljust(margin) + strip_letters(charge, machine, scale)


def _clock_rows(scale: Scale, margin: int) -> list[str]:
    """Round clock times over their ticks."""
    steps = [timedelta(minutes=each) for each in _TICKS_MIN]
    step = next((each for each in steps if each / scale.letter >= _CLOCK_WIDTH + 2), steps[-1])
    midnight = scale.begins_at.replace(hour=0, minute=0)
    tick = midnight - (midnight - scale.begins_at) // step * step
    clocks = ticks = ""
    while tick < scale.at(scale.letters):
        place = scale.place(tick)
        clocks = clocks.ljust(place) + clock_words(tick)
        ticks = ticks.ljust(place) + READY
        tick += step
    return [" " * margin + clocks, " " * margin + ticks]


def _meanings(teller: Teller) -> list[str]:
    words = teller.words
    return _packed(
        (
            f"{CHARGES} {words('charges')}",
            f"{GASSES} {words('charges and gasses: never interrupt it')}",
            f"{WAITS} {words('waits')}",
            f"{READY} {words('must be ready')}",
        )
    )


def _packed(items: Sequence[str]) -> list[str]:
    """Items side by side in lines that none of them breaks over."""
    lines: list[str] = []
    for item in items:
        if lines and len(lines[-1]) + _GAP + len(item) <= WIDTH:
            lines[-1] += " " * _GAP + item
        else:
            lines.append(_INDENT + item)
    return lines
