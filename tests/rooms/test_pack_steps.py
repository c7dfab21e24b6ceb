"""What to do next: the most urgent first, and each step with its cautions."""

from dataclasses import replace

import pytest

from scrubwright.battery.cells import SpreadState
from scrubwright.battery.pack import Chemistry
from scrubwright.battery.reading_slips import Exchange, SlipKind
from scrubwright.jobs.pack_cautions import before_caps, equalising, handling_blocks, watering
from scrubwright.jobs.pack_state import PackState, StopSign
from scrubwright.jobs.pack_steps import steps_for
from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence

GOOD = PackState(chemistry=Chemistry.FLOODED, spread=SpreadState.EVEN, weakest=7, weakest_below_ratio=0.006)
SEALED = PackState(chemistry=Chemistry.AGM, spread=SpreadState.EVEN, weakest_block=2)


def told(state: PackState) -> list[str]:
    return [str(step.told) for step in steps_for(state)]


def test_a_good_pack_has_nothing_due() -> None:
    assert told(GOOD) == ["Nothing is due. Read it again in a month, after a full charge."]
    assert told(SEALED) == told(GOOD)


@pytest.mark.parametrize(
    "sign",
    [StopSign.HOT, StopSign.SMELL, StopSign.HISSING, StopSign.SWELLING, StopSign.SMOKE],
    ids=lambda sign: sign.name,
)
@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_a_stop_sign_comes_alone(sign: StopSign, chemistry: Chemistry) -> None:
    state = replace(GOOD, chemistry=chemistry, stop_signs=(sign,), spread=SpreadState.EQUALISE, plates_bare=True)
    steps = told(state)
    assert steps[0].startswith(f"Stop, there is {sign.value}: switch the charger off")
    assert steps[-1].startswith("Let a trained person look at every case")
    assert not any("water" in step or "qualise" in step for step in steps)


def test_a_frozen_pack_is_thawed_and_not_charged() -> None:
    steps = steps_for(replace(GOOD, stop_signs=(StopSign.FROZEN,)))
    assert str(steps[0].told).startswith("Do not charge the pack and do not work with it: it is frozen.")
    assert any("can burst it" in str(caution) for caution in steps[0].cautions)


def test_several_stop_signs_are_told_together() -> None:
    steps = told(replace(GOOD, stop_signs=(StopSign.SMELL, StopSign.HOT, StopSign.FROZEN)))
    assert steps[0].startswith("Stop, there is a smell of rotten eggs, a hot case:")
    assert any("it is frozen" in step for step in steps)


def test_bare_plates_are_covered_before_anything_else() -> None:
    state = replace(GOOD, plates_bare=True, has_readings=False, water_due=True, health_fraction=0.7)
    first, *rest = steps_for(state)
    assert "just enough water to cover them, then charge, then fill" in str(first.told)
    assert set(watering()) <= set(first.cautions)
    assert not any("Fill up with water" in str(step.told) for step in rest)


def test_a_pack_never_read_is_read_first() -> None:
    steps = steps_for(replace(GOOD, has_readings=False, spread=None))
    assert str(steps[0].told).startswith("Charge it full, let it rest, then read gravity and temperature")
    assert set(before_caps()) <= set(steps[0].cautions)
    assert len(steps) == 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"has_temperature": False}, "with a thermometer"),
        ({"read_after_charge": False}, "only full cells can be compared"),
        ({"watered_before_reading": True}, "fresh water lies on top"),
        ({"doubtful": (3, 12)}, "Read again: cell 3, 12."),
        ({"exchange": Exchange(kind=SlipKind.CELLS, first=4, second=9)}, "cells 4 and 9"),
        ({"exchange": Exchange(kind=SlipKind.BLOCKS, first=1, second=5)}, "blocks 1 and 5"),
        ({"exchange": Exchange(kind=SlipKind.OTHER_END, first=1, second=18)}, "counted from the other end"),
    ],
)
def test_readings_in_doubt_are_taken_again_before_anybody_acts_on_them(change: dict[str, object], words: str) -> None:
    state = replace(GOOD, spread=SpreadState.ASK, weakest_below_ratio=0.06, after_equalise=True, **change)  # type: ignore[arg-type]
    steps = told(state)
    assert words in steps[0]
    assert not any("Ask the pack's maker" in step for step in steps)


