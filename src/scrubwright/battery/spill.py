"""Acid on the floor: how much soda makes it harmless, how much gas that sets free, and what never to do."""

from dataclasses import dataclass

from scrubwright.battery.acid import ACID_KG_PER_MOL, acid_fraction
from scrubwright.battery.gravity import LEAST_RATIO, MOST_RATIO, check_gravity, density_of_gravity_kg_per_l
from scrubwright.measures.checks import check_above_zero
from scrubwright.measures.errors import OutOfRange
from scrubwright.measures.sentence import Sentence

BICARBONATE_KG_PER_MOL, SODA_ASH_KG_PER_MOL = 0.084007, 0.105988
# An ideal gas at 25 °C and one atmosphere.
GAS_L_PER_MOL = 24.465
SPARE_FRACTION = 0.2
# The strongest that packs are filled with, for whoever did not read the gravity.
STRONGEST_RATIO = 1.300
MOST_L = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spill:
    """What a spill takes.

    Parameters
    ----------
    acid_l, gravity_ratio
        What ran out, and its gravity at 25 °C [L].
    acid_kg
        Pure acid in it [kg].
    bicarbonate_kg, soda_ash_kg
        Of one or the other, with a fifth to spare [kg].
    co2_l, soda_ash_co2_l
        Carbon dioxide that baking soda or soda ash sets free, at 25 °C [L].
    steps
        What to do, in order.
    never
        What not to do.
    cautions
        What holds all the while.
    """

    acid_l: float
    gravity_ratio: float
    acid_kg: float
    bicarbonate_kg: float
    soda_ash_kg: float
    co2_l: float
    soda_ash_co2_l: float
    steps: tuple[Sentence, ...]
    never: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]


def spill(acid_l: float, gravity_ratio: float = STRONGEST_RATIO) -> Spill:
    """What a spill of battery acid takes.

    Two parts of baking soda, or one of soda ash, for each part of acid; both give off carbon dioxide, soda ash half as
    much.

    Parameters
    ----------
    acid_l
        What ran out [L, above 0 up to 200].
    gravity_ratio
        At 25 °C; of a full pack where not known [1.05 to 1.35].

    Raises
    ------
    BadInput
        No amount, or no gravity of battery acid.
    OutOfRange
        More than a person should take on, or a gravity that no cell has, full or flat.

    Notes
    -----
    A fifth more than the acid binds, since powder cakes and is swept past. The gas is that of the acid alone.

    Examples
    --------
    >>> half = spill(0.5, 1.28)
    >>> round(half.bicarbonate_kg, 2), round(half.co2_l)
    (0.49, 119)

    **Source** Molar masses of the IUPAC atomic weights; acid by `acid_fraction`; a fifth to spare and the steps common
    practice; no fizz and pH 6 to 8 as safety trainers quote OSHA. Checked in tests/worked/test_spill_numbers.py.
    """
    check_above_zero("acid_l", acid_l)
    check_gravity(gravity_ratio)
    if not LEAST_RATIO <= gravity_ratio <= MOST_RATIO:
        raise OutOfRange(
            "A gravity of {gravity_ratio} is not that of acid out of a cell; enter one from {least_ratio} to "
            "{most_ratio}. Where it was not read, leave it out: then the strongest acid is taken.",
            gravity_ratio=float(gravity_ratio),
            least_ratio=LEAST_RATIO,
            most_ratio=MOST_RATIO,
        )
    if acid_l > MOST_L:
        raise OutOfRange(
            "{acid_l} of acid is more than this helps with, {most_l}. Keep everybody away and call the fire brigade "
            "or your spill service.",
            acid_l=float(acid_l),
            most_l=MOST_L,
        )
    acid_kg = acid_l * density_of_gravity_kg_per_l(gravity_ratio) * float(acid_fraction(gravity_ratio))
    acid_mol = acid_kg / ACID_KG_PER_MOL
    bicarbonate_kg = (1 + SPARE_FRACTION) * 2 * acid_mol * BICARBONATE_KG_PER_MOL
    soda_ash_kg = (1 + SPARE_FRACTION) * acid_mol * SODA_ASH_KG_PER_MOL
    co2_l = 2 * acid_mol * GAS_L_PER_MOL
    return Spill(
        acid_l=acid_l,
        gravity_ratio=gravity_ratio,
        acid_kg=acid_kg,
        bicarbonate_kg=bicarbonate_kg,
        soda_ash_kg=soda_ash_kg,
        co2_l=co2_l,
        soda_ash_co2_l=co2_l / 2,
        steps=_steps(bicarbonate_kg, soda_ash_kg, co2_l),
        never=_never(),
        cautions=_cautions(),
    )


def _steps(bicarbonate_kg: float, soda_ash_kg: float, co2_l: float) -> tuple[Sentence, ...]:
    return (
        Sentence(
            "Acid on skin or in eyes comes first: water at once, for 15 minutes or more, wet clothes off, then a "
            "doctor."
        ),
        Sentence(
            "Switch the charger off at the wall and the machine off at the key, if you get there without stepping in "
            "it. Keep people, flames and phones away."
        ),
        Sentence("Put on a face shield or goggles, acid gloves, an apron and boots. Know where the eyewash is."),
        Sentence(
            "Open doors and windows: baking soda sets free {co2_l} of carbon dioxide, soda ash half as much. It lies "
            "low and pushes out the air. In a closet, work from the door and let the gas out before you go in.",
            co2_l=co2_l,
        ),
        Sentence("Dam the edge with soda, sand or absorbent, so that nothing runs under the machine or into a drain."),
        Sentence(
            "Sprinkle {bicarbonate_kg} of baking soda, or {soda_ash_kg} of soda ash, from the edge inward, a handful "
            "at a time. It foams: wait until it falls.",
            bicarbonate_kg=bicarbonate_kg,
            soda_ash_kg=soda_ash_kg,
        ),
        Sentence(
            "It is done when more soda no longer fizzes and test paper shows pH 6 to 8. Look under the pack and along "
            "the frame too."
        ),
        Sentence(
            "Take it up with a plastic shovel. Ask your local authority where it goes: it holds lead. Only where local "
            "rules allow, thin it with much water and send it to the sewer."
        ),
        Sentence("Rinse floor, frame and tools with water, dry them, and write down which cell it came from."),
    )


def _never() -> tuple[Sentence, ...]:
    return (
        Sentence("Never put soda on skin or in eyes: only water belongs there."),
        Sentence("Never let soda get into a cell: it ruins it. Keep the vent caps in place while you clean."),
        Sentence("Never put acid back into a cell. What a cell lost is for a battery workshop."),
        Sentence("Never use sawdust, paper or rags on acid that still fizzes: they char and heat up."),
    )


def _cautions() -> tuple[Sentence, ...]:
    return (
        Sentence(
            "Call the fire brigade or your spill service if there is more acid than soda, if it reached a drain, if a "
            "pack is hot, hissing or smoking, or if you feel ill."
        ),
        Sentence("These are amounts, not a permit: your site's spill plan and local rules come first."),
    )
