"""From the tables of a pack file to the records of the battery room, part by part, so that every problem is told."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scrubwright.battery.charge_left import FULL_1265, FULL_1280, PUBLISHED_AT_K, GravityFamily, own_family
from scrubwright.battery.pack import Charger, Chemistry, LifeAtDepth, LockOut, Pack, RatedCapacity
from scrubwright.measures.errors import BadInput
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.instruments import GravityScale
from scrubwright.paperwork.pack_figures import record_name
from scrubwright.paperwork.pack_file import GravityTable, GravityTableOfPack, PackFile

# A figure by its place in the file, e.g. "capacity 2.ah", in the records' unit.
Figures = Mapping[str, Figure]
Origins = Mapping[str, Origin]

_TABLES = {GravityTable.FULL_1265: FULL_1265, GravityTable.FULL_1280: FULL_1280}
# Volts of one cell at which a discharge may end, and at which a lock-out may act.
_CUT_OFF_LEAD_V = (1.5, 2.0)
_CUT_OFF_LITHIUM_V = (2.0, 3.4)
_LOCK_OUT_LEAD_V = (1.2, 2.15)
_LOCK_OUT_LITHIUM_V = (2.0, 3.6)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackPaper:
    """What a pack file says: the pack, its charger, and what its hydrometer is marked in.

    Parameters
    ----------
    pack
        The pack.
    charger
        Its charger; None where the file names none.
    scale
        Of the gravities in its readings; SG for a pack without gravities.
    """

    pack: Pack
    charger: Charger | None
    scale: GravityScale


def paper_of(file: PackFile, figures: Figures, origins: Origins) -> tuple[PackPaper | None, tuple[Sentence, ...]]:
    """The pack and charger of a file that is complete, or what in it does not go together.

    Parameters
    ----------
    file
        The checked tables.
    figures
        Every figure of the file, converted.
    origins
        Where figures come from, by key, for those that are not off the label.
    """
    wrong = list(_cross_problems(file, figures))
    parts: dict[str, Any] = {}
    builders: dict[str, Callable[[], Any]] = {
        "capacities": lambda: tuple(
            RatedCapacity(capacity_ah=_value(figures, f"{place}.ah"), over_h=_value(figures, f"{place}.over_h"))
            for place in _places("capacity", file.capacity)
        ),
        "family": lambda: _family(file.gravity, figures, origins) if file.gravity is not None else None,
        "lock_out": lambda: _lock_out(file, figures),
        "life": lambda: tuple(
            LifeAtDepth(
                depth_fraction=_value(figures, f"{place}.depth_percent"),
                life_cycles=_value(figures, f"{place}.cycles"),
            )
            for place in _places("life", file.life)
        ),
        "charger": lambda: _charger(file, figures),
    }
    for name, build in builders.items():
        try:
            parts[name] = build()
        except BadInput as problem:
            wrong.append(problem.sentence)
    if wrong:
        return None, tuple(wrong)
    try:
        charger = parts.pop("charger")
        pack = _pack(file, figures, _origins(origins), parts)
    except BadInput as problem:
        return None, (problem.sentence,)
    scale = file.gravity.scale if file.gravity is not None else GravityScale.SPECIFIC_GRAVITY
    return PackPaper(pack=pack, charger=charger, scale=scale), ()


def _pack(file: PackFile, figures: Figures, origins: tuple[tuple[str, Origin], ...], parts: Mapping[str, Any]) -> Pack:
    return Pack(
        name=file.name,
        chemistry=file.chemistry,
        cells=file.cells,
        cells_per_block=file.cells_per_block,
        rows=file.rows,
        rated_k=_value(figures, "rated_temperature_c"),
        cut_off_v=_given(figures, "cut_off_v_per_cell"),
        reference_k=_reference_k(file, figures),
        reserve_l=_given(figures, "water.reserve_ml"),
        mark_m=_given(figures, "water.mark_mm"),
        resistance_ohm=_given(figures, "resistance_mohm"),
        origins=origins,
        **parts,
    )


def _reference_k(file: PackFile, figures: Figures) -> float | None:
    """The temperature that the gravities hold at: the pack's own, or that of the published table."""
    if file.gravity is None or file.gravity.family is GravityTable.OWN:
        return _given(figures, "gravity.reference_temperature_c")
    return PUBLISHED_AT_K


def _family(table: GravityTableOfPack, figures: Figures, origins: Origins) -> GravityFamily:
    if table.family is not GravityTable.OWN:
        return _TABLES[table.family]
    return own_family(
        _value(figures, "gravity.full"),
        _value(figures, "gravity.flat"),
        flat_charge_fraction=_given(figures, "gravity.flat_charge_percent") or 0.0,
        origin=_weaker(origins.get("gravity.full"), origins.get("gravity.flat")),
    )


