"""What bites while somebody works on a pack, each caution kept in one place for the steps that need it."""

from scrubwright.battery.equalising import HOTTEST_K
from scrubwright.measures.sentence import Sentence


def before_caps() -> tuple[Sentence, ...]:
    """Before a cap is opened."""
    return (
        Sentence("Charger off, key off, brake set, pack unplugged, its cover open: all that before you touch a cap."),
        Sentence("Wear a face shield or goggles, acid gloves and an apron. Test the eyewash and know the way to it."),
        Sentence(
            "No flame, no sparks, no phone and no tool on the pack. After a charge wait an hour first where you can."
        ),
    )


def reading_gravity() -> tuple[Sentence, ...]:
    """While gravity is read."""
    return (
        *before_caps(),
        Sentence("Measure the temperature of the electrolyte too. Put each sample back into the cell it came from."),
    )


def watering() -> tuple[Sentence, ...]:
    """While water is put in."""
    return (
        *before_caps(),
        Sentence("Distilled or deionised water only. Never acid, never an additive, never tap water."),
    )


def equalising() -> tuple[Sentence, ...]:
    """While the pack is equalised."""
    return (
        *before_caps(),
        Sentence(
            "Flooded packs only. Plates covered, caps in place, cover open, room aired, somebody there all along."
        ),
        Sentence(
            "Read the lowest cells and their temperature each hour. Stop at {stop_k}, on violent gassing, on a hot "
            "cell, or when three readings no longer rise.",
            stop_k=HOTTEST_K,
        ),
        Sentence("It makes much hydrogen. A qualified person judges ventilation and wiring; local rules come first."),
        Sentence("Never move the leads while the charger is on."),
        Sentence(
            "Rotten-egg smell, hissing, a hot or swollen case, smoke: switch off at the wall, leave, air the room."
        ),
    )


def handling_blocks() -> tuple[Sentence, ...]:
    """While cells or blocks are taken out or put in."""
    return (
        Sentence(
            "For a trained person: charger off, pack unplugged, insulated tools, no rings or watch, other posts "
            "covered. A dropped spanner welds."
        ),
        Sentence("A block weighs more than it looks: lift it with its own strap, or two of you."),
    )


def gas_and_heat() -> tuple[Sentence, ...]:
    """When a pack shows that something in it goes wrong."""
    return (
        Sentence("Do not bend over the pack, and do not pull a lead that carries current: it sparks."),
        Sentence(
            "The gas that smells of rotten eggs is a poison and dulls the nose: that the smell fades means nothing."
        ),
        Sentence("Smoke or fire: everybody out, call the fire service."),
    )


def makers_word() -> Sentence:
    """Beside every limit."""
    return Sentence("Handbooks differ on this limit. What the maker of your pack says wins.")


def estimate() -> Sentence:
    """Beside every forecast."""
    return Sentence("This is an estimate from your readings. A timed discharge settles it.")


def guards() -> Sentence:
    """For the whole answer."""
    return Sentence(
        "This program switches nothing. Never bridge an interlock, a charger's own guard or the low-voltage lock-out."
    )
