"""Seconds and proved gap of a night of twelve machines on four circuits, by time and by cost.

Seconds are those of the processor: the solver uses one and waits for nothing, so a quiet machine takes as long.

`python -m benchmarks.speed.charging [SEED ...]`; rows go to `charging.csv` here.

Currents, hours, homes and ready-by times are drawn at random, so that the circuits are nearly full. Nights in which
not every machine can be ready in time are drawn again with one more hour.
"""

import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.rows import commit, keep
from scrubwright.battery.room_air import GassingPack
from scrubwright.jobs.charging_answer import ChargingAnswer, ChargingNight, Circuit, MachineToCharge, Room, Tariff
from scrubwright.jobs.charging_tonight import charging_tonight

SEEDS = tuple(range(8))
MACHINES = 12
MOST_S, MOST_GAP_FRACTION = 5.0, 0.01
EVENING = datetime(2026, 11, 25, 19)
# Breakers of four circuits and what chargers draw, at 120 V and at 230 V.
PLACES = (
    ((20.0, 20.0, 15.0, 30.0), (6.0, 7.5, 8.8, 11.6), (3.0, 5.0)),
    ((16.0, 16.0, 16.0, 16.0), (3.5, 4.4, 5.8, 6.5), (4.5, 8.0)),
    ((16.0, 16.0, 32.0, 20.0), (4.0, 5.5, 6.0, 8.0), (5.5, 9.5)),
)
GAS = GassingPack(cells=18, capacity_ah=225.0, gassing_a_per_ah=0.06)
# A pack asks for 13.4 m³/h; the room has air for eight at once.
AIR_M3_PER_H = 110.0


def invented_night(seed: int) -> ChargingNight:
    """Twelve machines that come home between 19:00 and 22:00 and must be ready between 05:00 and 08:00."""
    rng = np.random.default_rng(seed)
    breakers, currents, hours = PLACES[seed % len(PLACES)]
    machines = []
    for number in range(MACHINES):
        charge_h = float(rng.uniform(*hours))
        mains_a = float(rng.choice(currents))
        machines.append(
            MachineToCharge(
                name=f"Machine {number + 1}",
                mains_a=mains_a,
                charge_h=charge_h,
                gassing_from_h=charge_h * float(rng.uniform(0.4, 0.6)),
                home_at=EVENING + timedelta(hours=float(rng.choice([0.0, 1.0, 1.5, 2.5, 3.0]))),
                ready_by=EVENING + timedelta(hours=float(rng.choice([11.0, 12.0, 13.0]))),
                energy_wh=0.6 * mains_a * 3450 / max(currents) * charge_h,
                before_gas_fraction=0.65,
                gas=GAS,
            )
        )
    circuits = tuple(Circuit(name=f"Circuit {n}", breaker_a=breaker) for n, breaker in enumerate(breakers, 1))
    return ChargingNight(machines=tuple(machines), circuits=circuits)


def with_tariff(night: ChargingNight) -> ChargingNight:
    """The same with cheap energy from 22:00 to 06:00."""
    prices = ((0, 0.31), (3, 0.17), (11, 0.31))
    return replace(
        night,
        tariff=tuple(Tariff(from_at=EVENING + timedelta(hours=h), price_money_per_kwh=p) for h, p in prices),
    )


def timed_answer(night: ChargingNight) -> tuple[ChargingAnswer, float]:
    """The answer, given one more hour until it fits, and the seconds that the one that fits took."""
    while True:
        begun_s = time.process_time()
        answer = charging_tonight(night)
        took_s = time.process_time() - begun_s
        if answer.fits:
            return answer, took_s
        later = [replace(each, ready_by=each.ready_by + timedelta(hours=1)) for each in night.machines]
        night = replace(night, machines=tuple(later))


def main(seeds: Sequence[int]) -> None:
    """Measure, print and keep."""
    table = Table(title=f"{MACHINES} machines on 4 circuits")
    for name in ("seed", "wanted", "seconds", "gap", "pauses", "all done"):
        table.add_column(name, justify="right")
    rows: list[dict[str, int | float | str]] = []
    for seed in seeds:
        night = invented_night(seed)
        aired = replace(night, room=Room(air_m3_per_h=AIR_M3_PER_H))
        for wanted, asked in (("early", night), ("early, little air", aired), ("cheap", with_tariff(night))):
            answer, took_s = timed_answer(asked)
            gap = answer.gap_fraction or 0.0
            pauses = sum(len(charge.spans) - 1 for charge in answer.charges)
            rows.append({"seed": seed, "wanted": wanted, "took_s": took_s, "gap_fraction": gap, "pauses": pauses})
            table.add_row(f"{seed}", wanted, f"{took_s:.2f}", f"{gap:.4f}", f"{pauses}", f"{answer.all_done_at:%H:%M}")
    console = Console(width=100)
    console.print(table)
    for wanted in dict.fromkeys(str(row["wanted"]) for row in rows):
        some = [row for row in rows if row["wanted"] == wanted]
        met = sum(float(row["took_s"]) <= MOST_S and float(row["gap_fraction"]) <= MOST_GAP_FRACTION for row in some)
        console.print(f"{wanted}: within {MOST_GAP_FRACTION:.0%} in {MOST_S:g} s in {met} of {len(some)} nights")
    now = commit()
    keep(
        Path(__file__).with_name("charging.csv"),
        [{"commit": now, **row} for row in rows],
        key=("commit", "seed", "wanted"),
    )


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or SEEDS)