def _weaker(*given: Origin | None) -> Origin:
    """Where two figures together come from: memory before measured before the label."""
    return next((origin for origin in (Origin.MEMORY, Origin.MEASURED) if origin in given), Origin.PLATE)


def _lock_out(file: PackFile, figures: Figures) -> LockOut | None:
    if file.lock_out is None:
        return None
    return LockOut(voltage_v=_value(figures, "lock_out.voltage_v"), delay_s=_value(figures, "lock_out.delay_s"))


def _charger(file: PackFile, figures: Figures) -> Charger | None:
    if file.charger is None:
        return None
    numbers = {figure.name: figure.value for place, figure in figures.items() if place.rpartition(".")[0] == "charger"}
    return Charger(name=file.charger.name, profile=file.charger.profile, circulates=file.charger.circulates, **numbers)


def _cross_problems(file: PackFile, figures: Figures) -> Iterator[Sentence]:
    """What cannot stand together, although each is possible."""
    is_lithium = file.chemistry is Chemistry.LITHIUM
    least_v, most_v = _CUT_OFF_LITHIUM_V if is_lithium else _CUT_OFF_LEAD_V
    cut_off_v = _given(figures, "cut_off_v_per_cell")
    if cut_off_v is not None and not least_v <= cut_off_v <= most_v:
        yield Sentence(
            "cut_off_v_per_cell is {given_v}; one cell of this pack ends a discharge between {least_v} and {most_v}. "
            "Enter the volts of one cell, from the pack's papers.",
            given_v=cut_off_v,
            least_v=least_v,
            most_v=most_v,
        )
    lock_out_v = _given(figures, "lock_out.voltage_v")
    least_v, most_v = _LOCK_OUT_LITHIUM_V if is_lithium else _LOCK_OUT_LEAD_V
    if lock_out_v is not None and not least_v <= lock_out_v / file.cells <= most_v:
        yield Sentence(
            "lock_out.voltage_v is {given_v}; a pack of {cells} cells is stopped between {least_v} and {most_v}. "
            "Enter the volts of the whole pack, from the machine's handbook.",
            given_v=lock_out_v,
            cells=file.cells,
            least_v=least_v * file.cells,
            most_v=most_v * file.cells,
        )
    main_a, finish_a = (_given(figures, f"charger.{key}") for key in ("main_a", "finish_a"))
    if main_a is not None and finish_a is not None and finish_a > main_a:
        yield Sentence(
            "charger.finish_a is {finish_a} and main_a {main_a}; a charger ends with less than it starts with. Look at "
            "its plate again.",
            finish_a=finish_a,
            main_a=main_a,
        )
    if file.chemistry is not Chemistry.FLOODED and (file.gravity is not None or file.water is not None):
        yield Sentence(
            "Gravity and water are given for a pack that is {chemistry}; they belong to flooded packs only. "
            "Leave them out.",
            chemistry=file.chemistry,
        )
    elif file.gravity is not None and file.gravity.family is not GravityTable.OWN:
        for key in ("full", "flat", "flat_charge_percent", "reference_temperature_c"):
            if getattr(file.gravity, key) is not None:
                yield Sentence(
                    'gravity.{key} is given, but family is "{family}", which has its own. Take it out, or write '
                    'family = "own".',
                    key=key,
                    family=file.gravity.family.value,
                )


# What the pack calls figures that it keeps in a record of their own.
_PARTS = {"capacity": "capacities", "gravity": "family", "life": "life", "lock_out": "lock_out"}


def _origins(origins: Origins) -> tuple[tuple[str, Origin], ...]:
    """The origins by the names of the records; a part is as sure as the least sure of its figures."""
    named: dict[str, Origin] = {}
    for path, origin in sorted(origins.items()):
        table = path.rpartition(".")[0]
        name = record_name(path)
        if table == "charger":
            name = f"charger.{name}"
        elif table in _PARTS and name != "reference_k":
            name = _PARTS[table]
        named[name] = _weaker(named.get(name), origin) if table in _PARTS else origin
    return tuple(sorted(named.items()))


def _places(table: str, rows: tuple[Any, ...]) -> list[str]:
    return [f"{table} {number}" for number, _ in enumerate(rows, 1)]


def _given(figures: Figures, place: str) -> float | None:
    return figures[place].value if place in figures else None


def _value(figures: Figures, place: str) -> float:
    return figures[place].value
