"""The pack and its charger as records: what is stamped on them, what their papers say, how they sit."""

from dataclasses import dataclass
from enum import StrEnum

from scrubwright.battery.charge_left import GravityFamily
from scrubwright.measures.checks import check_above_zero, check_zero_or_more
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin


class Chemistry(StrEnum):
    """What kind of pack it is, as the label says."""

    FLOODED = "flooded"
    AGM = "AGM"
    GEL = "gel"
    LITHIUM = "lithium"


SEALED = frozenset({Chemistry.AGM, Chemistry.GEL})


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedCapacity:
    """One row of the rate table on the pack's label or data sheet.

    Parameters
    ----------
    capacity_ah
        What the pack gives [Ah, > 0] ...
    over_h
        ... when it is emptied evenly over so many hours [h, > 0].
    """

    capacity_ah: float
    over_h: float

    def __post_init__(self) -> None:
        check_above_zero("capacity_ah", self.capacity_ah)
        check_above_zero("over_h", self.over_h)

    @property
    def current_a(self) -> float:
        """The steady current of this row [A]."""
        return self.capacity_ah / self.over_h


@dataclass(frozen=True, slots=True, kw_only=True)
class LockOut:
    """The machine's own guard: it stops the brushes once the pack stays below a voltage.

    Parameters
    ----------
    voltage_v
        Pack voltage under load at which it acts [V, > 0].
    delay_s
        For how long the voltage must stay below [s, >= 0].
    """

    voltage_v: float
    delay_s: float

    def __post_init__(self) -> None:
        check_above_zero("lock-out voltage_v", self.voltage_v)
        check_zero_or_more("lock-out delay_s", self.delay_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeAtDepth:
    """One point of the maker's life curve: discharges of this depth until the pack holds 80 % of its rating."""

    depth_fraction: float
    life_cycles: float

    def __post_init__(self) -> None:
        if not 0 < self.depth_fraction <= 1:
            raise BadInput(
                "The depth of a discharge is {given}; enter a share above 0 and up to 1, such as 0.6.",
                given=str(self.depth_fraction),
            )
        check_above_zero("life_cycles", self.life_cycles)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One pack.

    Parameters
    ----------
    name
        What its people call it.
    chemistry
        Flooded, AGM, gel or lithium.
    cells
        Cells in series [1 to 120]; numbered from 1 at the pack's positive end.
    capacities
        Rows of the rate table, at least one.
    rated_k
        Temperature that the rate table holds at [K]; 303 K for traction cells, 298 K for most blocks.
    cut_off_v
        Voltage of one cell at which the rate table ends [V]; None for lithium.
    cells_per_block
        Cells in one case: 1 for single cells, 3 for 6 V blocks, 6 for 12 V blocks; divides `cells`.
    rows
        Where the cells sit, seen from above with the machine's front upward: cell numbers, row by row, each once.
        Empty where not known.
    family
        The pack's own way from gravity to charge; flooded packs only, and required there.
    reference_k
        Temperature that its gravities hold at [K]; flooded packs only, and required there.
    lock_out
        Of the machine it is in; None where not known.
    reserve_l
        Water of one cell between the filling mark and the top of the plates [L]; None where not known.
    mark_m
        How far the filling mark lies below the vent well [m]; None where the maker's is not known.
    life
        The maker's life curve; empty where not known.
    resistance_ohm
        Of the whole pack with its cables, as measured on the machine [ohm]; None where not measured.
    origins
        Where figures come from, by name such as "cut_off_v", for every figure that is not off the label.
    """

    name: str
    chemistry: Chemistry
    cells: int
    capacities: tuple[RatedCapacity, ...]
    rated_k: float
    cut_off_v: float | None = None
    cells_per_block: int = 1
    rows: tuple[tuple[int, ...], ...] = ()
    family: GravityFamily | None = None
    reference_k: float | None = None
    lock_out: LockOut | None = None
    reserve_l: float | None = None
    mark_m: float | None = None
    life: tuple[LifeAtDepth, ...] = ()
    resistance_ohm: float | None = None
    origins: tuple[tuple[str, Origin], ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput("The pack has no name; enter what your people call it.")
        if not 1 <= self.cells <= 120:
            raise BadInput("The pack has {cells} cells in series; enter from 1 to 120.", cells=self.cells)
        if self.cells_per_block < 1 or self.cells % self.cells_per_block:
            raise BadInput(
                "The pack has {cells} cells, {each} in each block; the blocks must share the cells evenly. "
                "Count the caps of one block.",
                cells=self.cells,
                each=self.cells_per_block,
            )
        self._check_capacities()
        self._check_chemistry()
        seated = sorted(cell for row in self.rows for cell in row)
        if self.rows and seated != list(range(1, self.cells + 1)):
            raise BadInput(
                "The rows of the pack must name each cell from 1 to {cells} once; enter them again.", cells=self.cells
            )

    def _check_capacities(self) -> None:
        hours = [row.over_h for row in self.capacities]
        if not hours:
            raise BadInput(
                "The pack has no rated capacity; enter at least one row: ampere-hours and over how many hours."
            )
        if len(set(hours)) != len(hours):
            raise BadInput("Two rated capacities are for the same hours; give each row of the rate table once.")

    def _check_chemistry(self) -> None:
        if self.chemistry is Chemistry.FLOODED:
            if self.family is None or self.reference_k is None:
                raise BadInput(
                    "A flooded pack needs its full and flat gravity and the temperature they hold at; enter them "
                    "from the pack's papers, or choose one of the published tables."
                )
        elif self.family is not None or self.reference_k is not None or self.reserve_l is not None:
            raise BadInput(
                "Gravity and water are given for a pack that is {chemistry}; they belong to flooded packs only. "
                "Leave them out.",
                chemistry=self.chemistry,
            )
        if self.chemistry is not Chemistry.LITHIUM:
            if self.cut_off_v is None:
                raise BadInput(
                    "The pack has no cut-off voltage; enter the volts of one cell at which its rate table ends, "
                    "such as 1.75 or 1.70."
                )
            check_above_zero("cut_off_v", self.cut_off_v)

    def origin(self, name: str) -> Origin:
        """Where a figure such as "cut_off_v" comes from."""
        return dict(self.origins).get(name, Origin.PLATE)

    @property
    def blocks(self) -> int:
        """How many cases the pack is made of."""
        return self.cells // self.cells_per_block

    @property
    def end_v(self) -> float | None:
        """Voltage of the whole pack at which its rate table ends [V]; None for lithium."""
        return None if self.cut_off_v is None else self.cut_off_v * self.cells

    @property
    def capacity_ah(self) -> float:
        """The capacity that work on a machine comes closest to: the row nearest to five hours [Ah]."""
        return min(self.capacities, key=lambda row: abs(row.over_h - 5)).capacity_ah


class ChargeProfile(StrEnum):
    """Charging profiles by the letters of DIN 41773 and DIN 41774.

    I is steady current, U steady voltage, W a current that falls as the voltage rises; a is an
    automatic end, o an automatic change to the next letter.
    """

    IUIA = "IUIa"
    IUOU = "IUoU"
    WA = "Wa"
    WOWA = "WoWa"


@dataclass(frozen=True, slots=True, kw_only=True)
class Charger:
    """One charger.

    Parameters
    ----------
    name
        What its people call it.
    profile
        Its letters.
    main_a
        Current it starts with [A, > 0].
    finish_a
        Current in the last, gassing part [A, > 0]; None where the plate does not say.
    charge_factor_ratio
        Ampere-hours put in over those taken out, as its maker or the pack's maker says [1 to 1.5]; None: as practice.
    circulates
        Whether air is blown through the electrolyte, which needs less overcharge.
    mains_v, mains_a
        Of its plate [V], [A]; None where not known.
    efficiency_fraction, power_factor_fraction
        Of its plate [0 to 1]; None where not known.
    """

    name: str
    profile: ChargeProfile
    main_a: float
    finish_a: float | None = None
    charge_factor_ratio: float | None = None
    circulates: bool = False
    mains_v: float | None = None
    mains_a: float | None = None
    efficiency_fraction: float | None = None
    power_factor_fraction: float | None = None

    def __post_init__(self) -> None:
        check_above_zero("main_a", self.main_a)
        for name in ("finish_a", "mains_v", "mains_a"):
            value = getattr(self, name)
            if value is not None:
                check_above_zero(name, value)
        for name in ("efficiency_fraction", "power_factor_fraction"):
            value = getattr(self, name)
            if value is not None and not 0 < value <= 1:
                raise BadInput(
                    "{figure} is {given}; enter a share above 0 and up to 1, such as 0.87.",
                    figure=name,
                    given=str(value),
                )
        if self.charge_factor_ratio is not None and not 1 <= self.charge_factor_ratio <= 1.5:
            raise BadInput(
                "The charge factor is {given}; enter ampere-hours in over ampere-hours out, from 1 to 1.5, "
                "such as 1.15.",
                given=str(self.charge_factor_ratio),
            )
