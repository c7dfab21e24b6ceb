"""Slips of the pen in a log of shifts, each as somebody makes it."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from scrubwright.jobs.shift_logged import DoneShift, MeterRun

Slip = Callable[[DoneShift], DoneShift]


def times(name: str, ratio: float) -> Slip:
    """A number that is so many times what it should be; what was not written down cannot be wrong."""

    def slip(done: DoneShift) -> DoneShift:
        value = getattr(done, name)
        return replace(done, **{name: None if value is None else ratio * value})

    return slip


def meter(name: str, change: Callable[[MeterRun], MeterRun]) -> Slip:
    """A meter written down wrong."""

    def slip(done: DoneShift) -> DoneShift:
        run = getattr(done, name)
        changed: Any = None if run is None else change(run)
        return replace(done, **{name: changed})

    return slip


def _point_lost(run: MeterRun) -> MeterRun:
    return replace(run, after_h=10 * run.after_h)


def _ten_runs(run: MeterRun) -> MeterRun:
    return replace(run, after_h=run.before_h + 10 * (run.after_h - run.before_h))


def _backwards(run: MeterRun) -> MeterRun:
    return MeterRun(before_h=run.after_h, after_h=run.before_h)


def _total(change: Callable[[float], float]) -> Slip:
    return lambda done: replace(done, total_s=None if done.total_s is None else change(done.total_s))


SLIPS: Mapping[str, Slip] = {
    "ten times the time in all": times("total_s", 10),
    "a tenth of the time in all": times("total_s", 0.1),
    "minutes of the time in all as hours": times("total_s", 60),
    "hours of the time in all as minutes": times("total_s", 1 / 60),
    "the end before the start": times("total_s", -1),
    "the end before the start, by a clock of one day": _total(lambda total_s: 86_400 - total_s),
    "afternoon for night": _total(lambda total_s: total_s + 43_200),
    "the brush meter without its point": meter("brush", _point_lost),
    "ten times the brush meter's run": meter("brush", _ten_runs),
    "the brush meter's readings exchanged": meter("brush", _backwards),
    "the traction meter without its point": meter("traction", _point_lost),
    "ten times the traction meter's run": meter("traction", _ten_runs),
    "the key meter's readings exchanged": meter("key", _backwards),
    "hours of the stops as minutes": times("stop_s", 1 / 60),
    "minutes of the stops as hours": times("stop_s", 60),
    "ten times the stops": lambda done: replace(done, stops=None if done.stops is None else 10 * done.stops),
    "ten times the area": times("area_m2", 10),
    "a tenth of the area": times("area_m2", 0.1),
    "a quarter of the area": times("area_m2", 0.25),
    "half of the area": times("area_m2", 0.5),
    "ten times the water": times("filled_l", 10),
    "ten times the hindrances": lambda done: replace(
        done, hindrances=None if done.hindrances is None else 10 * done.hindrances
    ),
    "three hours of hindrances": lambda done: replace(done, hindered_s=10_800.0),
    "charge before and after exchanged": lambda done: replace(
        done, charge_before_fraction=done.charge_after_fraction, charge_after_fraction=done.charge_before_fraction
    ),
}
