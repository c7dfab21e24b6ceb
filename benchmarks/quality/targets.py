"""What the plans have to reach, by kind of floor."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """Least or most of each figure; the stretch ones are aims, the others must hold."""

    coverage_fraction: float
    length_bound_ratio: float
    over_ideal_ratio: float
    bound_gap_fraction: float
    readable_over_free_ratio: float
    spare_trips: int
    gain_over_one_way_fraction: float
    planning_s: float


TARGETS = {
    "store": Targets(
        coverage_fraction=0.99,
        length_bound_ratio=1.22,
        over_ideal_ratio=1.40,
        bound_gap_fraction=0.015,
        readable_over_free_ratio=1.03,
        spare_trips=0,
        gain_over_one_way_fraction=0.08,
        planning_s=5,
    ),
    "warehouse": Targets(
        coverage_fraction=0.995,
        length_bound_ratio=1.16,
        over_ideal_ratio=1.27,
        bound_gap_fraction=0.03,
        readable_over_free_ratio=1.03,
        spare_trips=1,
        gain_over_one_way_fraction=0.04,
        planning_s=15,
    ),
    "school": Targets(
        coverage_fraction=0.99,
        length_bound_ratio=1.13,
        over_ideal_ratio=1.90,
        bound_gap_fraction=0.04,
        readable_over_free_ratio=1.05,
        spare_trips=0,
        gain_over_one_way_fraction=0.25,
        planning_s=6,
    ),
    "free_form": Targets(
        coverage_fraction=0.975,
        length_bound_ratio=1.18,
        over_ideal_ratio=1.42,
        bound_gap_fraction=0.015,
        readable_over_free_ratio=1.04,
        spare_trips=0,
        gain_over_one_way_fraction=0.10,
        planning_s=8,
    ),
}

# What the planner aims for beyond them, on the store and everywhere.
AIMS = {"length_bound_ratio": 1.12, "bound_gap_fraction": 0.01, "readable_over_free_ratio": 1.02}
