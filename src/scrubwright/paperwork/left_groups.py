"""What a night leaves, put together by place and reason, so that a hundred crumbs read as a few lines."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from scrubwright.jobs.route_answer import LeftOut, RouteAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.wording import Teller

LEAST_WITH_LETTER_M2 = 0.5
UNREACHABLE, MISSED, WET = "unreachable", "missed", "wet"


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftGroup:
    """Pieces left out in one place for one kind of reason, the largest first.

    Parameters
    ----------
    kind
        "unreachable", "missed" or "wet".
    letter
        What marks the pieces on the plan; "" where none is large enough, or letters ran out.
    """

    kind: str
    letter: str
    pieces: tuple[LeftOut, ...]

    @property
    def name(self) -> str:
        """The place."""
        return self.pieces[0].name

    @property
    def reason(self) -> Sentence:
        """Why the largest piece is left out; the others have a reason of its kind."""
        return self.pieces[0].reason

    @property
    def area_m2(self) -> float:
        """All pieces together [m2]."""
        return math.fsum(piece.area_m2 for piece in self.pieces)

    @property
    def lettered(self) -> tuple[LeftOut, ...]:
        """The pieces that carry the letter on the plan: of reachable floor only those large enough to look for."""
        if not self.letter:
            return ()
        return tuple(piece for piece in self.pieces if self.kind != MISSED or piece.area_m2 >= LEAST_WITH_LETTER_M2)


def left_groups(answer: RouteAnswer) -> tuple[LeftGroup, ...]:
    """What is left out by kind, place and reason: first what cannot be reached, then what stays dry, then wet.

    Within a kind the largest group comes first.
    """
    letters = _letters()
    found = []
    for kind, pieces in ((UNREACHABLE, answer.unreachable), (MISSED, answer.missed), (WET, answer.stays_wet)):
        for alike in grouped(pieces):
            small = kind == MISSED and alike[0].area_m2 < LEAST_WITH_LETTER_M2
            found.append(LeftGroup(kind=kind, letter=letters.pop(0) if letters and not small else "", pieces=alike))
    return tuple(found)


def grouped(pieces: Sequence[LeftOut]) -> list[tuple[LeftOut, ...]]:
    """Pieces of one place whose reasons differ in their numbers only, the largest sum first."""
    alike: dict[tuple[str, str], list[LeftOut]] = {}
    for piece in sorted(pieces, key=lambda each: (-each.area_m2, each.name)):
        alike.setdefault((piece.name, piece.reason.template), []).append(piece)
    groups = [tuple(group) for group in alike.values()]
    return sorted(groups, key=lambda group: (-math.fsum(piece.area_m2 for piece in group), group[0].name))


def told_reason(pieces: Sequence[LeftOut], teller: Teller, *, is_same: bool = False) -> str:
    """The reason of the largest piece, and how many more there are like it; one just said is not said again."""
    reason = teller.words("The same.") if is_same else teller.tell(pieces[0].reason)
    if len(pieces) == 1:
        return reason
    return f"{reason} {teller.words('And {count} more like it.', count=len(pieces) - 1)}"


def _letters() -> list[str]:
    # P is the parking place, M a machine, N north; I and O look like figures.
    return [letter for letter in ascii_uppercase if letter not in "IMNOP"]
