"""A pack and a charger in one line, for the tests of charging."""

from scrubwright.battery.charge_left import GravityFamily, GravityPoint
from scrubwright.battery.pack import ChargeProfile, Charger, Chemistry, LifeAtDepth, Pack, RatedCapacity
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.measures.units import KELVIN_AT_0_C

FAMILY = GravityFamily(
    name=Sentence("its own"),
    points=(
        GravityPoint(gravity_ratio=1.120, charge_fraction=0.0),
        GravityPoint(gravity_ratio=1.280, charge_fraction=1.0),
    ),
    origin=Origin.PLATE,
    source=Sentence("its papers"),
)


def pack_of(
    chemistry: Chemistry = Chemistry.FLOODED,
    capacity_ah: float = 240.0,
    cells: int = 18,
    reserve_l: float | None = None,
    mark_m: float | None = None,
    life: tuple[LifeAtDepth, ...] = (),
) -> Pack:
    flooded = chemistry is Chemistry.FLOODED
    return Pack(
        name="scrubber 1",
        chemistry=chemistry,
        cells=cells,
        capacities=(RatedCapacity(capacity_ah=capacity_ah, over_h=5.0),),
        rated_k=KELVIN_AT_0_C + 30,
        cut_off_v=None if chemistry is Chemistry.LITHIUM else 1.7,
        family=FAMILY if flooded else None,
        reference_k=KELVIN_AT_0_C + 30 if flooded else None,
        reserve_l=reserve_l,
        mark_m=mark_m,
        life=life,
    )


def charger_of(
    profile: ChargeProfile = ChargeProfile.IUIA,
    main_a: float = 38.4,
    *,
    finish_a: float | None = None,
    charge_factor_ratio: float | None = None,
    circulates: bool = False,
    mains_v: float | None = None,
    mains_a: float | None = None,
    efficiency_fraction: float | None = None,
    power_factor_fraction: float | None = None,
) -> Charger:
    return Charger(
        name="wall charger",
        profile=profile,
        main_a=main_a,
        finish_a=finish_a,
        charge_factor_ratio=charge_factor_ratio,
        circulates=circulates,
        mains_v=mains_v,
        mains_a=mains_a,
        efficiency_fraction=efficiency_fraction,
        power_factor_fraction=power_factor_fraction,
    )
