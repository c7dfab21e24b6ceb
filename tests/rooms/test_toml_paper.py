"""The blank, the schema and the reference table of every kind of file hold every key and agree with each other."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.charging_file import ChargingFile
from scrubwright.paperwork.charging_paper import blank_charging, charging_file_schema, charging_keys_as_markdown
from scrubwright.paperwork.pack_file import PackFile
from scrubwright.paperwork.pack_paper import blank_pack, pack_keys_as_markdown, pack_schema
from scrubwright.paperwork.plate_file import PlateFile
from scrubwright.paperwork.plate_paper import blank_plate, keys_as_markdown, plate_schema
from scrubwright.paperwork.toml_keys import Table, known_paths
from scrubwright.paperwork.wording import Language, Teller

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of file: its blank, schema and keys, where its examples and its page stand, and what a blank holds."""

    root: type[Table]
    blank: Callable[[Callable[[Sentence], str]], str]
    schema: Callable[[], dict[str, Any]]
    keys: Callable[[], str]
    folder: str
    page: str
    holds: frozenset[str]


KINDS = {
    "plate": Kind(
        root=PlateFile,
        blank=blank_plate,
        schema=plate_schema,
        keys=keys_as_markdown,
        folder="plates",
        page="plate.md",
        holds=frozenset({"name", "deck", "slopes"}),
    ),
    "pack": Kind(
        root=PackFile,
        blank=blank_pack,
        schema=pack_schema,
        keys=pack_keys_as_markdown,
        folder="packs",
        page="pack-file.md",
        holds=frozenset({"name", "chemistry", "capacity"}),
    ),
    "charging": Kind(
        root=ChargingFile,
        blank=blank_charging,
        schema=charging_file_schema,
        keys=charging_keys_as_markdown,
        folder="charging",
        page="charging-file.md",
        holds=frozenset({"machine", "circuit"}),
    ),
}
EXAMPLES = [(kind, path) for kind in KINDS for path in sorted((ROOT / "examples" / KINDS[kind].folder).glob("*.toml"))]


@pytest.mark.parametrize("language", Language)
@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_is_proper_toml_in_every_language(kind: str, language: Language) -> None:
    blank = KINDS[kind].blank(Teller(language=language).tell)
    assert set(tomllib.loads(blank)) >= KINDS[kind].holds
    assert max(len(line) for line in blank.splitlines()) <= 110


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_and_the_reference_page_show_every_key(kind: str) -> None:
    paths, blank, table = known_paths(KINDS[kind].root), KINDS[kind].blank(str), KINDS[kind].keys()
    assert [path for path in paths if f"{path.rpartition('.')[2]} = " not in blank] == []
    assert table.count("\n") == len(paths) + 2
    assert table in (ROOT / "docs" / "reference" / KINDS[kind].page).read_text(encoding="utf-8")


@pytest.mark.parametrize(("kind", "path"), EXAMPLES, ids=lambda value: value if isinstance(value, str) else value.stem)
def test_the_schema_accepts_the_examples(kind: str, path: Path) -> None:
    schema = KINDS[kind].schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(tomllib.loads(path.read_text(encoding="utf-8")))


def test_every_kind_has_examples() -> None:
    assert {kind for kind, _ in EXAMPLES} == set(KINDS)
