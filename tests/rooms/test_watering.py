"""When to water, where to, how often; and what must never be watered."""

import math

import pytest

from scrubwright.battery.pack import Chemistry
from scrubwright.battery.watering import (
    charge_factor_by_water_ratio,
    interval_figure,
    mark_told,
    water_per_charge,
    water_use_remark,
    watering_interval_cycles,
    watering_rule,
)
from scrubwright.measures.errors import BadInput, NoAnswer
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.wording import Teller
from tests.rooms.charging_pairs import pack_of


def test_plates_are_covered_before_the_charge_and_filled_after_it() -> None:
    rule = watering_rule(pack_of())
    told = [str(step) for step in rule.steps]
    assert [text.split(",")[0].split(".")[0] for text in told] == [
        "Before the charge",
        "Charge the pack fully",
        "After the charge",
        "Write down how much you put in",
    ]
    assert "just enough water to cover them" in told[0]
    assert any("Never acid" in str(caution) for caution in rule.cautions)


def test_the_makers_mark_wins_over_common_practice() -> None:
    told = mark_told(pack_of(mark_m=0.006))
    assert Teller().tell(told) == "6 mm below the vent well, as its maker says"
    assert Teller(system=UnitSystem.US).tell(told) == "0.2 in below the vent well, as its maker says"
    assert str(mark_told(pack_of())) == "3 mm (1/8 in) below the vent well (common practice; its maker's mark wins)"


def test_how_often_is_told_with_its_band() -> None:
    pack = pack_of(reserve_l=0.25)
    figure = interval_figure(pack, water_per_charge(pack, 135.0, 1.15))
    # 36.6 charges by what is split alone, over 1.20, 1.15 and 1.10: 30, 31 and 33.
    assert (figure.low, figure.value, figure.high) == (30, 31, 33)


def test_how_often_is_not_made_up() -> None:
    with pytest.raises(NoAnswer, match="enter the water of one cell"):
        interval_figure(pack_of(), water_per_charge(pack_of(), 135.0, 1.15))
    pack = pack_of(reserve_l=0.25)
    with pytest.raises(NoAnswer):
        interval_figure(pack, water_per_charge(pack, 135.0, 1.0))


@pytest.mark.parametrize("chemistry", [Chemistry.AGM, Chemistry.GEL, Chemistry.LITHIUM])
def test_a_sealed_pack_is_never_watered(chemistry: Chemistry) -> None:
    with pytest.raises(BadInput, match="it takes no water, and opening it ruins it"):
        watering_rule(pack_of(chemistry))
    with pytest.raises(BadInput, match="it takes no water"):
        water_per_charge(pack_of(chemistry), 100.0, 1.15)


def test_a_thirsty_pack_is_remarked_on() -> None:
    assert water_use_remark(1.17, 1.15) is None
    assert "have the charger checked" in str(water_use_remark(1.25, 1.15))


@pytest.mark.parametrize("factor", [0.9, math.nan, math.inf])
def test_less_in_than_out_is_refused(factor: float) -> None:
    with pytest.raises(BadInput, match=r"from 1 to 1\.5"):
        water_per_charge(pack_of(), 100.0, factor)


def test_impossible_water_is_refused() -> None:
    with pytest.raises(BadInput):
        charge_factor_by_water_ratio(-1.0, 18, 4000.0)
    with pytest.raises(BadInput):
        charge_factor_by_water_ratio(1.0, 0, 4000.0)
    with pytest.raises(BadInput):
        charge_factor_by_water_ratio(1.0, 18, 0.0)
    with pytest.raises(BadInput):
        watering_interval_cycles(0.0, 0.01)
