"""Records do not change, hold no stray attributes, and are made by naming every field."""

import ast
from collections.abc import Iterator

from tests.house_rules.source_tree import called, modules

WANTED = {"frozen", "kw_only", "slots"}
# Takes its values by their own names, whatever they are.
EXEMPT = {"src/scrubwright/measures/sentence.py Sentence: kw_only"}


def loose_records(tree: ast.Module) -> Iterator[str]:
    """Public dataclasses of a module and what they lack; a private one may hold state between calls."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.ClassDef) or node.name.startswith("_"):
            continue
        for decorator in node.decorator_list:
            is_bare = ast.unparse(decorator).split(".")[-1] == "dataclass"
            if is_bare or (isinstance(decorator, ast.Call) and called(decorator) == "dataclass"):
                keywords = decorator.keywords if isinstance(decorator, ast.Call) else []
                given = {each.arg for each in keywords if ast.unparse(each.value) == "True"}
                yield from (f"{node.name}: {lacking}" for lacking in sorted(WANTED - given))


def test_every_public_record_is_frozen_slotted_and_made_by_name() -> None:
    found = {f"{module.place} {fault}" for module in modules() for fault in loose_records(module.tree)}
    assert sorted(found - EXEMPT) == []
    assert sorted(EXEMPT - found) == [], "exempt, but no longer there"


def test_a_record_that_can_change_is_caught() -> None:
    planted = ast.parse("@dataclass(slots=True, kw_only=True)\nclass Tank:\n    full_l: float\n")
    assert list(loose_records(planted)) == ["Tank: frozen"]
