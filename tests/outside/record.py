"""Records what the outside models give, for the test runs that have none of them: `python -m tests.outside.record`."""

from pathlib import Path

import numpy as np

from tests.outside import kinetic_cell, physics_model
from tests.published.recorded_discharges import CELLS, PULSED_FILE, PULSES, STEADY_FILE, STEADY_H
from tests.published.recorded_profile import PROFILE_FILE, RATED_AH, random_profile

COMMAND = "python -m tests.outside.record"
BLOCK = (
    f"PyBaMM {physics_model.VERSION} (open, BSD-3), lead_acid.Full, parameters Sulzer2019: 17 Ah, 6 cells, 294.85 K;",
    "from full to 10.5 V of the block",
)
CELL = (
    f"NREL-PySAM {kinetic_cell.VERSION} (open, BSD-3), BatteryStateful as set in tests/outside/kinetic_cell.py;",
    f"rated {RATED_AH} Ah over 20, 10 and 1 h, full at first; the wells after each step",
)


def main() -> None:
    write(STEADY_FILE, BLOCK, "nominal_h,at_h,block_v", steady_lines())
    write(PULSED_FILE, BLOCK, "load,runtime_h", pulsed_lines())
    write(PROFILE_FILE, CELL, "minutes,current_a,total_ah,available_ah", profile_lines())


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


if __name__ == "__main__":
    main()
