"""Plan every real drawing that others published, and the two of our own, and print what came of each.

`python -m benchmarks.real_plans [PLATE]`; rows go to `real_plans.csv` here. Drain, tap and parking place are put where
the program says that they could be, unless the drawing has them. Seconds are of the processor, reading and planning
apart, with the narrow example plate unless another is named.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from benchmarks.rows import ROOT, commit, keep
from scrubwright.floor.site import FloorPlan, Site, Use
from scrubwright.jobs.route_plan import route_plan
from scrubwright.machine.plate import Plate
from scrubwright.measures.errors import ScrubwrightError
from scrubwright.paperwork.drawing import DrawingOptions, Reading, read_drawing
from scrubwright.paperwork.floor_text import open_spot
from scrubwright.paperwork.plates import plate_from

NARROW = ROOT / "examples" / "plates" / "narrow_disc_055.toml"
PLANS = ROOT / "tests" / "data" / "plans"
DRAWN = (".geojson", ".ifc", ".yaml", ".dxf")
SEED = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What came of one floor of one drawing."""

    drawing: str
    floor: str
    area_m2: float
    lanes: int
    coverage_fraction: float
    reached_fraction: float
    reading_s: float
    planning_s: float


def drawings() -> list[Path]:
    """Every drawing there is; a keep-out mask is read with the map it belongs to."""
    published = [path for path in PLANS.rglob("*") if path.suffix in DRAWN and "keepout" not in path.name]
    return sorted([*published, *(ROOT / "examples").glob("*.dxf")])


def with_points(path: Path, reading: Reading) -> Iterator[tuple[FloorPlan, Reading]]:
    """Each floor of a drawing, read again with the points that it lacks."""
    for floor in reading.site.floors:
        spot = open_spot(floor)
        here_m = (spot.x, spot.y)
        options = DrawingOptions(
            storey=floor.name,
            drains_m=() if floor.with_use(Use.DRAIN) else (here_m,),
            taps_m=() if floor.with_use(Use.TAP) else (here_m,),
            parking_m=here_m if floor.parking is None else None,
        )
        again = read_drawing(path, options)
        yield again.site.floor(floor.name), again


def planned(path: Path, plate: Plate) -> Iterator[Row]:
    """A row for each floor of a drawing.

    Raises
    ------
    ScrubwrightError
        The drawing, or the plan, is refused.
    """
    begun_s = time.perf_counter()
    reading = read_drawing(path)
    reading_s = time.perf_counter() - begun_s
    for floor, again in with_points(path, reading):
        begun_s = time.process_time()
        site = Site(name=again.site.name, floors=(floor,))
        answer = route_plan(site, plate, rng=np.random.default_rng(SEED))
        yield Row(
            drawing=path.name,
            floor=floor.name,
            area_m2=answer.floor_area_m2,
            lanes=len(answer.lanes),
            coverage_fraction=answer.coverage_fraction,
            reached_fraction=answer.reachable_area_m2 / answer.floor_area_m2,
            reading_s=reading_s,
            planning_s=time.process_time() - begun_s,
        )


def main(plate_path: Path) -> None:
    """Plan, print and keep."""
    plate = plate_from(plate_path)
    table = Table(title=f"Real drawings, {plate.name}")
    for name in ("drawing", "floor", "m2", "lanes", "within reach", "scrubbed of it", "read s", "plan s"):
        table.add_column(name, justify="left" if name in ("drawing", "floor") else "right")
    rows: list[Row] = []
    for path in drawings():
        try:
            for row in planned(path, plate):
                rows.append(row)
                table.add_row(
                    row.drawing,
                    row.floor,
                    f"{row.area_m2:,.0f}",
                    str(row.lanes),
                    f"{row.reached_fraction:.3f}",
                    f"{row.coverage_fraction:.4f}",
                    f"{row.reading_s:.1f}",
                    f"{row.planning_s:.1f}",
                )
        except ScrubwrightError as refused:
            table.add_row(path.name, str(refused), *[""] * 6)
    Console(width=150).print(table)
    now = {"commit": commit(), "plate": plate_path.stem}
    keep(
        Path(__file__).with_name("real_plans.csv"),
        [{**now, **{name: getattr(row, name) for name in Row.__slots__}} for row in rows],
        key=("commit", "plate", "drawing", "floor"),
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]) if sys.argv[1:] else NARROW)
