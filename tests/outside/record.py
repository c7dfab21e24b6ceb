"""Records what the outside models give, for the test runs that have none of them: `python -m tests.outside.record`."""

from datetime import datetime
from pathlib import Path

import numpy as np

from scrubwright.jobs.shift_planned import shift_planned
from scrubwright.jobs.shift_question import MachineTonight, ShiftQuestion
from scrubwright.paperwork.drawing import DrawingOptions, read_drawing
from scrubwright.paperwork.packs import pack_from
from scrubwright.paperwork.plates import read_plate
from tests.outside import kinetic_cell, physics_model
from tests.published.recorded_discharges import CELLS, PULSED_FILE, PULSES, STEADY_FILE, STEADY_H
from tests.published.recorded_profile import PROFILE_FILE, RATED_AH, random_profile
from tests.published.recorded_shift import PROFILE_FILE as SHIFT_PROFILE_FILE
from tests.published.recorded_shift import SHIFT_FILE, in_blocks, shift_load

EXAMPLES = Path(__file__).parents[2] / "examples"
COMMAND = "python -m tests.outside.record"
BLOCK = (
    f"PyBaMM {physics_model.VERSION} (open, BSD-3), lead_acid.Full, parameters Sulzer2019: 17 Ah, 6 cells, 294.85 K;",
    "from full to 10.5 V of the block",
)
CELL = (
    f"NREL-PySAM {kinetic_cell.VERSION} (open, BSD-3), BatteryStateful as set in tests/outside/kinetic_cell.py;",
    f"rated {RATED_AH} Ah over 20, 10 and 1 h, full at first; the wells after each step",
)
SHIFT = (
    "A shift in the market hall of the examples, planned by us with generator 1: mean current over the pack's",
    "five-hour capacity, two minutes a row; an input of the physics model, not a result to be met",
)


def main() -> None:
    write(STEADY_FILE, BLOCK, "nominal_h,at_h,block_v", steady_lines())
    write(PULSED_FILE, BLOCK, "load,runtime_h", pulsed_lines())
    write(PROFILE_FILE, CELL, "minutes,current_a,total_ah,available_ah", profile_lines())
    write(SHIFT_PROFILE_FILE, SHIFT, "minutes,rate_per_h", shift_profile_lines())
    # Of the profile as it now stands in its file.
    write(SHIFT_FILE, BLOCK, "runtime_h,energy_wh", shift_lines())


def write(path: Path, made_by: tuple[str, ...], header: str, lines: list[str]) -> None:
    told = [f"# {line}" for line in (*made_by, f"Written by: {COMMAND}")]
    path.write_text("\n".join([*told, header, *lines]) + "\n", encoding="utf-8")


def steady_lines() -> list[str]:
    runs = {hours: physics_model.steady_discharge(hours) for hours in STEADY_H}
    return [
        f"{hours},{at_h:.6f},{CELLS * cell_v:.5f}"
        for hours, run in runs.items()
        for at_h, cell_v in zip(run.at_h, run.cell_v, strict=True)
    ]


def pulsed_lines() -> list[str]:
    return [f'"{pulses.name}",{physics_model.pulsed_runtime_h(pulses):.5f}' for pulses in PULSES]


def profile_lines() -> list[str]:
    cell, lines = kinetic_cell.KineticCell(RATED_AH), []
    for minutes, current_a in random_profile(np.random.default_rng(1)):
        for _ in range(minutes):
            cell.step(current_a)
        lines.append(f"{minutes},{current_a},{cell.total_ah:.6f},{cell.available_ah:.6f}")
    return lines


def shift_profile_lines() -> list[str]:
    plate = read_plate(EXAMPLES / "plates/mid_cylindrical_080.toml").plate
    if plate is None:
        raise AssertionError("the example plate has no figures")
    paper = pack_from(EXAMPLES / "packs/market_hall_36v.toml")
    question = ShiftQuestion(
        site=read_drawing(EXAMPLES / "market_hall.dxf", DrawingOptions()).site,
        machines=(MachineTonight(plate=plate, pack=paper.pack, charger=paper.charger, charge_fraction=0.95),),
        start_at=datetime(2026, 4, 9, 21, 30),
        dry_by=datetime(2026, 4, 10, 5, 30),
    )
    loads = shift_planned(question, rng=np.random.default_rng(1), samples=64).timed[0].loads
    blocks = in_blocks(loads.current_a, loads.duration_s)
    rates_per_h = blocks.current_a / paper.pack.capacity_ah
    return [f"{60 * hours:.4f},{rate:.6f}" for hours, rate in zip(blocks.duration_h, rates_per_h, strict=True)]


def shift_lines() -> list[str]:
    run = physics_model.shift_run(shift_load())
    return [f"{run.runtime_h:.5f},{run.energy_wh:.4f}"]


if __name__ == "__main__":
    main()
