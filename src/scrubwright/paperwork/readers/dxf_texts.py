"""Words in a DXF drawing: texts without their codes, room tags made of blocks, and the names that blocks carry."""

import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import replace

from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.insert import Insert
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.encoding import decode_dxf_unicode
from shapely import LineString

from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.drawing import LONGEST_NAME, Label, Role
from scrubwright.paperwork.roles import plain

MOST_LABELS = 2_000
MOST_LINES = 8
FURTHEST_UNITS = 1e11

# Lines of one room that were typed as texts of their own stand this close, in heights of their letters.
_NEXT_LINE = 2.5
_SAME_EDGE = 0.75
_TALLER = 1.5

_NAME_TAGS = ("name", "nombre", "roomname", "nombresala", "room", "sala", "local")
_SURFACE_TAGS = ("surface", "floorfinish", "finish", "suelo", "pavimento", "acabado")


def written(entity: DXFGraphic, layer: str, role: Role | None) -> Label | None:
    """What a TEXT or MTEXT says; None where it says nothing, stands nowhere, or is a whole paragraph of notes."""
    try:
        if isinstance(entity, MText):
            lines = clean_lines(entity.plain_text(split=True))
            upright = _upright_of_mtext(entity)
        elif isinstance(entity, Text):
            lines = clean_lines([entity.plain_text()])
            upright = _upright_of_text(entity)
        else:
            return None
    except (DXFError, ValueError, TypeError, IndexError):
        return None
    return _label(lines, upright, layer, role)


def _label(lines: tuple[str, ...], upright: LineString | None, layer: str, role: Role | None) -> Label | None:
    if not lines or len(lines) > MOST_LINES or upright is None:
        return None
    return Label(lines=lines, upright=upright, where=Sentence("layer {layer}", layer=layer), role=role)


def clean_lines(said: Iterable[str]) -> tuple[str, ...]:
    """The lines that say something, on one row each, without control characters, cut at 60 characters."""
    lines = (clean(line) for text in said for line in text.splitlines())
    return tuple(line for line in lines if line)


def clean(text: str) -> str:
    """One line that any page can show: codes for letters resolved, half characters dropped, blanks single, 60 long."""
    # A file of another code page leaves surrogates behind, which no page and no JSON can hold.
    whole = decode_dxf_unicode(text).encode("utf-8", "ignore").decode("utf-8")
    shown = "".join(" " if unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp") else letter for letter in whole)
    line = " ".join(unicodedata.normalize("NFC", shown).split())
    return line if len(line) <= LONGEST_NAME else line[: LONGEST_NAME - 1].rstrip() + "…"


def _upright_of_mtext(text: MText) -> LineString | None:
    height = float(text.dxf.char_height)
    foot = text.dxf.insert
    # Attached by its top, the first line hangs below the point; else the point is near enough to its foot.
    drop = height if text.dxf.attachment_point in (1, 2, 3) else height / 2
    return _upright(foot.x, foot.y, height, math.radians(text.get_rotation()), drop)


def _upright_of_text(text: Text) -> LineString | None:
    _, first, second = text.get_placement()
    # FIT and ALIGNED text runs from the first point to the second; all other kinds stand at the first.
    spot = text.ocs().to_wcs(first if second is None else (first + second) / 2)
    return _upright(spot.x, spot.y, float(text.dxf.height), math.radians(float(text.dxf.rotation)), 0.0)


def _upright(x: float, y: float, height: float, turn_rad: float, drop: float) -> LineString | None:
    """From the foot of the letters to their head; `drop` is how far the foot lies below the point given."""
    up_x, up_y = -math.sin(turn_rad), math.cos(turn_rad)
    ends = [(x - drop * up_x, y - drop * up_y), (x + (height - drop) * up_x, y + (height - drop) * up_y)]
    whole = all(math.isfinite(value) and abs(value) <= FURTHEST_UNITS for end in ends for value in end)
    return LineString(ends) if whole and height > 0 else None


def tagged(insert: Insert, layer: str, role: Role | None) -> Label | None:
    """What a room tag says: a block whose attributes hold a name, and perhaps a surface."""
    name = attribute(insert, _NAME_TAGS)
    if not name:
        return None
    surface = attribute(insert, _SURFACE_TAGS)
    first = insert.attribs[0]
    spot = insert.ocs().to_wcs(insert.dxf.insert)
    upright = _upright(spot.x, spot.y, float(first.dxf.height), math.radians(float(insert.dxf.rotation)), 0.0)
    return _label(clean_lines([name, surface]), upright, layer, role)


def called(insert: Insert) -> str:
    """The name that a block carries in its attribute NAME or NOMBRE; "" where it has none."""
    return attribute(insert, _NAME_TAGS[:2])


def attribute(insert: Insert, tags: Sequence[str]) -> str:
    """What the first attribute of one of those tags says, visible or not."""
    said = {plain(str(each.dxf.tag)).replace("_", "").replace("-", ""): each for each in insert.attribs}
    for tag in tags:
        if tag in said and (line := clean(said[tag].plain_text())):
            return line
    return ""


def stacked(labels: Iterable[Label]) -> tuple[Label, ...]:
    """The labels, tallest letters first, with lines that were typed one below the other put together.

    At most 2,000 are kept: the tallest name rooms, the rest are notes and numbers.
    """
    tallest = sorted(labels, key=lambda label: -label.upright.length)[:MOST_LABELS]
    left_edge = sorted(tallest, key=lambda label: (str(label.where), label.upright.coords[0][0]))
    below: dict[int, Label] = {}
    for place, label in enumerate(left_edge):
        for other in left_edge[place + 1 :]:
            if not _share_an_edge(label, other):
                break
            upper, lower = (label, other) if label.upright.coords[0][1] > other.upright.coords[0][1] else (other, label)
            known = below.get(id(upper))
            if _is_next_line(upper, lower) and (known is None or _foot(lower) > _foot(known)):
                below[id(upper)] = lower
    lower_ones = {id(lower) for lower in below.values()}
    return tuple(_with_lines_below(label, below) for label in tallest if id(label) not in lower_ones)


def _foot(label: Label) -> float:
    return float(label.upright.coords[0][1])


def _share_an_edge(label: Label, other: Label) -> bool:
    reach = _SAME_EDGE * max(label.upright.length, other.upright.length)
    apart = other.upright.coords[0][0] - label.upright.coords[0][0]
    return label.where == other.where and bool(apart <= reach)


def _is_next_line(upper: Label, lower: Label) -> bool:
    """Whether one line reads as the next of the other: close below it, level, in letters no taller."""
    (x0, y0), (x1, y1) = upper.upright.coords
    level = abs(x1 - x0) < 0.1 * (y1 - y0) and len(upper.lines) == len(lower.lines) == 1
    gap = y0 - _foot(lower)
    tall, small = upper.upright.length, lower.upright.length
    return level and small <= tall <= _TALLER * small and 0 < gap <= _NEXT_LINE * tall


def _with_lines_below(label: Label, below: dict[int, Label]) -> Label:
    lines, last = label.lines, label
    while id(last) in below and len(lines) < MOST_LINES:
        last = below[id(last)]
        lines += last.lines
    return replace(label, lines=lines[:MOST_LINES])
