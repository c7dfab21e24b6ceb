"""Floor that a machine must cross while it is still wet: how much, where, and why."""

from scrubwright.floor.wet import wet_crossings
from scrubwright.jobs.route_answer import Bites, Caution, MachineRoute, RouteAnswer
from scrubwright.measures.sentence import Sentence

# Less than this is the edge of a track, and no driver would see the difference.
_LEAST_TOLD_M = 0.3


def wet_cautions(route: RouteAnswer, dry_s: float) -> tuple[Caution, ...]:
    """For each way that runs over wet floor a caution at the block that it leads to.

    Parameters
    ----------
    route
        The way of each machine.
    dry_s
        How long floor stays wet [s].
    """
    found = []
    for each in route.routes:
        wet_m: dict[int, float] = {}
        for crossing in wet_crossings(each.legs, route.deck_width_m, dry_s):
            number = _block_after(each, crossing.leg)
            wet_m[number] = wet_m.get(number, 0.0) + crossing.crossed_m
        found += [_caution(number, crossed_m) for number, crossed_m in wet_m.items() if crossed_m >= _LEAST_TOLD_M]
    return tuple(found)


def _caution(block: int, wet_m: float) -> Caution:
    told = Sentence(
        "{wet_m} of the way to this block, or home from it, is still wet: no better order was found. Drive slowly and "
        "straight.",
        wet_m=wet_m,
    )
    return Caution(told=told, bites=Bites.BLOCKS, blocks=(block,))


def _block_after(route: MachineRoute, leg: int) -> int:
    """The block that a leg leads to, or leads on in; the last one for the way home."""
    later = (each.block for each in route.legs[leg:] if each.block is not None)
    return next(later, route.blocks[-1].number)
