"""Charge times learned from a log with late unplugging and clocks read to the quarter hour."""

import math

import numpy as np
import pytest

from scrubwright.battery.charge_curve import Taper, usual_taper
from scrubwright.battery.charge_log import ChargeLog, learned_taper
from scrubwright.battery.charging import charge_h, charge_run
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from tests.rooms.charging_pairs import charger_of, pack_of

PACK, CHARGER = pack_of(), charger_of()
USUAL = usual_taper(PACK, CHARGER)
# The true place is 0.66, the usual one 0.84: 1.3 hours longer from 30 %.
TRUE = Taper(gassing_charge_fraction=0.66, share_fraction=USUAL.share_fraction, origin=Origin.MEMORY)


def logs_of(count: int, seed: int) -> list[ChargeLog]:
    rng = np.random.default_rng(seed)
    logs = []
    for number, start in enumerate(rng.uniform(0.2, 0.6, count)):
        hours = charge_h(PACK, CHARGER, float(start), TRUE) + rng.normal(0, 0.2)
        # One in seven was seen only in the morning.
        hours = hours + 5 if number % 7 == 3 else hours
        logs.append(ChargeLog(start_fraction=float(start), total_h=round(4 * hours) / 4))
    return logs


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_twenty_logs_bring_the_hours_within_half_an_hour(seed: int) -> None:
    learned = learned_taper(PACK, CHARGER, logs_of(20, seed))
    true_h = charge_h(PACK, CHARGER, 0.3, TRUE)
    assert abs(charge_run(PACK, CHARGER, 0.3).total_h - true_h) > 1.0
    run = charge_run(PACK, CHARGER, 0.3, learned)
    assert run.total_h == pytest.approx(true_h, abs=0.5)
    assert (learned.origin, learned.logs) == (Origin.MEASURED, 20)
    told = run.figures[0]
    assert str(told.detail) == "learned from 20 charges, plug-in to finish"
    assert told.low is not None
    assert told.high is not None
    assert told.low < true_h < told.high


def test_a_single_log_moves_the_place_by_a_quarter_of_the_way() -> None:
    # (1 x 0.66 + 3 x 0.84) / 4 = 0.795.
    log = ChargeLog(start_fraction=0.3, total_h=charge_h(PACK, CHARGER, 0.3, TRUE))
    learned = learned_taper(PACK, CHARGER, [log])
    assert learned.gassing_charge_fraction == pytest.approx(0.795, abs=1e-4)
    assert learned.spread_h is None


def test_no_log_leaves_the_usual() -> None:
    assert learned_taper(PACK, CHARGER, []) == USUAL


def test_a_log_from_a_nearly_full_pack_says_nothing() -> None:
    logs = [ChargeLog(start_fraction=0.99, total_h=1.0)] * 5
    assert learned_taper(PACK, CHARGER, logs) == USUAL


def test_a_charge_that_no_place_explains_counts_as_the_nearest() -> None:
    weekend = [ChargeLog(start_fraction=0.3, total_h=60.0)]
    assert learned_taper(PACK, CHARGER, weekend).gassing_charge_fraction == pytest.approx((0.40 + 3 * 0.84) / 4)
    minutes = [ChargeLog(start_fraction=0.3, total_h=0.5)]
    assert learned_taper(PACK, CHARGER, minutes).gassing_charge_fraction == pytest.approx((0.98 + 3 * 0.84) / 4)


@pytest.mark.parametrize(("start", "hours"), [(1.2, 8.0), (math.nan, 8.0), (0.3, 0.0), (0.3, -2.0), (0.3, math.nan)])
def test_a_log_that_cannot_be_is_refused(start: float, hours: float) -> None:
    with pytest.raises(BadInput):
        ChargeLog(start_fraction=start, total_h=hours)
