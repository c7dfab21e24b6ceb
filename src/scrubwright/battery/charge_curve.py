"""What current a charger gives as the pack fills: the phases of each profile, against the charge put in."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from scrubwright.battery.charge_limits import GASSING_CELL_V, LAST_CELL_V
from scrubwright.battery.pack import SEALED, ChargeProfile, Charger, Chemistry, Pack
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin

# Woodbridge's law: without gassing, no more amperes than ampere-hours are missing.
MISSING_H = 1.0
# Where the law is not trusted: above, the finish begins at once; below, a charger is far too big for the pack.
LEAST_GASSING_FRACTION, MOST_GASSING_FRACTION = 0.60, 0.95
# Lithium takes its full current nearly to the end (iron phosphate, from memory).
LITHIUM_GASSING_FRACTION = 0.95

# Current in the last part for each ampere-hour of the pack, where the charger's plate does not say.
FINISH_A_PER_AH = {ChargeProfile.IUIA: 0.05, ChargeProfile.IUOU: 0.02, ChargeProfile.WOWA: 0.04}
SEALED_FINISH_A_PER_AH = {ChargeProfile.IUIA: 0.015, ChargeProfile.IUOU: 0.01}
LITHIUM_FINISH_A_PER_AH = 0.05
# A falling charger gives half its first current at 2.40 V and a quarter at 2.65 V.
HALF_RATIO, QUARTER_RATIO = 0.5, 0.25


class Stage(StrEnum):
    """The three parts of a charge."""

    MAIN = "main part"
    TAPER = "falling part"
    FINISH = "finish"


class PhaseLaw(StrEnum):
    """What the charger holds in a phase, by the letters of DIN 41773 and DIN 41774."""

    STEADY_CURRENT = "I"
    STEADY_VOLTAGE = "U"
    FALLING_CURRENT = "W"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One phase of a profile: the current falls evenly with the charge put in, from one value to another.

    Parameters
    ----------
    stage, law
        Which part of the charge, and what the charger holds.
    main_from_ratio, main_until_ratio
        Current at its ends as multiples of the main current.
    finish_from_ratio, finish_until_ratio
        The same as multiples of the finish current; the two are added.
    cell_v
        Mean voltage of a lead-acid cell in it [V], from memory; the pack's energy only.
    """

    stage: Stage
    law: PhaseLaw
    main_from_ratio: float = 0.0
    main_until_ratio: float = 0.0
    finish_from_ratio: float = 0.0
    finish_until_ratio: float = 0.0
    cell_v: float


_STEADY_MAIN = Phase(stage=Stage.MAIN, law=PhaseLaw.STEADY_CURRENT, main_from_ratio=1, main_until_ratio=1, cell_v=2.25)
_FALLING_MAIN = Phase(
    stage=Stage.MAIN, law=PhaseLaw.FALLING_CURRENT, main_from_ratio=1, main_until_ratio=HALF_RATIO, cell_v=2.22
)
_HELD_TAPER = Phase(
    stage=Stage.TAPER, law=PhaseLaw.STEADY_VOLTAGE, main_from_ratio=1, finish_until_ratio=1, cell_v=GASSING_CELL_V
)


def _finish(law: PhaseLaw, cell_v: float) -> Phase:
    return Phase(stage=Stage.FINISH, law=law, finish_from_ratio=1, finish_until_ratio=1, cell_v=cell_v)


