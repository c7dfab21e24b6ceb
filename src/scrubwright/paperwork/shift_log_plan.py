"""A planned shift, from its JSON, as rows of a log that wait for what really happens."""

from datetime import datetime
from pathlib import Path

from pydantic import BaseModel, Field

from scrubwright.jobs.shift_entries import DRIVING_DRAWS_RATIO
from scrubwright.jobs.shift_logged import DoneShift, LoggedShift, PlannedShift
from scrubwright.paperwork.shift_plan_file import no_plan, planned_in


class _Rate(BaseModel):
    factor_ratio: float = Field(ge=0.2, le=5)


class _Rates(BaseModel):
    scrubbing: _Rate
    driving: _Rate
    water: _Rate
    current: _Rate
    stops: _Rate


class _Tonight(BaseModel):
    plate: str = Field(min_length=1)
    charge_fraction: float = Field(ge=0, le=1)
    rates: _Rates


class _Question(BaseModel):
    start_at: datetime
    machines: list[_Tonight] = Field(min_length=1)


class _Stop(BaseModel):
    machine: int


class _Machine(BaseModel):
    machine: int
    scrub_time_s: float = Field(gt=0)
    drive_time_s: float = Field(ge=0)
    stop_time_s: float = Field(ge=0)
    water_used_l: float = Field(gt=0)
    deck_down_length_m: float = Field(gt=0)
    end_charge_fraction: float
    charged_ah: float


class _Shift(BaseModel):
    site: str = Field(min_length=1)
    question: _Question
    machines: list[_Machine] = Field(min_length=1)
    stops: list[_Stop]
    reachable_area_m2: float = Field(gt=0)
    coverage_fraction: float = Field(gt=0, le=1)


def planned_shifts(path: Path) -> tuple[LoggedShift, ...]:
    """The shifts that a plan asks of each machine, with nothing done yet.

    A plan is made with this machine's own rates; the log holds what the plate alone would say, so the rates are
    taken out again.

    Parameters
    ----------
    path
        JSON of a planned shift, as `scrubwright shift --json` writes it.

    Raises
    ------
    UnreadablePaper
        No such file, too large, or no planned shift.
    """
    shift = planned_in(path, _Shift)
    if len(shift.machines) != len(shift.question.machines):
        raise no_plan(path)
    length_m = sum(machine.deck_down_length_m for machine in shift.machines)
    area_m2 = shift.reachable_area_m2 * shift.coverage_fraction
    return tuple(
        LoggedShift(
            day=shift.question.start_at.date(),
            machine=tonight.plate,
            site=shift.site,
            planned=_planned(
                machine,
                tonight,
                # The route is one for all machines, planned with the rates of the first.
                shift.question.machines[0].rates,
                stops=sum(stop.machine == machine.machine for stop in shift.stops),
                area_m2=area_m2 * machine.deck_down_length_m / length_m,
            ),
            done=DoneShift(),
        )
        for machine, tonight in zip(shift.machines, shift.question.machines, strict=True)
    )


def _planned(machine: _Machine, tonight: _Tonight, rates: _Rates, *, stops: int, area_m2: float) -> PlannedShift:
    scrub_s = machine.scrub_time_s / rates.scrubbing.factor_ratio
    drive_s = machine.drive_time_s / rates.driving.factor_ratio
    used_fraction = tonight.charge_fraction - machine.end_charge_fraction
    longer_ratio = (machine.scrub_time_s + DRIVING_DRAWS_RATIO * machine.drive_time_s) / (
        scrub_s + DRIVING_DRAWS_RATIO * drive_s
    )
    # After a charge on the way, what is left tells nothing of what was used.
    is_told = used_fraction > 0 and machine.charged_ah == 0
    return PlannedShift(
        scrub_s=scrub_s,
        drive_s=drive_s,
        stops=stops,
        stop_s=machine.stop_time_s / rates.stops.factor_ratio,
        water_l=machine.water_used_l / rates.water.factor_ratio,
        charge_used_fraction=used_fraction / tonight.rates.current.factor_ratio / longer_ratio if is_told else None,
        area_m2=area_m2,
    )
