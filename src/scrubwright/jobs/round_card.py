"""The shortest walk-round for one machine: the checks that apply and are due, in walking order, in short chunks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count, groupby, pairwise

from scrubwright.catalogue.checks import Check, Occasion, Protection, Result, Skill, State, Station
from scrubwright.catalogue.parts import Catalogue, Hazardous
from scrubwright.catalogue.terms import Term
from scrubwright.jobs.round_history import Because, RoundHistory
from scrubwright.measures.errors import BadInput

# A checklist is read in chunks that a person can hold in mind: Degani and Wiener, Human factors of flight-deck
# checklists, 1990 (from memory).
LEAST_ROWS, MOST_ROWS = 5, 8
# These come round by themselves; what falls due is looked at along with the first two.
WITH_DUE = frozenset({Occasion.BEFORE_SHIFT, Occasion.AFTER_SHIFT})
_STATIONS, _STATES = list(Station), list(State)


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """One check on the card.

    Parameters
    ----------
    number
        Its place on the card, from 1 on.
    check
        The check.
    worst
        The gravest that it can say of this machine: a stop where a fact makes it one.
    because
        Why it is on the card.
    cautions
        What bites while doing it.
    """

    number: int
    check: Check
    worst: Result
    because: Because
    cautions: tuple[Hazardous, ...]

    @property
    def is_stop(self) -> bool:
        """Whether a bad finding keeps this machine from running."""
        return self.worst is Result.STOP


@dataclass(frozen=True, slots=True, kw_only=True)
class Chunk:
    """Rows that are done in one go, stops first.

    Parameters
    ----------
    number
        Its place on the card, from 1 on.
    state
        What the machine does meanwhile.
    rows
        Its rows, at least one.
    """

    number: int
    state: State
    rows: tuple[CardRow, ...]

    @property
    def stations(self) -> tuple[Station, ...]:
        """Where one stands, in walking order."""
        return tuple(sorted({row.check.station for row in self.rows}, key=_STATIONS.index))

    @property
    def protection(self) -> tuple[Protection, ...]:
        """What to wear for all of it."""
        worn = {each for row in self.rows for each in row.check.protection}
        return tuple(each for each in Protection if each in worn)

    @property
    def takes_min(self) -> float:
        """How long a practised person needs [min]."""
        return sum(row.check.takes_min for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundCard:
    """The walk-round of one machine at one time.

    Parameters
    ----------
    machine, facts
        Its name, and what it is and where it works.
    catalogue
        What the card was made from.
    occasions
        What the round is for.
    chunks
        Its rows.
    for_others
        Checks that are due and ask for more skill than this person has.
    unread
        Checks by hours that nobody can tell of, since their meter was never written down.
    """

    machine: str
    facts: frozenset[Term]
    catalogue: Catalogue
    occasions: tuple[Occasion, ...]
    chunks: tuple[Chunk, ...]
    for_others: tuple[Check, ...] = ()
    unread: tuple[Check, ...] = ()

    @property
    def rows(self) -> tuple[CardRow, ...]:
        """All rows, in order."""
        return tuple(row for chunk in self.chunks for row in chunk.rows)

    @property
    def takes_min(self) -> float:
        """How long a practised person needs [min]."""
        return sum(chunk.takes_min for chunk in self.chunks)

    def row(self, check: str) -> CardRow | None:
        """The row of a check; None where it is not on the card."""
        return next((row for row in self.rows if row.check.identity == check), None)

    def check(self, identity: str) -> Check | None:
        """A check of the catalogue, on the card or not; None where it left the catalogue."""
        return next((check for check in self.catalogue.checks if check.identity == identity), None)


def round_card(
    catalogue: Catalogue,
    machine: str,
    facts: frozenset[Term],
    occasions: Sequence[Occasion] = (Occasion.BEFORE_SHIFT,),
    *,
    now: datetime,
    history: RoundHistory | None = None,
    skill: Skill = Skill.OPERATOR,
) -> RoundCard:
    """The shortest card: what applies to this machine, for this occasion, and what else is due.

    Parameters
    ----------
    catalogue
        What the trade knows, a shop's own lines laid over it.
    machine, facts
        Name of the machine, and what it is and where it works, see `facts_of`.
    occasions
        What the round is for.
    now
        When it is done.
    history
        What the log says; with it, checks by the calendar, by hours and after idleness join a round before or
        after the shift where they are due. Without it, only the occasions asked for.
    skill
        Of the person who goes round; what is due and asks for more is listed for others.

    Raises
    ------
    BadInput
        No occasion.

    Notes
    -----
    The order is ours: key off, key on, moving; in each clockwise from the seat. See
    `docs/explanation/fit-to-run.md`.
    """
    if not occasions:
        raise BadInput("The round is for nothing; say when it is done, such as before shift.")
    found = [(check, _because(check, occasions, history, now)) for check in _applying(catalogue, facts)]
    mine = [(check, why) for check, why in found if why is not None and _may(check, why, skill)]
    mine.sort(key=lambda each: (_STATES.index(each[0].state), _STATIONS.index(each[0].station)))
    known = {caution.identity: caution for caution in catalogue.cautions}
    rows = [
        CardRow(
            number=0,
            check=check,
            worst=worst_of(check, facts),
            because=why,
            cautions=tuple(known[name] for name in check.cautions),
        )
        for check, why in mine
    ]
    return RoundCard(
        machine=machine,
        facts=facts,
        catalogue=catalogue,
        occasions=tuple(occasions),
        chunks=tuple(_numbered(rows)),
        for_others=tuple(check for check, why in found if why is not None and not _may(check, why, skill)),
        unread=tuple(check for check, why in found if why is None and _is_unread(check, history)),
    )


def worst_of(check: Check, facts: frozenset[Term]) -> Result:
    """The gravest that a check can say of a machine of these facts."""
    if check.stop_when is not None and check.stop_when.holds(facts):
        return Result.STOP
    return check.if_not


def _applying(catalogue: Catalogue, facts: frozenset[Term]) -> Iterator[Check]:
    yield from (check for check in catalogue.checks if check.applies_when.holds(facts))


def _because(
    check: Check, occasions: Sequence[Occasion], history: RoundHistory | None, now: datetime
) -> Because | None:
    if set(check.when) & set(occasions):
        return Because.ASKED
    if history is None or not WITH_DUE & set(occasions):
        return None
    return history.because(check, now)


def _may(check: Check, why: Because, skill: Skill) -> bool:
    # What is asked for stays on the card whoever goes round, so that a stop check never drops off it.
    return why is Because.ASKED or check.skill.rank <= skill.rank


def _is_unread(check: Check, history: RoundHistory | None) -> bool:
    return history is not None and check.meter is not None and history.lacks(check.meter)


def _numbered(rows: Sequence[CardRow]) -> Iterator[Chunk]:
    numbers, chunks = count(1), count(1)
    for state, group in groupby(rows, key=lambda row: row.check.state):
        for part in _chunks(list(group)):
            numbered = tuple(replace(row, number=next(numbers)) for row in part)
            yield Chunk(number=next(chunks), state=state, rows=numbered)


def _chunks(rows: Sequence[CardRow]) -> list[list[CardRow]]:
    """Cut into chunks of 5 to 8 where that goes, with the fewest steps to and fro.

    Stops come first in a chunk, so one that spans several stations is walked twice. The best cuts of the first
    n rows are the best of fewer rows and one more chunk.
    """
    best: list[tuple[int, int, list[list[CardRow]]]] = [(0, 0, [])]
    for end in range(1, len(rows) + 1):
        choices = []
        for size in range(1, min(MOST_ROWS, end) + 1):
            short, walked, before = best[end - size]
            chunk = sorted(rows[end - size : end], key=lambda row: not row.is_stop)
            steps = sum(one.check.station is not other.check.station for one, other in pairwise(chunk))
            choices.append((short + max(0, LEAST_ROWS - size), walked + steps, [*before, chunk]))
        best.append(min(choices, key=lambda choice: choice[:2]))
    return best[-1][2]
