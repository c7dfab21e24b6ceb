"""Every sentence that a person may read is told in Spanish too, with the same values."""

import ast
import re
import string
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from scrubwright.measures.units import UNITS, unit_of
from tests.house_rules.source_tree import PACKAGE, called, modules, tracked_texts

SENTENCES = {"BadInput", "NoAnswer", "OutOfRange", "Sentence", "UnreadablePaper"}
HELP = {"Parser", "add_argument", "add_parser"}
# These hand a template on under that name; it begins elsewhere.
HANDS_ON = {
    "src/scrubwright/measures/errors.py",
    "src/scrubwright/measures/sentence.py",
    "src/scrubwright/paperwork/wording.py",
}
HANDED_ON = {"template", "str(template)"}
UNIT_SUFFIX = re.compile(r"_[a-z0-9_]+$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One place of the source where a template stands."""

    place: str
    template: str | None
    call: ast.Call


def told(tree: ast.Module, place: str) -> Iterator[Told]:
    """The sentences of a module; `template` is None where it is no plain literal."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        for template in _templates(node):
            if not (place in HANDS_ON and ast.unparse(template) in HANDED_ON):
                literal = str(template.value) if isinstance(template, ast.Constant) else None
                yield Told(place=f"{place}:{node.lineno}", template=literal, call=node)


def _templates(call: ast.Call) -> Iterator[ast.expr]:
    if call.args and called(call) in SENTENCES | error_classes():
        yield call.args[0]
    elif call.args and called(call) == "words":
        # The edge may also tell an enumerated value, which is its own template; never a text put together.
        if isinstance(call.args[0], ast.Constant | ast.JoinedStr | ast.BinOp):
            yield call.args[0]
    elif called(call) in HELP:
        told_later = [each.value for each in call.keywords if each.arg in {"help", "description"}]
        yield from (value for value in told_later if isinstance(value, ast.Constant))


@cache
def error_classes() -> frozenset[str]:
    """Classes that other modules derive from the family of errors."""
    known = set(SENTENCES)
    classes = [node for module in modules() for node in ast.walk(module.tree) if isinstance(node, ast.ClassDef)]
    for _ in classes:
        known |= {node.name for node in classes if {ast.unparse(base).split(".")[-1] for base in node.bases} & known}
    return frozenset(known)


def all_told() -> Iterator[Told]:
    for module in modules():
        yield from told(module.tree, module.place)


def has_words(template: str) -> bool:
    """Whether a language has a say in it: "{length_m}" alone is the same in all."""
    return any(any(map(str.isalpha, text)) for text, _, _, _ in string.Formatter().parse(template))


def placeholders(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


def values_astray(each: Told) -> Iterator[str]:
    """Values that a template names and nobody gives, or the reverse, and floats given without their unit."""
    if called(each.call) in HELP:
        return
    keywords = {keyword.arg: keyword.value for keyword in each.call.keywords}
    if None not in keywords and (astray := placeholders(each.template or "") ^ {str(name) for name in keywords}):
        yield f"{each.place}: {sorted(astray)} stands only in the template or only in the values"
    for name, value in keywords.items():
        if name is not None and _is_float_with_other_unit(name, value):
            yield f"{each.place}: {name}={ast.unparse(value)} is a float of another unit, or of none"


def _is_float_with_other_unit(name: str, value: ast.expr) -> bool:
    if isinstance(value, ast.Constant):
        return isinstance(value.value, float) and unit_of(name) is None
    given = value.attr if isinstance(value, ast.Attribute) else value.id if isinstance(value, ast.Name) else ""
    unit = unit_of(given.lower()) if UNIT_SUFFIX.search(given.lower()) else None
    return unit is not None and unit_of(name) != unit


def spanish() -> dict[str, str]:
    sentences: dict[str, str] = {}
    for path in sorted((PACKAGE / "paperwork" / "words" / "es").glob("*.toml")):
        sentences |= tomllib.loads(path.read_text(encoding="utf-8")).get("sentences", {})
    return sentences


def test_every_template_is_one_literal() -> None:
    assert [each.place for each in all_told() if each.template is None] == []


def test_every_sentence_is_told_in_spanish() -> None:
    known = spanish()
    missing = {each.template: each.place for each in all_told() if each.template and each.template not in known}
    assert [f"{place}: {template}" for template, place in missing.items() if has_words(template)] == []


def test_spanish_names_the_same_values() -> None:
    assert [english for english, said in spanish().items() if placeholders(english) != placeholders(said)] == []


def test_no_spanish_outlives_its_english() -> None:
    literals = {
        node.value
        for module in modules()
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    literals |= {shown.label for unit in UNITS for shown in (unit.si, unit.us)}
    pages = "".join(text for name, text in tracked_texts().items() if name.endswith((".html", ".js")))
    assert [english for english in spanish() if english not in literals and english not in pages] == []


def test_every_value_of_a_sentence_is_given_with_its_unit() -> None:
    assert [fault for each in all_told() if each.template is not None for fault in values_astray(each)] == []


def test_a_value_astray_is_caught() -> None:
    planted = ast.parse(
        "BadInput('{gap} and {need_m}', gap=self.gap_m, need_m=need_m)\n"
        "Sentence('{speed_m_per_s} of {name}', speed_m_per_s=speed_m_per_s, size=1)\n"
        "Sentence(template)\n"
    )
    planted_ones = list(told(planted, "planted"))
    faults = [fault for each in planted_ones if each.template for fault in values_astray(each)]
    assert [each.template is None for each in planted_ones] == [False, False, True]
    assert faults == [
        "planted:1: gap=self.gap_m is a float of another unit, or of none",
        "planted:2: ['name', 'size'] stands only in the template or only in the values",
    ]
