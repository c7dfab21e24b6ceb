"""Every public name says what it is, and every formula where it comes from."""

import ast
import re
from collections.abc import Iterator

from tests.house_rules.source_tree import KNOW_HOW, float_aliases, is_floats, modules, public_names

SOURCE_LINE = re.compile(r"^\s*(\*\*)?Source\b", re.MULTILINE)


def names_without_docstring(tree: ast.Module) -> Iterator[str]:
    if not ast.get_docstring(tree):
        yield "the module"
    for public in public_names(tree):
        if not ast.get_docstring(public.node):
            yield public.name


def formulas_without_source(tree: ast.Module) -> Iterator[str]:
    """Public functions that compute floats and name no source; a property only repeats its record."""
    for public in public_names(tree):
        if isinstance(public.node, ast.ClassDef) or public.is_property:
            continue
        if is_floats(public.node.returns, float_aliases()):
            docstring = ast.get_docstring(public.node) or ""
            if not SOURCE_LINE.search(docstring):
                yield public.name


def test_every_public_name_has_a_docstring() -> None:
    assert [f"{each.place}: {name}" for each in modules() for name in names_without_docstring(each.tree)] == []


def test_every_formula_of_the_know_how_names_its_source() -> None:
    know_how = [module for module in modules() if module.room in KNOW_HOW]
    assert [f"{each.place}: {name}" for each in know_how for name in formulas_without_source(each.tree)] == []


def test_a_missing_docstring_and_a_missing_source_are_caught() -> None:
    planted = ast.parse(
        "def film_l_per_m2() -> float:\n    'Water on the floor.'\n"
        "def flow_l_per_min() -> float:\n    '''Flow.\n\n    **Source** Common practice.\n    '''\n"
        "class Tank:\n    def is_full(self) -> bool: ...\n"
    )
    assert list(names_without_docstring(planted)) == ["the module", "Tank", "Tank.is_full"]
    assert list(formulas_without_source(planted)) == ["film_l_per_m2"]