PROFILES: dict[ChargeProfile, tuple[Phase, ...]] = {
    ChargeProfile.IUIA: (_STEADY_MAIN, _HELD_TAPER, _finish(PhaseLaw.STEADY_CURRENT, 2.60)),
    ChargeProfile.IUOU: (_STEADY_MAIN, _HELD_TAPER, _finish(PhaseLaw.STEADY_VOLTAGE, GASSING_CELL_V)),
    ChargeProfile.WA: (
        _FALLING_MAIN,
        Phase(
            stage=Stage.TAPER,
            law=PhaseLaw.FALLING_CURRENT,
            main_from_ratio=HALF_RATIO,
            finish_until_ratio=1,
            cell_v=(GASSING_CELL_V + LAST_CELL_V) / 2,
        ),
        _finish(PhaseLaw.FALLING_CURRENT, LAST_CELL_V),
    ),
    # The switch ("o") at the gassing point: from then on half as steep, so twice the finish current falls to it.
    ChargeProfile.WOWA: (
        _FALLING_MAIN,
        Phase(
            stage=Stage.TAPER,
            law=PhaseLaw.FALLING_CURRENT,
            finish_from_ratio=2,
            finish_until_ratio=1,
            cell_v=(GASSING_CELL_V + LAST_CELL_V) / 2,
        ),
        _finish(PhaseLaw.FALLING_CURRENT, LAST_CELL_V),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Taper:
    """Where the current begins to fall, and how much goes in while it does.

    Parameters
    ----------
    gassing_charge_fraction
        Charge of the pack at which its voltage reaches the gassing voltage [above 0, below 1].
    share_fraction
        Part of the charge then missing that goes in while the current falls to the finish current [0 to 1].
    origin
        Where the two come from.
    logs
        Charges they were learned from.
    spread_h
        Scatter (one standard deviation) of logged hours about the curve [h]; None where nothing was learned.
    """

    gassing_charge_fraction: float
    share_fraction: float
    origin: Origin
    logs: int = 0
    spread_h: float | None = None

    def __post_init__(self) -> None:
        if not (0 < self.gassing_charge_fraction < 1 and 0 <= self.share_fraction <= 1):
            raise BadInput(
                "The current is said to fall from {gassing} of the charge on, with {share} of the rest; enter shares "
                "between 0 and 1, such as 0.8 and 0.75.",
                gassing=str(self.gassing_charge_fraction),
                share=str(self.share_fraction),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePiece:
    """A stretch of the curve: between two charges of the pack the current falls evenly with the charge.

    Parameters
    ----------
    phase
        Which phase of the profile.
    from_ah, until_ah
        Charge of the pack counted from empty, with what the gassing takes included [Ah].
    from_a, until_a
        Current at both ends [A].
    """

    phase: Phase
    from_ah: float
    until_ah: float
    from_a: float
    until_a: float

    def current_a(self, level_ah: float) -> float:
        """Current at a charge inside the stretch [A].

        **Source** identity: even fall between the ends.
        """
        if math.isinf(self.until_ah) or self.until_ah == self.from_ah:
            return self.until_a
        gone = (level_ah - self.from_ah) / (self.until_ah - self.from_ah)
        return self.from_a + (self.until_a - self.from_a) * gone

    def duration_h(self, from_ah: float, until_ah: float) -> float:
        """Time for a part of the stretch [h].

        With dI/dq constant, the time is the charge over the logarithmic mean of the currents at its ends.

        **Source** integral of dq / I; checked in tests/worked/test_battery_charge_times.py.
        """
        first_a, last_a = self.current_a(from_ah), self.current_a(until_ah)
        fall = first_a / last_a - 1
        mean_a = first_a if abs(fall) < 1e-9 else last_a * fall / math.log1p(fall)
        return (until_ah - from_ah) / mean_a


@dataclass(frozen=True, slots=True, kw_only=True)
class StageTime:
    """What one part of a charge takes, and what goes in."""

    duration_h: float = 0.0
    in_ah: float = 0.0


def check_charger_fits(pack: Pack, charger: Charger) -> None:
    """Refuse a charger whose profile harms this kind of pack.

    Raises
    ------
    BadInput
        A falling current on a sealed pack, air blown into one, or a lead-acid finish on lithium.
    """
    profile = charger.profile
    if pack.chemistry in SEALED and PROFILES[profile][0].law is PhaseLaw.FALLING_CURRENT:
        raise BadInput(
            "{charger} charges by {profile}, whose voltage nothing holds down; {pack} is {chemistry}, and gas that it "
            "loses cannot be given back. Use a charger with a {chemistry} setting, IUoU or IUIa.",
            charger=charger.name,
            profile=profile,
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    if pack.chemistry in SEALED and charger.circulates:
        raise BadInput(
            "{charger} is said to blow air through the electrolyte, but {pack} is {chemistry} and has none that moves. "
            "Say that it does not circulate, or choose the right pack.",
            charger=charger.name,
            pack=pack.name,
            chemistry=pack.chemistry,
        )
    if pack.chemistry is Chemistry.LITHIUM and profile is not ChargeProfile.IUOU:
        raise BadInput(
            "{charger} charges by {profile}, which is for lead-acid; {pack} is lithium. Use the charger that came with "
            "the pack, and enter it as IUoU.",
            charger=charger.name,
            profile=profile,
            pack=pack.name,
        )


def usual_finish_a(pack: Pack, charger: Charger) -> float:
    """Current of the last part [A]: off the charger's plate, else what is usual for its profile and the pack.

    Returns
    -------
    float
        Never above the main current.

    Raises
    ------
    BadInput
        The charger does not fit the pack.

    Notes
    -----
    At most 5 A for each 100 Ah in the gassing part of a flooded pack (a maker's leaflet for traction cells); a quarter
    of the first current for a falling one (two makers' charger manuals after DIN 41774). Sealed 1 to 1.5, lithium 5 A
    for each 100 Ah: from memory.

    **Source** As said above; checked in tests/published/test_battery_charging.py.
    """
    check_charger_fits(pack, charger)
    if charger.finish_a is not None:
        return min(charger.finish_a, charger.main_a)
    if pack.chemistry is Chemistry.LITHIUM:
        usual_a = LITHIUM_FINISH_A_PER_AH * pack.capacity_ah
    elif charger.profile is ChargeProfile.WA:
        usual_a = QUARTER_RATIO * charger.main_a
    else:
        usual = SEALED_FINISH_A_PER_AH if pack.chemistry in SEALED else FINISH_A_PER_AH
        usual_a = usual[charger.profile] * pack.capacity_ah
    return min(usual_a, charger.main_a)


def usual_taper(pack: Pack, charger: Charger) -> Taper:
    """Where the current begins to fall, by the ampere-hour law, while nothing has been learned from logs.

    A lead-acid cell takes as many amperes as it lacks ampere-hours; more goes into gas. So the gassing voltage is
    reached when the charge missing has come down to the current, and at that voltage the current falls with it.

    Raises
    ------
    BadInput
        The charger does not fit the pack.

    Notes
    -----
    A falling charger is at half its first current when the gassing voltage is reached, and gives its last part to a
    full pack. Lithium: 95 % from memory.

    **Source** Woodbridge J L, Storage-battery charging, Transactions AIEE 54 (1935) 516, as quoted in public pages;
    checked in tests/published/test_battery_charging.py.

    Examples
    --------
    >>> from scrubwright.battery.pack import RatedCapacity
    >>> pack = Pack(name="A", chemistry=Chemistry.AGM, cells=18, cut_off_v=1.75, rated_k=298.15,
    ...             capacities=(RatedCapacity(capacity_ah=200.0, over_h=5.0),))
    >>> usual_taper(pack, Charger(name="B", profile=ChargeProfile.IUOU, main_a=40.0)).gassing_charge_fraction
    0.8
    """
    finish_a = usual_finish_a(pack, charger)
    falls = PROFILES[charger.profile][0].law is PhaseLaw.FALLING_CURRENT
    if pack.chemistry is Chemistry.LITHIUM:
        return Taper(gassing_charge_fraction=LITHIUM_GASSING_FRACTION, share_fraction=1.0, origin=Origin.MEMORY)
    at_gassing_a = charger.main_a * (HALF_RATIO if falls else 1)
    missing = at_gassing_a * MISSING_H / pack.capacity_ah
    return Taper(
        gassing_charge_fraction=min(max(1 - missing, LEAST_GASSING_FRACTION), MOST_GASSING_FRACTION),
        share_fraction=1.0 if falls else 1 - finish_a / charger.main_a,
        origin=Origin.PUBLISHED,
    )


def charge_curve(pack: Pack, charger: Charger, taper: Taper) -> tuple[CurvePiece, ...]:
    """The current of a charger against the charge of a pack, as stretches from empty on."""
    finish_a = usual_finish_a(pack, charger)
    gassing_ah = taper.gassing_charge_fraction * pack.capacity_ah
    fallen_ah = gassing_ah + taper.share_fraction * (pack.capacity_ah - gassing_ah)
    ends = (0.0, gassing_ah, fallen_ah, math.inf)
    pieces = []
    most_a = charger.main_a
    for phase, from_ah, until_ah in zip(PROFILES[charger.profile], ends[:-1], ends[1:], strict=True):
        # A finish current off the plate may be more than a falling charger has left; it never rises again.
        from_a = min(phase.main_from_ratio * charger.main_a + phase.finish_from_ratio * finish_a, most_a)
        until_a = min(phase.main_until_ratio * charger.main_a + phase.finish_until_ratio * finish_a, from_a)
        pieces.append(CurvePiece(phase=phase, from_ah=from_ah, until_ah=until_ah, from_a=from_a, until_a=until_a))
        most_a = until_a
    return tuple(pieces)


def stage_times(curve: Sequence[CurvePiece], start_ah: float, need_ah: float) -> dict[Stage, StageTime]:
    """What each part of a charge takes.

    Parameters
    ----------
    curve
        As `charge_curve` gives it.
    start_ah
        Charge of the pack at plug-in [Ah].
    need_ah
        To be put in, overcharge included [Ah, >= 0].
    """
    times = {stage: StageTime() for stage in Stage}
    for piece in curve:
        from_ah = max(start_ah, piece.from_ah)
        until_ah = min(start_ah + need_ah, piece.until_ah)
        if until_ah > from_ah:
            times[piece.phase.stage] = StageTime(
                duration_h=piece.duration_h(from_ah, until_ah), in_ah=until_ah - from_ah
            )
    return times
