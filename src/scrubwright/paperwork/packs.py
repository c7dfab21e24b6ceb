"""A pack file becomes a pack and its charger: every problem of the file is told at once, in words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scrubwright.battery.pack import Chemistry
from scrubwright.measures.errors import UnreadablePaper
from scrubwright.measures.provenance import Origin
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.figures import Figure
from scrubwright.paperwork.instruments import GravityScale, gravity_ratio
from scrubwright.paperwork.pack_figures import is_figure, is_gravity, pack_figure
from scrubwright.paperwork.pack_file import GravityTable, PackFile
from scrubwright.paperwork.pack_records import PackPaper, paper_of
from scrubwright.paperwork.toml_keys import known_paths
from scrubwright.paperwork.toml_tables import (
    Entry,
    content_of,
    figures_of,
    missing_key,
    names_astray,
    rows_of,
    shape_problems,
    text_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackReading:
    """What a pack file says, and what is missing or wrong in it.

    Parameters
    ----------
    paper
        The pack with its charger; None where something is missing or wrong.
    missing, wrong
        What to enter and what to mend, all of it.
    """

    paper: PackPaper | None
    missing: tuple[Sentence, ...] = ()
    wrong: tuple[Sentence, ...] = ()


def read_pack(path: Path) -> PackReading:
    """The pack in a file, or everything that is missing and wrong in it.

    Parameters
    ----------
    path
        A pack file (TOML), at most 0.2 MB.

    Raises
    ------
    UnreadablePaper
        No such file, too large, not text, or no TOML.
    """
    return pack_of_text(text_of(path), file=path.name)


def pack_from(path: Path) -> PackPaper:
    """The pack in a file that is meant to be complete.

    Raises
    ------
    UnreadablePaper
        The file cannot be read, or something in it is missing or wrong.
    """
    reading = read_pack(path)
    problems = reading.wrong + reading.missing
    if reading.paper is None:
        raise UnreadablePaper(
            "The pack {file} cannot be used yet; things to mend: {count}. The first: {first} "
            'See all of them with "scrubwright pack {file}".',
            file=path.name,
            count=len(problems),
            first=problems[0],
        )
    return reading.paper


def pack_of_text(text: str, file: str) -> PackReading:
    """The pack that a TOML text describes, or everything that is missing and wrong in it.

    Parameters
    ----------
    text
        The whole text.
    file
        Its name, for the messages.

    Raises
    ------
    UnreadablePaper
        It is no TOML.
    """
    given = content_of(text, file)
    if given.get("chemistry") == Chemistry.FLOODED:
        # An absent table is told key by key, like an empty one.
        given.setdefault("gravity", {})
    missing, wrong = shape_problems(PackFile, given)
    missing += _missing_by_kind(given)
    figures, unsound = figures_of(PackFile, given, _figure_in)
    wrong += [*unsound, *_unknown_figures(given)]
    if missing or wrong:
        return PackReading(paper=None, missing=tuple(missing), wrong=tuple(wrong))
    paper, crossed = paper_of(PackFile.model_validate(given), figures, _origins(given))
    return PackReading(paper=paper, wrong=crossed)


def _origins(given: Mapping[str, Any]) -> dict[str, Origin]:
    """Where each figure comes from, by key, for those that are not off the label."""
    # Nobody prints the resistance of a pack on its machine; it is there because it was measured.
    origins = {"resistance_mohm": Origin.MEASURED} if "resistance_mohm" in given else {}
    for key, origin in (("measured", Origin.MEASURED), ("from_memory", Origin.MEMORY)):
        origins |= dict.fromkeys(given.get(key, ()), origin)
    return origins


def _missing_by_kind(given: Mapping[str, Any]) -> list[Sentence]:
    """What is asked of some packs only."""
    wanted = []
    if given.get("chemistry") in (Chemistry.FLOODED, Chemistry.AGM, Chemistry.GEL):
        wanted.append("cut_off_v_per_cell")
    gravity = given.get("gravity")
    if isinstance(gravity, dict) and gravity.get("family") == GravityTable.OWN:
        wanted += ["gravity.full", "gravity.flat", "gravity.reference_temperature_c"]
    absent = []
    for path in wanted:
        table, _, key = path.rpartition(".")
        if all(key not in values for _, values in rows_of(given, table)):
            absent.append(missing_key(PackFile, path))
    return absent


def _figure_in(entry: Entry) -> Figure | None:
    """A figure of the file in the records' unit; None for words and counts."""
    if not is_figure(entry.path):
        return None
    number = pack_figure(entry.path, entry.place, entry.written)
    if is_gravity(entry.path):
        ratio = gravity_ratio(Sentence("{key}", key=entry.place), number.value, _scale(entry.row))
        return Figure(name=number.name, value=ratio)
    return number


def _scale(gravity: Mapping[str, Any]) -> GravityScale:
    """What the hydrometer is marked in; where the file does not say, that is asked for elsewhere."""
    return GravityScale.DENSITY if gravity.get("scale") == GravityScale.DENSITY else GravityScale.SPECIFIC_GRAVITY


def _unknown_figures(given: Mapping[str, Any]) -> Iterator[Sentence]:
    known = [path for path in known_paths(PackFile) if is_figure(path)]
    for key, path, nearest in names_astray(PackFile, given, known):
        yield Sentence(
            '{key} names "{path}", which is no figure of a pack; did you mean "{nearest}"?',
            key=key,
            path=path,
            nearest=nearest,
        )
