"""Rooms that compute touch no file, no clock and no chance of their own."""

import ast
import tomllib
from collections.abc import Iterator

from tests.house_rules.source_tree import PURE_ROOMS, ROOT, called, modules, rooms

TOUCHES_THE_WORLD = {"breakpoint", "eval", "exec", "input", "open", "print"}
READS_THE_CLOCK = {"monotonic", "now", "perf_counter", "process_time", "today", "utcnow"}
MOVES_FILES = {
    "fromfile",
    "genfromtxt",
    "loadtxt",
    "memmap",
    "read_bytes",
    "read_text",
    "savetxt",
    "savez",
    "savez_compressed",
    "tofile",
    "write_bytes",
    "write_text",
}
HANDED_IN = {"BitGenerator", "Generator"}


def impurities(tree: ast.Module) -> Iterator[str]:
    """What a pure room may not do, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = called(node)
            is_bare = isinstance(node.func, ast.Name)
            if (is_bare and name in TOUCHES_THE_WORLD) or name in READS_THE_CLOCK | MOVES_FILES:
                yield f"{node.lineno}: {name}()"
        elif isinstance(node, ast.Attribute) and ast.unparse(node.value) in {"np.random", "numpy.random"}:
            if node.attr not in HANDED_IN:
                yield f"{node.lineno}: np.random.{node.attr}"
        elif isinstance(node, ast.ImportFrom) and node.module == "numpy.random":
            yield from (f"{node.lineno}: {each.name}" for each in node.names if each.name not in HANDED_IN)
        elif isinstance(node, ast.Global):
            yield f"{node.lineno}: global {', '.join(node.names)}"


def test_rooms_that_compute_are_pure() -> None:
    pure = [module for module in modules() if module.room in PURE_ROOMS]
    assert [f"{each.place}:{fault}" for each in pure for fault in impurities(each.tree)] == []


def test_an_impure_room_is_caught() -> None:
    planted = ast.parse(
        "def when(): return datetime.now()\n"
        "def chance(): return np.random.default_rng()\n"
        "def draw(rng: np.random.Generator): return rng.random()\n"
        "def tell(x): print(x)\n"
        "def keep(x): np.savetxt('x', x)\n"
    )
    assert sorted(impurities(planted)) == ["1: now()", "2: np.random.default_rng", "4: print()", "5: savetxt()"]


def test_every_pure_room_is_named_in_the_import_rule() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    (named,) = [
        set(contract["source_modules"])
        for contract in settings["tool"]["importlinter"]["contracts"]
        if contract["type"] == "forbidden"
    ]
    assert named == {f"scrubwright.{room}" for room in rooms() & set(PURE_ROOMS)}
