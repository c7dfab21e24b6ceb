"""Pictures of a pack that stand alone as SVG files: their style, light and dark, and how they are put together."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from scrubwright.paperwork.face import FAMILY, face_css, lines_that_fit
from scrubwright.paperwork.pack_lines import printable

MARGIN, LINE = 16, 20
BODY, SMALL, LARGE = 16, 14, 20
# Every colour is written out: what reads the picture for the sheet knows no variables, and passes over
# @font-face and @media. The paper is the background of the picture, so that print leaves it white.
_LIGHT = {"paper": "#FAF8F3", "ink": "#1B211F", "soft": "#46504B", "edge": "#7A7F76", "accent": "#0E5A4B"}
_LIGHT |= {"wash": "#E6EEE9"}
_DARK = {"paper": "#121615", "ink": "#ECE9E0", "soft": "#B4BAB3", "edge": "#7D8882", "accent": "#6FC3AE"}
_DARK |= {"wash": "#1A2421"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One picture in pixels, and what it shows in words for whoever does not see it."""

    wide: int
    high: int
    body: str
    title: str


def svg(drawings: Sequence[Drawing]) -> str:
    """Drawings below each other as one SVG file that carries its own typeface and follows light and dark."""
    wide, high = max(each.wide for each in drawings), sum(each.high for each in drawings)
    parts, top = [], 0
    for each in drawings:
        parts.append(f'<g transform="translate(0 {top})">{each.body}</g>')
        top += each.high
    title = safe(" ".join(each.title for each in drawings))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pack" role="img" width="{wide}" height="{high}" '
        f'viewBox="0 0 {wide} {high}"><style>{face_css()}{_style()}</style><title>{title}</title>{"".join(parts)}'
        "</svg>\n"
    )


def text(x: int, y: int, words: str, kind: str) -> str:
    """A line of text; `kind` is its classes in the style."""
    return f'<text class="{kind}" x="{x}" y="{y}">{safe(words)}</text>'


def paragraph(x: int, y: int, words: str, wide: int, kind: str = "small", size: int = SMALL) -> tuple[list[str], int]:
    """Text broken to a width, and where the next line stands."""
    lines = lines_that_fit(words, str(wide / size), bold="bold" in kind)
    return [text(x, y + LINE * number, line, kind) for number, line in enumerate(lines)], y + LINE * len(lines)


def safe(words: str) -> str:
    """Text for XML, which knows no control characters."""
    return escape(printable(words))


def _style() -> str:
    return (
        # On a narrow screen the whole of it is seen, smaller, and nothing is cut off.
        ".pack{max-width:100%;height:auto}"
        f'.pack text{{font-family:"{FAMILY}",sans-serif;font-variant-numeric:tabular-nums;font-weight:400;'
        f"font-size:{BODY}px}}"
        f".pack .small{{font-size:{SMALL}px}}.pack .large{{font-size:{LARGE}px}}.pack .bold{{font-weight:700}}"
        ".pack .middle{text-anchor:middle}.pack .end{text-anchor:end}"
        ".pack .block,.pack .cell,.pack .median,.pack .tick,.pack .ring,.pack .axis,.pack .grid,.pack .health,"
        ".pack .work,.pack .forecast,.pack .logged{fill:none;stroke-width:1.5}"
        ".pack .tick{stroke-width:4}.pack .ring{stroke-width:2.5}.pack .health,.pack .likely{stroke-width:2.5}"
        ".pack .grid,.pack .median{stroke-width:.5}.pack .work{stroke-dasharray:7 4}"
        ".pack .forecast{stroke-dasharray:2 4}.pack .bar{fill:none;stroke-width:5}.pack .band{stroke-width:1}"
        f"{_colours(_LIGHT)}@media (prefers-color-scheme:dark){{{_colours(_DARK)}}}"
    )


def _colours(of: dict[str, str]) -> str:
    ink, edge = of["ink"], of["edge"]
    return (
        f".pack{{background:{of['paper']}}}.pack text{{fill:{ink}}}.pack .soft{{fill:{of['soft']}}}"
        f".pack .block,.pack .tick,.pack .ring,.pack .axis,.pack .work,.pack .likely,.pack .logged{{stroke:{ink}}}"
        f".pack .cell,.pack .median,.pack .grid{{stroke:{edge}}}"
        f".pack .front{{fill:{ink}}}"
        f".pack .health,.pack .forecast,.pack .bar{{stroke:{of['accent']}}}"
        f".pack .band{{fill:{of['wash']};stroke:{edge}}}.pack .likely{{fill:{of['paper']}}}"
    )
