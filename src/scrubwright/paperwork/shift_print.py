"""The pictures of a shift's sheet in black on white: the night line, and the plan with its numbers."""

from dataclasses import dataclass

from scrubwright.jobs.route_answer import RouteAnswer
from scrubwright.jobs.shift_answer import ShiftAnswer
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.face import FAMILY
from scrubwright.paperwork.route_svg import SHEET_STYLE, PrintArea, route_sheet
from scrubwright.paperwork.shift_axis import axis_of, hours
from scrubwright.paperwork.shift_line import line_told, night_line
from scrubwright.paperwork.typesetting import Paper
from scrubwright.paperwork.wording import Teller

# What a map may take of each paper, lying or upright, under its heading.
MAP_AREAS = {
    Paper.A4: PrintArea(paper=Sentence("A4"), long_mm=261, short_mm=174, edge_mm=2, head_mm=0),
    Paper.LETTER: PrintArea(paper=Sentence("Letter"), long_mm=243, short_mm=179, edge_mm=2, head_mm=0),
}
# Names above signs at the upper wall, and rows of dump stops beside a wall, reach over the plan by so much.
_ABOVE_MM, _ASIDE_MM = 14, 6
# The night line is drawn for a strip of this width, with room at both ends for a word and the chance.
_STRIP, _LEFT, _RIGHT, _HOURS = 640, 28, 100, 20
_NIGHT_MM = 178.0
_NIGHT_STYLE = (
    f'text{{font-family:"{FAMILY}",sans-serif;font-size:14px;fill:#000}}'
    "svg{overflow:visible}line{stroke:#000}"
    ".hour{stroke:#bbb}.late{fill:#eee}.dry-by{stroke-width:2}.now{stroke:none}"
    ".must,.machine{text-anchor:end;font-weight:700}.call,.part text,.hours text{text-anchor:middle}"
    ".part rect{fill:#fff;stroke:#000}.part text{font-weight:700}.part.scrub rect{fill:#e4e4e4}"
    ".part.wait rect{stroke-dasharray:2 3}.part.drying rect{stroke-dasharray:6 3}"
    ".part.charge rect{stroke-width:2.5}.move{fill:#555}"
    ".sign path,.sign circle{fill:none;stroke:#000}.sign .gem,.sign .full{fill:#000;stroke:#fff}"
    ".sign .inside{fill:#fff;font-weight:700;text-anchor:middle}"
    ".band line{stroke-width:2}.before{text-anchor:end}.chance{font-size:28px;font-weight:700}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing for the typesetter: its text as SVG, its size on the paper [mm], and what it shows in words."""

    svg: str
    wide_mm: float
    high_mm: float
    alt: str


def printed_night(answer: ShiftAnswer, teller: Teller) -> Picture:
    """The night line with its clock, the chance at its end."""
    axis = axis_of(answer)
    line, clock = night_line(answer, teller, axis), hours(axis)
    strip = int(line.split('height="', 1)[1].split('"', 1)[0])
    wide, high = _LEFT + _STRIP + _RIGHT, strip + _HOURS
    frame = f'width="{_STRIP}" viewBox="0 0 {_STRIP}'
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" '
        f'viewBox="{-_LEFT} 0 {wide} {high}"><style>{_NIGHT_STYLE}</style>'
        f'<svg {frame} {strip}" height="{strip}">{line}</svg>'
        f'<svg y="{strip}" {frame} {_HOURS}" height="{_HOURS}">{clock}</svg></svg>'
    )
    return Picture(svg=svg, wide_mm=_NIGHT_MM, high_mm=_NIGHT_MM * high / wide, alt=line_told(answer, teller))


def printed_map(route: RouteAnswer, teller: Teller, paper: Paper) -> Picture:
    """The plan with block numbers, signs and reasons, lying or upright, whichever shows the floor larger."""
    drawn = route_sheet(route, teller, MAP_AREAS[paper])
    style = f"<style>{SHEET_STYLE}</style>"
    size = drawn.split('viewBox="0 0 ', 1)[1].split('"', 1)[0]
    wide, high = (int(side) for side in size.split())
    wider, higher = wide + 2 * _ASIDE_MM, high + _ABOVE_MM
    bare = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {size}"'
    more = f'width="{wider}mm" height="{higher}mm" viewBox="{-_ASIDE_MM} {-_ABOVE_MM} {wider} {higher}"'
    return Picture(
        svg=drawn.replace(bare, more, 1).replace("<title>", style + "<title>", 1),
        wide_mm=float(wider),
        high_mm=float(higher),
        alt=teller.words("Plan of the floor with numbered blocks, dump stops, drains, taps and the parking place."),
    )
