"""Every public float ends in a suffix of the units table."""

import ast
from collections.abc import Iterator

from scrubwright.measures.units import unit_of
from tests.house_rules.source_tree import EDGES, Function, float_aliases, is_floats, modules, public_names

# What people enter and read at the edges and nowhere else.
EDGE_SUFFIXES = ("cm", "deg", "degc", "ft", "gal", "in", "km_per_h", "mm", "percent", "px", "pt")

# A float called `value`, and the ends of its band, are in the unit that the text beside it ends in.
NAMED_BESIDE = {"name", "path"}
IN_THAT_UNIT = {"value", "low", "high"}
EXEMPT = {
    "catalogue/checks.py Measured.is_good(baseline)": "in the unit of the reading beside it",
    "cli/typed.py numbers": "as a person types them; the caller names the unit",
    "machine/ranges.py Range.least": "in the unit of the figure that RANGES lists it for",
    "machine/ranges.py Range.most": "in the unit of the figure that RANGES lists it for",
    "measures/units.py Shown.factor": "turns one unit into another",
    "measures/units.py Shown.number": "in the unit of the reader",
    "measures/units.py Shown.number(value)": "in the unit of the table's row",
    "measures/units.py Shown.offset": "turns one unit into another",
    "paperwork/wording.py Teller.plain(value)": "a pure number",
}


def names_without_unit(tree: ast.Module, *, is_edge: bool) -> Iterator[str]:
    """Public floats of a module that name no unit, as `Class.field`, `function` or `function(argument)`."""
    for public in public_names(tree):
        if isinstance(public.node, ast.ClassDef):
            given = _fields(public.node)
            shape = public.name + ".{}"
        else:
            given = _arguments(public.node)
            shape = public.name + "({})"
            if _lacks_unit(public.node.name, public.node.returns, is_edge=is_edge):
                yield public.name
        for name, annotation in given.items():
            is_named_beside = name in IN_THAT_UNIT and NAMED_BESIDE & given.keys()
            if not is_named_beside and _lacks_unit(name, annotation, is_edge=is_edge):
                yield shape.format(name)


def _fields(record: ast.ClassDef) -> dict[str, ast.expr | None]:
    annotated = [node for node in record.body if isinstance(node, ast.AnnAssign)]
    names = {node.target.id: node.annotation for node in annotated if isinstance(node.target, ast.Name)}
    return {name: annotation for name, annotation in names.items() if not name.startswith("_")}


def _arguments(function: Function) -> dict[str, ast.expr | None]:
    given = function.args
    extra = [argument for argument in (given.vararg, given.kwarg) if argument]
    return {each.arg: each.annotation for each in given.posonlyargs + given.args + given.kwonlyargs + extra}


def _lacks_unit(name: str, annotation: ast.expr | None, *, is_edge: bool) -> bool:
    if not is_floats(annotation, float_aliases()):
        return False
    return unit_of(name.lower()) is None and not (is_edge and name.endswith(tuple("_" + s for s in EDGE_SUFFIXES)))


def test_every_public_float_ends_in_a_unit() -> None:
    found = {
        f"{module.path.parent.name}/{module.path.name} {name}"
        for module in modules()
        for name in names_without_unit(module.tree, is_edge=module.room in EDGES)
    }
    assert sorted(found - set(EXEMPT)) == []
    assert sorted(set(EXEMPT) - found) == [], "exempt, but no longer there"


def test_a_float_without_its_unit_is_caught() -> None:
    planted = ast.parse(
        "class Tank:\n"
        "    size: float\n"
        "    full_l: float | None\n"
        "    count: int\n"
        "def speed(width: float, *, depth_m: float, shape: 'NDArray[np.float64]', tell: Callable[[float], str])"
        " -> tuple[float, ...]: ...\n"
        "def _hidden(x: float) -> float: ...\n"
    )
    assert list(names_without_unit(planted, is_edge=False)) == ["Tank.size", "speed", "speed(width)", "speed(shape)"]


def test_degrees_stand_only_at_the_edges() -> None:
    planted = ast.parse("def heading_deg() -> float: ...")
    assert list(names_without_unit(planted, is_edge=True)) == []
    assert list(names_without_unit(planted, is_edge=False)) == ["heading_deg"]
