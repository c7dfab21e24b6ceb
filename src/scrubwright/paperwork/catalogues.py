"""The catalogue from its files: the one that ships with the program, and a shop's own laid over it."""

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from scrubwright.catalogue.overlay import check_no_weaker, laid_over
from scrubwright.catalogue.parts import Catalogue
from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.catalogue_file import PartFile
from scrubwright.paperwork.catalogue_records import part_of
from scrubwright.paperwork.toml_tables import content_of, shape_problems, text_of

Tables = Mapping[str, Any]


@cache
def shipped_catalogue() -> Catalogue:
    """The catalogue that ships with the program."""
    return Catalogue(parts=tuple(part_of(_part_file(given), {}) for given in shipped_tables().values()))


def catalogue_with(overlays: Sequence[Path]) -> Catalogue:
    """The catalogue with a shop's own files laid over it, in their order.

    Parameters
    ----------
    overlays
        TOML files; each is one part, known by its `id`: a new one, or what changes of a known one.

    Raises
    ------
    UnreadablePaper
        No such file, no TOML, or a line that cannot be; it names the file and the line.
    """
    catalogue = shipped_catalogue()
    tables = dict(shipped_tables())
    changed: dict[str, tuple[str, ...]] = {}
    for path in overlays:
        over = _with_amounts(content_of(text_of(path), path.name))
        name = over.get("id")
        if not isinstance(name, str):
            raise UnreadablePaper(
                "{file} names no part; begin it with id = and the part's name, such as wheels.", file=path.name
            )
        try:
            tables[name], changes = laid_over(tables.get(name, {}), over, path.name)
            for identity, keys in changes.items():
                changed[identity] = changed.get(identity, ()) + keys
            parts = {part.identity: part for part in catalogue.parts}
            parts[name] = part_of(_part_file(tables[name]), changed)
            catalogue = Catalogue(parts=tuple(parts.values()))
            check_no_weaker(shipped_catalogue(), catalogue)
        except BadInput as error:
            raise UnreadablePaper("{file}: {problem}", file=path.name, problem=error.sentence) from error
    return catalogue


@cache
def shipped_tables() -> Mapping[str, Tables]:
    """The tables of the shipped files, by part."""
    folder = files("scrubwright.catalogue") / "parts"
    texts = sorted((paper.name, paper.read_text(encoding="utf-8")) for paper in folder.iterdir())
    parts = [_with_amounts(tomllib.loads(text)) for name, text in texts if name.endswith(".toml")]
    return {part["id"]: part for part in parts}


def _part_file(given: Tables) -> PartFile:
    missing, wrong = shape_problems(PartFile, given)
    if missing or wrong:
        problems: tuple[Sentence, ...] = (*wrong, *missing)
        raise BadInput("Part {part}: {problems}", part=str(given.get("id", "")), problems=problems)
    return PartFile.model_validate(given)


def _with_amounts(given: Tables) -> dict[str, Any]:
    """Service items with limit_m and new_m as tables of their own, so that each unit is one key."""
    part = dict(given)
    if isinstance(given.get("service"), list):
        part["service"] = [_item(row) if isinstance(row, dict) else row for row in given["service"]]
    return part


def _item(row: Mapping[str, Any]) -> dict[str, Any]:
    item: dict[str, Any] = {}
    for key, value in row.items():
        table = next((name for name in ("limit", "new") if key.startswith(name + "_")), None)
        item |= {table: {"name": key, "value": value}} if table else {key: value}
    return item
