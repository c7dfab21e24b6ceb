"""Air that a room must change while packs charge in it, and how hydrogen rises where it does not.

Screening, not a design: who builds the ventilation is a qualified person with the standard in hand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scrubwright.battery.gassing import hydrogen_l_per_ah
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import KELVIN_AT_0_C

# Hydrogen burns in air from this share on; alarms and codes for rooms stand at a quarter of it.
BURNS_FRACTION = 0.04
ALARM_FRACTION = 0.01
# No spark, flame or glowing part within this distance of the vents, and gas goes on for so long after the charger.
SPARK_M = 0.5
AFTER_GAS_H = 1.0
ROOM_K = KELVIN_AT_0_C + 25.0

# Air for each ampere that gasses in each cell. Dilution 24, safety 5, hydrogen at 25 °C (2014) and at 0 °C (2002).
_AIR_M3_PER_AH = 0.055
_AIR_2002_M3_PER_AH = 0.05
# Free area of inlet and of outlet, each, and free volume, for each cubic metre of air an hour.
_OPENING_M2_H_PER_M3 = 28e-4
_FREE_VOLUME_H = 2.5
_LITRES_PER_M3 = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GassingPack:
    """A pack as the room's air sees it.

    Parameters
    ----------
    cells
        In series [>= 1].
    capacity_ah
        Rated [Ah, > 0].
    gassing_a_per_ah
        Current that only makes gas at the end of the charge, for the size of the pack [A/Ah, >= 0], as
        `gassing.gassing_a_per_ah` gives it by kind of pack and profile; 0.07 where nothing is known.
    """

    cells: int
    capacity_ah: float
    gassing_a_per_ah: float

    def __post_init__(self) -> None:
        if self.cells < 1:
            raise BadInput(
                "{cells} cells cannot gas; enter how many the pack has in series, from 1 on.", cells=self.cells
            )
        check_above_zero("capacity_ah", self.capacity_ah)
        check_zero_or_more("gassing_a_per_ah", self.gassing_a_per_ah)

    @property
    def gassing_a(self) -> float:
        """Gassing currents of all cells together [A]."""
        return self.cells * self.gassing_a_per_ah * self.capacity_ah


def ventilation_m3_per_h(packs: Sequence[GassingPack]) -> float:
    """Air that must be changed while all these packs charge at once [m³/h].

    It keeps the mixed air at a fifth of the share of hydrogen that burns. The flows of the packs add up; they are
    never averaged.

    Parameters
    ----------
    packs
        All that can charge at once.

    Notes
    -----
    Q = 0.055 n I: n cells, I the gassing current of one. Right above a pack the gas burns whatever the room's air.

    **Source** EN IEC 62485-3, Safety requirements for secondary batteries, part 3: traction batteries, 2014, as
    quoted by a trade association's leaflet of 2020 on charging rooms; checked in
    tests/published/test_battery_room_air.py.

    Examples
    --------
    >>> round(ventilation_m3_per_h([GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=0.06)]), 2)
    14.26
    """
    return _AIR_M3_PER_AH * _gassing_a(packs)


def ventilation_2002_m3_per_h(packs: Sequence[GassingPack]) -> float:
    """The same by the edition before, with hydrogen counted at 0 °C [m³/h]: a tenth less.

    Parameters
    ----------
    packs
        All that can charge at once.

    Notes
    -----
    Q = 0.05 n Igas C / 100 with Igas in A for 100 Ah; 24 x 0.42e-3 x 5 = 0.0504.

    **Source** EN 50272-3, 2002, as quoted by a maker; checked in tests/published/test_battery_room_air.py.

    Examples
    --------
    >>> round(ventilation_2002_m3_per_h([GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=0.06)]), 2)
    12.96
    """
    return _AIR_2002_M3_PER_AH * _gassing_a(packs)


def hydrogen_m3_per_h(packs: Sequence[GassingPack], room_k: float = ROOM_K) -> float:
    """Hydrogen that packs set free while all of them gas [m³/h].

    Parameters
    ----------
    packs
        All that gas at once.
    room_k
        Temperature of the room [K, > 0].

    Notes
    -----
    **Source** Faraday's law, as `gassing.hydrogen_l_per_ah`; checked in tests/worked/test_battery_room_air_numbers.py.

    Examples
    --------
    >>> round(hydrogen_m3_per_h([GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=0.06)]), 4)
    0.1183
    """
    return _gassing_a(packs) * hydrogen_l_per_ah(room_k) / _LITRES_PER_M3


def one_percent_air_m3_per_h(packs: Sequence[GassingPack], room_k: float = ROOM_K) -> float:
    """Air that holds the mixed room at 1 % of hydrogen [m³/h], the form used in the United States.

    Parameters
    ----------
    packs
        All that can charge at once.
    room_k
        Temperature of the room [K, > 0].

    Notes
    -----
    A hundred times the hydrogen. The limit, a quarter of what burns, comes from fire codes for rooms of stationary
    batteries; the rule for truck charging only asks for "adequate ventilation".

    **Source** NFPA 1, Fire Code, and 29 CFR 1910.178(g), as quoted by trade pages; checked in
    tests/worked/test_battery_room_air_numbers.py.

    Examples
    --------
    >>> round(one_percent_air_m3_per_h([GassingPack(cells=18, capacity_ah=240.0, gassing_a_per_ah=0.06)]), 2)
    11.83
    """
    return hydrogen_m3_per_h(packs, room_k) / ALARM_FRACTION


def opening_m2(air_m3_per_h: float) -> float:
    """Free area that the air needs to change by itself: of the inlet, and again of the outlet [m²].

    Parameters
    ----------
    air_m3_per_h
        Air to be changed [m³/h, >= 0].

    Raises
    ------
    BadInput
        Below zero.

    Notes
    -----
    A = 28 Q in cm²: air at 0.1 m/s. Inlet low, outlet high, on opposite walls.

    **Source** EN 50272-3, 2002, as quoted by a maker; checked in tests/published/test_battery_room_air.py.

    Examples
    --------
    >>> round(opening_m2(12.96) * 1e4)
    363
    """
    check_zero_or_more("air_m3_per_h", air_m3_per_h)
    return _OPENING_M2_H_PER_M3 * air_m3_per_h


def air_through_m3_per_h(opening_m2: float) -> float:
    """Air that changes by itself through an inlet and an outlet of this free area each [m³/h].

    Parameters
    ----------
    opening_m2
        The smaller of the two [m², >= 0].

    Raises
    ------
    BadInput
        Below zero.

    Notes
    -----
    **Source** The inverse of `opening_m2`; round trip in tests/properties/test_room_air_over_time.py.
    """
    check_zero_or_more("opening_m2", opening_m2)
    return opening_m2 / _OPENING_M2_H_PER_M3


def free_volume_m3(air_m3_per_h: float) -> float:
    """Free volume that a room must have where the air changes by itself [m³].

    Parameters
    ----------
    air_m3_per_h
        Air to be changed [m³/h, >= 0].

    Raises
    ------
    BadInput
        Below zero.

    Notes
    -----
    V = 2.5 Q.

    **Source** EN 50272-3, 2002, as quoted by a maker; checked in tests/published/test_battery_room_air.py.
    """
    check_zero_or_more("air_m3_per_h", air_m3_per_h)
    return _FREE_VOLUME_H * air_m3_per_h


def steady_concentration_fraction(hydrogen_m3_per_h: float, air_m3_per_h: float) -> float:
    """Share of hydrogen that a mixed room settles at [0 to 1].

    Parameters
    ----------
    hydrogen_m3_per_h
        Set free [m³/h, >= 0].
    air_m3_per_h
        Fresh air that comes in [m³/h, >= 0]; with none, the room fills up.

    Raises
    ------
    BadInput
        Below zero.

    Notes
    -----
    G / (Q + G): as much leaves as comes in.

    **Source** Balance of volumes; checked in tests/worked/test_battery_room_air_numbers.py.

    Examples
    --------
    >>> round(steady_concentration_fraction(0.1, 9.9), 4)
    0.01
    """
    check_zero_or_more("hydrogen_m3_per_h", hydrogen_m3_per_h)
    check_zero_or_more("air_m3_per_h", air_m3_per_h)
    return hydrogen_m3_per_h / (hydrogen_m3_per_h + air_m3_per_h) if hydrogen_m3_per_h else 0.0


def concentration_fraction(
    hydrogen_m3_per_h: float, free_m3: float, *, over_h: float, air_m3_per_h: float = 0.0, start_fraction: float = 0.0
) -> float:
    """Share of hydrogen in the mixed air of a room after some hours [0 to 1].

    Parameters
    ----------
    hydrogen_m3_per_h
        Set free all the while [m³/h, >= 0].
    free_m3
        Air in the room: its volume less what stands in it [m³, > 0].
    over_h
        Hours since the start [h, >= 0].
    air_m3_per_h
        Fresh air that comes in [m³/h, >= 0]; 0 for a shut closet.
    start_fraction
        Share at the start [0 to 1].

    Raises
    ------
    BadInput
        A value outside these.

    Notes
    -----
    V dC/dt = G - (Q + G) C, solved exactly. The room leaks what is pressed out, so its pressure stays. Hydrogen
    rises: under the ceiling and above the pack the share is higher than in the mixed air.

    **Source** Balance of volumes; checked in tests/worked/test_battery_room_air_numbers.py against a numerical
    solution.

    Examples
    --------
    >>> round(concentration_fraction(0.0906, 30.0, over_h=3.0), 4)
    0.009
    """
    _check_room(free_m3, start_fraction)
    check_zero_or_more("over_h", over_h)
    settles = steady_concentration_fraction(hydrogen_m3_per_h, air_m3_per_h)
    kept = math.exp(-(air_m3_per_h + hydrogen_m3_per_h) * over_h / free_m3)
    return settles + (start_fraction - settles) * kept


def until_share_h(
    limit_fraction: float,
    hydrogen_m3_per_h: float,
    free_m3: float,
    *,
    air_m3_per_h: float = 0.0,
    start_fraction: float = 0.0,
) -> float:
    """Hours until the mixed air holds a share of hydrogen [h]; infinite where it never does.

    Parameters
    ----------
    limit_fraction
        The share [0 to 1], such as `ALARM_FRACTION` or `BURNS_FRACTION`.
    hydrogen_m3_per_h, free_m3, air_m3_per_h, start_fraction
        As for `concentration_fraction`.

    Raises
    ------
    BadInput
        A value outside these.

    Notes
    -----
    **Source** The inverse of `concentration_fraction`; round trip in tests/properties/test_room_air_over_time.py.

    Examples
    --------
    >>> round(until_share_h(0.04, 0.0906, 30.0), 1)
    13.5
    """
    if not 0 < limit_fraction < 1:
        raise BadInput(
            "The share of hydrogen to wait for is {given}; enter one above 0 and below 1, such as 0.01.",
            given=str(limit_fraction),
        )
    _check_room(free_m3, start_fraction)
    settles = steady_concentration_fraction(hydrogen_m3_per_h, air_m3_per_h)
    if start_fraction >= limit_fraction:
        return 0.0
    if settles <= limit_fraction:
        return math.inf
    to_go = math.log((settles - start_fraction) / (settles - limit_fraction))
    return free_m3 / (air_m3_per_h + hydrogen_m3_per_h) * to_go


def _gassing_a(packs: Sequence[GassingPack]) -> float:
    return sum((pack.gassing_a for pack in packs), 0.0)


def _check_room(free_m3: float, start_fraction: float) -> None:
    check_above_zero("free_m3", free_m3)
    if not 0 <= start_fraction <= 1:
        raise BadInput(
            "The share of hydrogen at the start is {given}; enter one from 0 to 1.", given=str(start_fraction)
        )
