"""Which parts to hold for the coming weeks: for the changes that are planned, and for those that surprise."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scrubwright.jobs.due_answer import DueAnswer, DueItem
from scrubwright.jobs.due_lines import DueLine, Task
from scrubwright.machine.plate import Plate
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.wear.spares import Demand, ageing_demand, pieces_to_order


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What is there of one part, and how it is sold.

    Parameters
    ----------
    on_shelf, on_order
        Pieces there, and on their way [>= 0].
    pack_pieces
        Pieces in a pack [>= 1].
    least_pieces
        Least order that the seller takes [>= 0].

    Raises
    ------
    BadInput
        A count outside its range.
    """

    on_shelf: int = 0
    on_order: int = 0
    pack_pieces: int = 1
    least_pieces: int = 0

    def __post_init__(self) -> None:
        for name in ("on_shelf", "on_order", "least_pieces"):
            check_zero_or_more(name, getattr(self, name))
        check_above_zero("pack_pieces", self.pack_pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryLine:
    """One part to hold.

    Parameters
    ----------
    line
        The service item that takes it.
    machines
        Those that it fits, by name.
    planned_pieces
        Pieces that changes within the horizon take.
    surprise_pieces
        Pieces to hold beyond those.
    served_fraction
        Share of such spells in which both together are enough.
    order_pieces
        Pieces to order, in whole packs, beside those there and on their way.
    """

    line: DueLine
    machines: tuple[str, ...]
    planned_pieces: int
    surprise_pieces: int
    served_fraction: float
    order_pieces: int

    @property
    def pieces(self) -> int:
        """All pieces to hold."""
        return self.planned_pieces + self.surprise_pieces


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryAnswer:
    """The parts to hold, the dearest first.

    Parameters
    ----------
    lines
        Parts of which at least one piece is to be held.
    horizon_days
        The spell that they are for [days].
    level_fraction
        The share of such spells in which no part is to be missing, part by part.
    """

    lines: tuple[CarryLine, ...]
    horizon_days: float
    level_fraction: float


def what_to_carry(
    answers: Sequence[DueAnswer],
    plates: Sequence[Plate],
    *,
    level_fraction: float,
    shelf: Mapping[str, Shelf] | None = None,
) -> CarryAnswer:
    """Pieces to hold so that no change within the horizon waits for a part.

    A part whose likely day lies within the horizon is changed for certain; each other one comes to its turn with its
    own chance. Parts of one kind are pooled over machines whose deck and squeegee are alike.

    Parameters
    ----------
    answers
        What is due on each machine, all with one horizon.
    plates
        The machines, in the same order.
    level_fraction
        In this share of such spells a part must not be missing [above 0, below 1].
    shelf
        What is there of each part, by identity.

    Raises
    ------
    BadInput
        No machine, horizons that differ, or a share outside its range.

    Notes
    -----
    Every part in use comes off once at most before the horizon, so it must be short beside a life.
    """
    horizons = {answer.horizon_days for answer in answers}
    if len(horizons) != 1:
        raise BadInput("Ask for at least one machine, and look equally far ahead for all of them.")
    groups: dict[tuple[object, ...], list[tuple[str, DueItem]]] = {}
    for answer, plate in zip(answers, plates, strict=True):
        for item in answer.items:
            if item.line.task is Task.REPLACE and item.line.price_ratio > 0:
                groups.setdefault((item.line.identity, *_fit(plate)), []).append((answer.machine, item))
    (horizon_days,) = horizons
    lines = [_carried(group, horizon_days, level_fraction, shelf or {}) for group in groups.values()]
    held = sorted((line for line in lines if line.pieces), key=lambda line: -line.line.price_ratio * line.pieces)
    return CarryAnswer(lines=tuple(held), horizon_days=horizon_days, level_fraction=level_fraction)


def _fit(plate: Plate) -> tuple[object, ...]:
    """Machines that are alike in these take the same parts."""
    return plate.deck.kind, round(plate.deck.scrub_width_m, 3), round(plate.squeegee.width_m, 3)


def _carried(
    group: Sequence[tuple[str, DueItem]], horizon_days: float, level_fraction: float, shelf: Mapping[str, Shelf]
) -> CarryLine:
    line = group[0][1].line
    planned = sum(item.days.value <= horizon_days for _, item in group)
    chances = [item.due_fraction for _, item in group if item.days.value > horizon_days]
    # Counted in sets: what sits on one machine is changed together.
    sets: Demand = ageing_demand(chances, planned_pieces=planned)
    stock = sets.stock_for(level_fraction)
    known = shelf.get(line.identity, Shelf())
    order = pieces_to_order(
        stock * line.count,
        on_shelf=known.on_shelf,
        on_order=known.on_order,
        pack_pieces=known.pack_pieces,
        least_pieces=known.least_pieces,
    )
    return CarryLine(
        line=line,
        machines=tuple(dict.fromkeys(machine for machine, _ in group)),
        planned_pieces=planned * line.count,
        surprise_pieces=(stock - planned) * line.count,
        served_fraction=sets.served_fraction(stock),
        order_pieces=order,
    )
