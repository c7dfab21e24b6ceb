"""The entries of one logged shift beside its plan: what each was to be, how well it is read, what rates it hangs on."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from enum import StrEnum
from math import hypot, sqrt
from statistics import median

from scrubwright.jobs.shift_logged import LoggedShift, MeterRun
from scrubwright.jobs.shift_question import Rates
from scrubwright.measures.sentence import Sentence

RATES = tuple(each.name for each in fields(Rates))

# How often somebody stands in the way in an hour of work, and for how long (common practice).
HINDRANCES_PER_H = 1.0
HINDRANCE_S = 60.0
# Of the solution laid down, what comes back when all is well (common practice, 85 to 98 %).
RECOVERED_FRACTION = 0.92
# What driving draws over what scrubbing draws (common practice: traction alone, over brushes, vacuum and traction).
DRIVING_DRAWS_RATIO = 0.25
# Standard deviations of what people write down (common practice): clocks to five minutes, a tank to a few litres, what
# comes back to a few percent, charge to a few percent of a full one, time lost to a fifth of it.
_CLOCK_SD_S = 120.0
_ONE_STOP_SD_S = 60.0
_FILLED_SD_RATIO = 0.03
_DUMPED_SD_RATIO = 0.06
_CHARGE_SD_FRACTION = 0.03
_HINDERED_SD_RATIO = 0.2
# Floor that is left out, or done twice, may be quicker or slower than the rest: per share of the floor.
_PART_SD_RATIO = 0.15
_METER_STEP_S = 360.0
# Of fewer shifts nobody can say what is usual.
LEAST_USUAL_SHIFTS = 3


class Entry(StrEnum):
    """One thing that is written down after a shift, as people call it."""

    BRUSH = "brush meter"
    TRACTION = "traction meter"
    KEY = "key meter"
    STOPS = "time at stops"
    TOTAL = "time in all"
    FILLED = "water filled"
    DUMPED = "water dumped"
    CHARGE = "charge used"


# What each time is made of: scrubbing, driving, stops, hindrances. The key is on or off at stops, as people like.
_MADE_OF = {
    Entry.BRUSH: (1.0, 0.0, 0.0, 0.0),
    Entry.TRACTION: (1.0, 1.0, 0.0, 0.0),
    Entry.KEY: (1.0, 1.0, 0.5, 1.0),
    Entry.STOPS: (0.0, 0.0, 1.0, 0.0),
    Entry.TOTAL: (1.0, 1.0, 1.0, 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A time, a volume or a share of charge, under a name that carries its unit."""

    name: str
    value: float

    @property
    def told(self) -> Sentence:
        """The number with its unit."""
        if self.name == "water_l":
            return Sentence("{water_l}", water_l=self.value)
        if self.name == "charge_fraction":
            return Sentence("{charge_fraction}", charge_fraction=self.value)
        return Sentence("{time_s}", time_s=self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """One entry of one shift.

    Parameters
    ----------
    given, planned
        What was written down, and what the plate says of the floor that was done; both above zero.
    sd_ratio
        How well it can be read: standard deviation as a share of what was planned [> 0].
    shares_fraction
        How much of it hangs on each rate, in the order of `RATES` [each 0 to 1, sum at most 1].
    """

    entry: Entry
    given: Amount
    planned: Amount
    sd_ratio: float
    shares_fraction: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How a log was kept, seen over all of its shifts.

    Parameters
    ----------
    meter_step_s
        The smallest step in which each meter was written down [s].
    one_stop_s
        What one stop takes as planned; None where none was planned [s].
    usual_ratio
        What was written down over what was planned, in the middle of the log; None where it is too short to say.
    """

    meter_step_s: tuple[tuple[Entry, float], ...]
    one_stop_s: float | None
    usual_ratio: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDone:
    """The plan of the floor that was done, with the stops that were made."""

    scrub_s: float
    drive_s: float
    stop_s: float
    stops: int
    hindered_s: float
    hindered_sd_s: float
    done_fraction: float

    @property
    def times_s(self) -> tuple[float, ...]:
        """Scrubbing, driving, stops, hindrances [s]."""
        return self.scrub_s, self.drive_s, self.stop_s, self.hindered_s


def usual_hindered_s(work_s: float) -> float:
    """Time that is usually lost to people and things in the way [s].

    Parameters
    ----------
    work_s
        Scrubbing and driving [s].
    """
    return HINDRANCES_PER_H * HINDRANCE_S * work_s / 3600


def habits_of(shifts: Sequence[LoggedShift]) -> Habits:
    """How finely the meters of a log were written down, and how long its stops are."""

    def step_s(runs: Iterable[MeterRun | None]) -> float:
        readings = [reading for run in runs if run for reading in (run.before_h, run.after_h)]
        # Four readings without a tenth come by chance once in ten thousand.
        is_whole = len(readings) >= 4 and all(reading == round(reading) for reading in readings)
        return 10 * _METER_STEP_S if is_whole else _METER_STEP_S

    planned = [each.planned.stop_s / each.planned.stops for each in shifts if each.planned.stops]
    ratios = [ratio for each in shifts if (ratio := done_ratio(each)) is not None]
    return Habits(
        meter_step_s=(
            (Entry.BRUSH, step_s(each.done.brush for each in shifts)),
            (Entry.TRACTION, step_s(each.done.traction for each in shifts)),
            (Entry.KEY, step_s(each.done.key for each in shifts)),
        ),
        one_stop_s=median(planned) if planned else None,
        usual_ratio=median(ratios) if len(ratios) >= LEAST_USUAL_SHIFTS else None,
    )


def done_ratio(shift: LoggedShift) -> float | None:
    """Time with the deck down, time in all and water over their plans, the middle of them; None where none is there.

    Parameters
    ----------
    shift
        As it was written down.
    """
    planned, done = shift.planned, shift.done
    pairs = (
        (done.total_s, planned.scrub_s + planned.drive_s + planned.stop_s),
        (None if done.brush is None else done.brush.run_s, planned.scrub_s),
        (done.filled_l, planned.water_l),
    )
    ratios = [given / asked for given, asked in pairs if given is not None and given > 0 and asked is not None]
    return median(ratios) if ratios else None


def plan_done(shift: LoggedShift, done_fraction: float, habits: Habits, wrong: list[Sentence]) -> PlanDone:
    """The plan of the floor that was done.

    Parameters
    ----------
    shift, habits
        The shift, and how its log was kept.
    done_fraction
        Share of the planned floor that was scrubbed [0.3 to 1.5].
    wrong
        Where is told what cannot be used.
    """
    planned, done = shift.planned, shift.done
    stops = planned.stops if done.stops is None else done.stops
    if not 0 <= stops <= 3 * planned.stops + 3:
        wrong.append(
            Sentence(
                "{day}: {stops} stops, and {planned} were planned. Look at the number; the planned ones are taken.",
                day=shift.day.isoformat(),
                stops=stops,
                planned=planned.stops,
            )
        )
        stops = planned.stops
    one_stop_s = planned.stop_s / planned.stops if planned.stops else habits.one_stop_s or 0.0
    is_counted = done.stops is not None or not planned.stops
    scrub_s, drive_s = planned.scrub_s * done_fraction, planned.drive_s * done_fraction
    hindered_s, hindered_sd_s = _hindered(shift, scrub_s + drive_s, wrong)
    return PlanDone(
        scrub_s=scrub_s,
        drive_s=drive_s,
        stop_s=stops * one_stop_s if is_counted else planned.stop_s * done_fraction,
        stops=stops,
        hindered_s=hindered_s,
        hindered_sd_s=hindered_sd_s,
        done_fraction=done_fraction,
    )


def _hindered(shift: LoggedShift, work_s: float, wrong: list[Sentence]) -> tuple[float, float]:
    """Time lost to hindrances, and its standard deviation: their count is Poisson's, each of exponential length."""
    done = shift.done
    if done.hindered_s is not None:
        if 0 <= done.hindered_s <= work_s:
            return done.hindered_s, max(HINDRANCE_S, _HINDERED_SD_RATIO * done.hindered_s)
        wrong.append(
            Sentence(
                "{day}: {hindered_s} lost to hindrances in {work_s} of work. Look at the number; the usual is taken.",
                day=shift.day.isoformat(),
                hindered_s=done.hindered_s,
                work_s=work_s,
            )
        )
    elif done.hindrances is not None and 0 <= done.hindrances * HINDRANCE_S <= work_s:
        return done.hindrances * HINDRANCE_S, HINDRANCE_S * sqrt(max(1, done.hindrances))
    usual_s = usual_hindered_s(work_s)
    return usual_s, sqrt(2 * usual_s * HINDRANCE_S)


def reads_of(shift: LoggedShift, plan: PlanDone, habits: Habits, wrong: list[Sentence]) -> tuple[Read, ...]:
    """Every entry that stands beside its plan, likely or not.

    Parameters
    ----------
    shift, plan, habits
        The shift, the plan of what was done of it, and how its log was kept.
    wrong
        Where is told what cannot be used.
    """
    return *_times(shift, plan, habits, wrong), *_amounts(shift, plan)


def _times(shift: LoggedShift, plan: PlanDone, habits: Habits, wrong: list[Sentence]) -> Iterator[Read]:
    """Meters, and times by the clock."""
    done, step_s = shift.done, dict(habits.meter_step_s)
    # Both readings of a meter are rounded.
    errors_s = {entry: each_s / sqrt(6) for entry, each_s in step_s.items()} | {
        Entry.STOPS: _ONE_STOP_SD_S * sqrt(max(1, plan.stops)),
        Entry.TOTAL: hypot(_CLOCK_SD_S, plan.hindered_sd_s),
    }
    # Half of the stops with the key on, half with it off.
    errors_s[Entry.KEY] = hypot(errors_s[Entry.KEY], plan.hindered_sd_s, plan.stop_s / sqrt(12))
    given_s: dict[Entry, float | None] = {Entry.STOPS: done.stop_s, Entry.TOTAL: done.total_s}
    for entry, run in ((Entry.BRUSH, done.brush), (Entry.TRACTION, done.traction), (Entry.KEY, done.key)):
        if run is not None and not run.run_s > 0:
            wrong.append(
                Sentence(
                    "{day}, {entry}: {before_h} before and {after_h} after. A meter only runs forward.",
                    day=shift.day.isoformat(),
                    entry=entry,
                    before_h=run.before_h,
                    after_h=run.after_h,
                )
            )
        elif run is not None:
            given_s[entry] = run.run_s
    if plan.stops and not plan.stop_s and any(given_s.values()):
        wrong.append(
            Sentence(
                "{day}: stops were made, and the log holds no plan of one. Left out: what stops are a part of.",
                day=shift.day.isoformat(),
            )
        )
        given_s = {entry: value_s for entry, value_s in given_s.items() if not _MADE_OF[entry][2]}
    for entry, value_s in given_s.items():
        parts_s = [share * time_s for share, time_s in zip(_MADE_OF[entry], plan.times_s, strict=True)]
        planned_s = sum(parts_s)
        if value_s is not None and planned_s > 0:
            yield Read(
                entry=entry,
                given=Amount(name="time_s", value=value_s),
                planned=Amount(name="time_s", value=planned_s),
                sd_ratio=hypot(errors_s[entry] / planned_s, _PART_SD_RATIO * abs(1 - plan.done_fraction)),
                shares_fraction=_shares(
                    scrubbing=parts_s[0] / planned_s, driving=parts_s[1] / planned_s, stops=parts_s[2] / planned_s
                ),
            )


def _amounts(shift: LoggedShift, plan: PlanDone) -> Iterator[Read]:
    """Litres, and charge."""
    planned, done = shift.planned, shift.done
    part_sd_ratio = _PART_SD_RATIO * abs(1 - plan.done_fraction)
    litres = (
        (Entry.FILLED, done.filled_l, 1.0, _FILLED_SD_RATIO),
        (Entry.DUMPED, done.dumped_l, RECOVERED_FRACTION, _DUMPED_SD_RATIO),
    )
    for entry, given_l, share, sd_ratio in litres:
        if given_l is not None and planned.water_l is not None:
            yield Read(
                entry=entry,
                given=Amount(name="water_l", value=given_l),
                planned=Amount(name="water_l", value=planned.water_l * plan.done_fraction * share),
                sd_ratio=hypot(sd_ratio, part_sd_ratio),
                shares_fraction=_shares(water=1.0),
            )
    before, after, used_fraction = done.charge_before_fraction, done.charge_after_fraction, planned.charge_used_fraction
    if before is not None and after is not None and used_fraction is not None:
        expected_fraction = used_fraction * plan.done_fraction
        driving_s = DRIVING_DRAWS_RATIO * plan.drive_s
        yield Read(
            entry=Entry.CHARGE,
            given=Amount(name="charge_fraction", value=before - after),
            planned=Amount(name="charge_fraction", value=expected_fraction),
            sd_ratio=hypot(sqrt(2) * _CHARGE_SD_FRACTION / expected_fraction, part_sd_ratio),
            shares_fraction=_shares(
                scrubbing=plan.scrub_s / (plan.scrub_s + driving_s), driving=driving_s / (plan.scrub_s + driving_s)
            ),
        )


def _shares(**given: float) -> tuple[float, ...]:
    return tuple(given.get(rate, 0.0) for rate in RATES)
