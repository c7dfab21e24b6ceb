"""Equalising is asked for by condition, told how, and stopped."""

import re
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from scrubwright.battery.visit import Event, Moment, Visit
from scrubwright.jobs.pack_answer import Step
from scrubwright.jobs.pack_equalising import equalising_call
from scrubwright.jobs.pack_look import pack_look
from scrubwright.measures.errors import BadInput
from tests.rooms.pack_year import CHARGER, FIRST, PACK, year
from tests.rooms.test_pack_look import AGM


def steps_of(visits: tuple[Visit, ...]) -> tuple[Step, ...]:
    return pack_look(PACK, CHARGER, visits, at=visits[-1].at + timedelta(hours=1)).steps


def told(visits: tuple[Visit, ...]) -> list[str]:
    return [str(step.told) for step in steps_of(visits)]


EVEN = year(np.random.default_rng(21), weeks=6)[:-1]


def test_an_even_pack_is_left_alone() -> None:
    assert not any("qualise" in step for step in told(EVEN))


def test_work_down_to_the_end_asks_for_it() -> None:
    deep = replace(EVEN[-2], gravities_ratio=tuple([1.135] * 18))
    assert any("worked down to" in step for step in told((*EVEN[:-2], deep, EVEN[-1])))


def test_charges_cut_short_ask_for_it() -> None:
    cut = tuple(
        replace(visit, plugged_in_at=visit.at - timedelta(hours=9)) if visit.moment is Moment.CHARGED else visit
        for visit in EVEN
    )
    assert any("cut short" in step for step in told(cut))


def test_once_it_is_done_the_story_starts_anew() -> None:
    deep = replace(EVEN[-2], gravities_ratio=tuple([1.135] * 18), event=Event.EQUALISED)
    assert not any("worked down to" in step for step in told((*EVEN[:-2], deep, EVEN[-1])))


def test_how_it_is_done_stands_under_its_step_with_limits_cells_and_moments() -> None:
    steps = steps_of(year(np.random.default_rng(22), weeks=6, low_cell=3, low_ratio=0.04)[:-1])
    (step,) = (each for each in steps if each.how)
    assert str(step.told).startswith("Equalise after a full charge: cell 3 is")
    how = [str(each) for each in step.how]
    assert any("11.1 A" in move and "46.50 V" in move for move in how)
    assert any("46.0 °C" in move for move in how)
    assert any("moment «after charge»" in move for move in how)
    (hourly_move,) = (move for move in how if move.startswith("Each hour"))
    assert "moment «in between»" in hourly_move
    assert re.search(r"read cells (\d+, )*3(, \d+)* again", hourly_move)
    # What bites is told once.
    assert len(set(step.cautions)) == len(step.cautions)
    assert sum("face shield" in str(each) for each in (*step.cautions, *step.how)) == 1


def test_work_down_to_the_end_asks_for_it_in_a_step_of_its_own() -> None:
    deep = replace(EVEN[-2], gravities_ratio=tuple([1.135] * 18))
    (step,) = (each for each in steps_of((*EVEN[:-2], deep, EVEN[-1])) if each.how)
    assert "worked down to" in str(step.told)
    assert any("face shield" in str(each) for each in step.cautions)


def hourly(gravities: list[float], warm_c: list[float]) -> list[Visit]:
    return [
        Visit(
            at=FIRST + timedelta(hours=hour),
            moment=Moment.BETWEEN,
            # The acid of a warm cell reads lower; what is asked is the corrected gravity.
            gravities_ratio=(*[1.270 - 0.0007 * (celsius - 25)] * 17, gravity - 0.0007 * (celsius - 25)),
            electrolyte_k=(celsius + 273.15,),
        )
        for hour, (gravity, celsius) in enumerate(zip(gravities, warm_c, strict=True))
    ]


def test_it_goes_on_while_the_lowest_cell_rises() -> None:
    assert not equalising_call(PACK, hourly([1.225, 1.235, 1.245], [27, 30, 33])).stop


def test_it_ends_when_the_lowest_cell_no_longer_rises() -> None:
    # Uncorrected, the gravities would still fall with the warmth.
    call = equalising_call(PACK, hourly([1.225, 1.250, 1.260, 1.2605, 1.260], [27, 30, 33, 36, 38]))
    assert call.stop
    assert 18 in call.cells
    assert "18) have not risen" in str(call.reason)


def test_heat_ends_it_at_once() -> None:
    assert equalising_call(PACK, hourly([1.225, 1.235], [30, 46.5])).stop


@pytest.mark.parametrize("seen", ["boils", "hot_cell"])
def test_what_a_person_sees_ends_it_at_once(seen: str) -> None:
    assert equalising_call(PACK, hourly([1.225, 1.235], [30, 31]), **{seen: True}).stop


def test_a_sealed_pack_is_refused() -> None:
    with pytest.raises(BadInput, match="must never be equalised"):
        equalising_call(AGM, [])


def test_pilot_cells_are_enough_to_end_it() -> None:
    some = [
        replace(
            visit, gravities_ratio=tuple(g if n in (2, 7, 18) else None for n, g in enumerate(visit.gravities_ratio, 1))
        )
        for visit in hourly([1.225, 1.250, 1.260, 1.2605, 1.260], [27, 30, 33, 36, 38])
    ]
    assert equalising_call(PACK, some).stop
