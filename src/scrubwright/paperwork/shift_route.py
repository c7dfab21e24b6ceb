"""The route in the time of its shift: legs, blocks and stops by the shift's clock, waiting and charging between."""

from dataclasses import dataclass, replace

from scrubwright.jobs.route_answer import Leg, LegKind, MachineRoute, RouteAnswer
from scrubwright.jobs.shift_answer import Doing, MachineShift, ShiftAnswer, ShiftVerdict, Stretch
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.route_playback import first_levels_l
from scrubwright.paperwork.shift_words import block_times_s, stop_times

# Times of the line and of the course are the same but for rounding.
_SAME_S = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedLeg:
    """A leg by the shift's clock, or a pause in which the machine stands.

    Parameters
    ----------
    leg
        With its time since the start of the shift and what the tanks hold at its end; a pause is a stop without
        a number.
    pause
        `Doing.CHARGE` or `Doing.WAIT`; None where the machine works.
    charge_fraction
        Left at its end [0 to 1].
    wet_until_s
        From when on the floor behind it dries [s]: after the second pass, where the first leaves its solution
        to act.
    """

    leg: Leg
    pause: Doing | None
    charge_fraction: float
    wet_until_s: float

    @property
    def end_s(self) -> float:
        """Since the start of the shift [s]."""
        return self.leg.start_s + self.leg.duration_s


def timed_legs(answer: ShiftAnswer, shift: MachineShift) -> tuple[TimedLeg, ...]:
    """The legs of one machine with its pauses between, without gaps from the start to the end."""
    route, course = answer.route.routes[shift.machine - 1], shift.course
    pauses = [each for each in shift.line if each.doing in (Doing.CHARGE, Doing.WAIT)]
    found: list[TimedLeg] = []
    solution_l, recovered_l = first_levels_l(route, answer.route)
    charge = answer.question.machines[shift.machine - 1].charge_fraction
    begin_s = 0.0
    for index, leg in enumerate(route.legs):
        end_s, after = float(course.end_s[index]), float(course.charge_fraction[index])
        here = [each for each in pauses if begin_s - _SAME_S <= each.start_s < end_s - _SAME_S]
        before = replace(leg, solution_l=solution_l, recovered_l=recovered_l)
        done = replace(leg, solution_l=float(course.solution_l[index]), recovered_l=float(course.recovered_l[index]))
        found += _span(before, done, here, begin_s=begin_s, end_s=end_s, before=charge, after=after)
        begin_s, charge = end_s, after
        solution_l, recovered_l = done.solution_l, done.recovered_l
    return _wet_longer(found, shift)


def route_in_time(answer: ShiftAnswer) -> RouteAnswer:
    """The route with every time by the shift's clock, under the shift's verdict, for what draws and lists a route."""
    routes = tuple(_route(answer, shift) for shift in answer.machines)
    verdict = {
        ShiftVerdict.FITS: Sentence("It fits. {why}", why=answer.why),
        ShiftVerdict.TIGHT: Sentence("It is tight. {why}", why=answer.why),
        ShiftVerdict.DOES_NOT_FIT: Sentence("It does not fit. {why}", why=answer.why),
    }
    return replace(
        answer.route,
        routes=routes,
        verdict=verdict[answer.verdict],
        why=(answer.why, *answer.route.why),
        total_time_s=max(shift.finish_s for shift in answer.machines),
    )


def _span(
    leg: Leg, done: Leg, pauses: list[Stretch], *, begin_s: float, end_s: float, before: float, after: float
) -> list[TimedLeg]:
    """One leg's time: pauses at its beginning, the leg itself, pauses at its end."""
    start_s = begin_s
    ahead: list[Stretch] = []
    for each in pauses:
        if each.start_s - start_s < _SAME_S:
            ahead.append(each)
            start_s = min(each.end_s, end_s)
    behind = [each for each in pauses if each not in ahead]
    stop_s = max(start_s, behind[0].start_s if behind else end_s)
    # Where the machine is plugged in, the charge of the whole span is the plug's.
    charges = [each for each in pauses if each.doing is Doing.CHARGE]

    def charge_at(at_s: float) -> float:
        return after if at_s > (charges[-1].end_s if charges else end_s) - _SAME_S else before

    def standing(at: Leg, each: Stretch, from_s: float, until_s: float) -> TimedLeg:
        place = at.points_m[:1] if at is leg else at.points_m[-1:]
        stood = replace(
            at, kind=LegKind.STOP, points_m=place, start_s=from_s, duration_s=until_s - from_s, lane=None, stop=None
        )
        return TimedLeg(leg=stood, pause=each.doing, charge_fraction=charge_at(until_s), wet_until_s=until_s)

    found: list[TimedLeg] = []
    at_s = begin_s
    for each in ahead:
        found.append(standing(leg, each, at_s, min(each.end_s, end_s)))
        at_s = found[-1].end_s
    worked = replace(done, start_s=start_s, duration_s=stop_s - start_s)
    found.append(TimedLeg(leg=worked, pause=None, charge_fraction=charge_at(stop_s), wet_until_s=stop_s))
    for index, each in enumerate(behind):
        until_s = behind[index + 1].start_s if index + 1 < len(behind) else end_s
        found.append(standing(done, each, found[-1].end_s, until_s))
    return found


def _wet_longer(legs: list[TimedLeg], shift: MachineShift) -> tuple[TimedLeg, ...]:
    """The legs, those with the squeegee up wet until the next pass over the same line has ended."""
    if shift.course.squeegee_down.all():
        return tuple(legs)
    is_down = iter(shift.course.squeegee_down.tolist())
    later: dict[frozenset[tuple[float, ...]], float] = {}
    down = [each.pause is not None or next(is_down) for each in legs]
    found: list[TimedLeg] = []
    for each, squeegee_down in zip(reversed(legs), reversed(down), strict=True):
        if each.leg.kind is LegKind.SCRUB:
            line = frozenset(tuple(point) for point in each.leg.points_m.round(2).tolist())
            if squeegee_down:
                later[line] = each.end_s
            found.append(replace(each, wet_until_s=later.get(line, each.end_s)))
        else:
            found.append(each)
    return tuple(reversed(found))


def _route(answer: ShiftAnswer, shift: MachineShift) -> MachineRoute:
    route = answer.route.routes[shift.machine - 1]
    timed = timed_legs(answer, shift)
    spent_s = {
        kinds: sum(each.leg.duration_s for each in timed if each.leg.kind in kinds)
        for kinds in ((LegKind.SCRUB,), (LegKind.DRIVE, LegKind.REVERSE), (LegKind.STOP,))
    }
    scrub_s, drive_s, stop_s = spent_s.values()
    times = block_times_s(shift)
    stops = {each.stop.number: each for each in stop_times(answer, shift)}
    blocks = tuple(
        replace(block, start_s=times[block.number][0], end_s=times[block.number][1]) if block.number in times else block
        for block in route.blocks
    )
    return replace(
        route,
        legs=tuple(each.leg for each in timed),
        blocks=blocks,
        stops=tuple(
            replace(
                stop,
                arrive_s=stops[stop.number].arrive_s,
                duration_s=stops[stop.number].leave_s - stops[stop.number].arrive_s,
            )
            if stop.number in stops
            else stop
            for stop in route.stops
        ),
        scrub_time_s=scrub_s,
        drive_time_s=drive_s,
        stop_time_s=stop_s,
    )