@pytest.mark.parametrize(
    ("spread", "after_equalise", "words", "cautions"),
    [
        (SpreadState.WATCH, False, "Watch cell 11, 0.035 under the median", before_caps()),
        (SpreadState.EQUALISE, False, "Equalise after a full charge: cell 11 is 0.035 under", equalising()),
        (SpreadState.EQUALISE, True, "Equalise once more: cell 11 is still 0.035 under", equalising()),
        (SpreadState.ASK, True, "Ask the pack's maker about cell 11, or replace it", handling_blocks()),
    ],
)
def test_the_spread_is_told_as_a_step(
    spread: SpreadState, after_equalise: bool, words: str, cautions: tuple[Sentence, ...]
) -> None:
    state = replace(GOOD, spread=spread, weakest=11, weakest_below_ratio=0.035, after_equalise=after_equalise)
    (step,) = steps_for(state)
    assert words in str(step.told)
    assert set(cautions) <= set(step.cautions)


def test_equalising_stops_at_forty_six_degrees_and_only_for_flooded_packs() -> None:
    said = " ".join(str(caution) for caution in equalising())
    assert "Stop at 46.0 °C" in said
    assert "Flooded packs only" in said


@pytest.mark.parametrize("chemistry", [Chemistry.AGM, Chemistry.GEL, Chemistry.LITHIUM])
@pytest.mark.parametrize("spread", list(SpreadState))
def test_a_sealed_pack_is_never_opened_watered_or_equalised(chemistry: Chemistry, spread: SpreadState) -> None:
    state = PackState(
        chemistry=chemistry,
        has_readings=False,
        plates_bare=True,
        water_due=True,
        spread=spread,
        weakest=3,
        weakest_below_ratio=0.05,
        weakest_block=3,
        drifting=(3,),
        sulfation=(Sentence("its plates are pale"),),
        low_after_charge=True,
    )
    for has_readings in (False, True):
        steps = told(replace(state, has_readings=has_readings))
        assert not any(word in step for step in steps for word in ("ater", "qualis", "gravity", "cell 3", "caps"))


def test_a_block_behind_is_watched_and_a_dead_one_replaced() -> None:
    assert told(replace(SEALED, spread=SpreadState.WATCH))[0].startswith("Watch block 2:")
    steps = steps_for(replace(SEALED, spread=SpreadState.ASK))
    assert str(steps[0].told).startswith("Have block 2 replaced")
    assert set(handling_blocks()) <= set(steps[0].cautions)


def test_what_ruins_cells_tonight_comes_before_what_can_wait() -> None:
    state = replace(
        GOOD,
        may_freeze=True,
        stood_days=40,
        reversal_charge_fraction=0.25,
        spread=SpreadState.EQUALISE,
        drifting=(7,),
        water_due=True,
        health_fraction=0.75,
    )
    begins = [
        "Charge the pack before the cold comes",
        "Charge it: it has stood 40 days, and a pack that stands loses 5.0 % to 15.0 % a month",
        "Stop working and charge before the pack is down to 25.0 %",
        "Equalise after a full charge: cell 7",
        "Read cell 7 at each visit",
        "Fill up with water after the next full charge",
        "Plan a new pack: this one gives only 75.0 %",
    ]
    steps = told(state)
    assert len(steps) == len(begins)
    assert all(step.startswith(begin) for step, begin in zip(steps, begins, strict=True))


def test_a_cell_that_stands_too_high_is_looked_into() -> None:
    assert told(replace(GOOD, high=(5,)))[0].startswith("Look into cell 5: gravity stands too high.")


def test_a_new_part_is_charged_and_read_once() -> None:
    assert told(replace(GOOD, part_replaced=True))[0].startswith("Charge it full with its new part")


def test_signs_of_sulfation_are_named_and_a_long_charge_asked_for() -> None:
    signs = (Sentence("gravity is low after a long charge"), Sentence("it runs hot on charge"))
    (step,) = told(replace(GOOD, sulfation=signs, low_after_charge=True))
    assert step.startswith("It may be sulfated (gravity is low after a long charge, it runs hot on charge).")


def test_a_pack_low_after_charge_is_charged_on() -> None:
    assert told(replace(GOOD, low_after_charge=True))[0].startswith("Charge on until gravity stops rising")


@pytest.mark.parametrize(
    ("health_fraction", "begin"),
    [
        (0.79, "Plan a new pack"),
        (0.80, "Have its capacity tested"),
        (0.899, "Have its capacity tested"),
        (0.90, "Nothing"),
    ],
)
def test_health_is_replaced_below_eighty_and_tested_below_ninety(health_fraction: float, begin: str) -> None:
    assert told(replace(GOOD, health_fraction=health_fraction))[0].startswith(begin)


def test_health_limits_can_be_changed() -> None:
    (step,) = steps_for(replace(GOOD, health_fraction=0.65), replace_below_fraction=0.6, test_below_fraction=0.7)
    assert str(step.told).startswith("Have its capacity tested")
    with pytest.raises(BadInput, match="health limits"):
        steps_for(GOOD, replace_below_fraction=0.9, test_below_fraction=0.8)
