"""The pack drawn: blocks and cells where they sit, each cell its gravity and a tick, the weakest ringed and named."""

from scrubwright.jobs.pack_answer import CellLine, PackAnswer
from scrubwright.paperwork.pack_drawing import BODY, LARGE, LINE, MARGIN, Drawing, paragraph, svg, text
from scrubwright.paperwork.pack_lines import (
    has_cells,
    median_words,
    points_of,
    read_words,
    remark_words,
    signed,
    weakest_words,
)
from scrubwright.paperwork.pack_seats import Seat, is_seated, seats
from scrubwright.paperwork.pack_trend import trend_drawing
from scrubwright.paperwork.wording import Teller

LEAST_WIDE = 440
_WIDE, _HIGH = 68, 80
# Where things stand in a cell: its words, the line of the median, and the tick on that line.
_WORDS_MIDDLE, _TICK_RIGHT = 29, 61
_NUMBER_DOWN, _GRAVITY_DOWN, _MEDIAN_DOWN, _POINTS_DOWN = 18, 40, 49, 68
# Three pixels for two thousandths, as far as the cell has room; the number beside the tick tells the rest.
_TICK_NUMERATOR, _TICK_DENOMINATOR, _LONGEST_TICK = 3, 2, 29
_MINUS = "\u2212"
_MOST_REMARKS = 4


def pack_svg(answer: PackAnswer, teller: Teller) -> str:
    """Cells and trend as one SVG file that carries its own typeface and follows light and dark.

    Notes
    -----
    A pack whose cells cannot be read one by one gets its name and its trend. The same answer and reader
    give the same text.
    """
    cells = cells_drawing(answer, teller)
    wide = LEAST_WIDE if cells is None else cells.wide
    drawings = (_name_drawing(answer, teller, wide), cells, trend_drawing(answer, teller, wide))
    return svg([each for each in drawings if each is not None])


def cells_drawing(answer: PackAnswer, teller: Teller) -> Drawing | None:
    """The cells as they sit, with the weakest in words below; None where they cannot be read one by one.

    A pack that was never read is drawn with a line in each cell, to write on.
    """
    if not has_cells(answer):
        return None
    placed = seats(answer.pack)
    across = _WIDE * (1 + max(seat.column for seat in placed))
    wide = max(LEAST_WIDE, across + 2 * MARGIN)
    top, parts = _front(answer, teller, wide)
    left = (wide - across) // 2
    lines = {cell.number: cell for cell in answer.cells}
    parts += [_sides(seat, left, top) for seat in placed]
    for seat in placed:
        parts += _cell(seat, lines.get(seat.cell), left, top, teller, is_blank=not lines)
    bottom = top + _HIGH * (1 + max(seat.row for seat in placed))
    below, high = _caption(answer, teller, bottom + 28, wide)
    return Drawing(wide=wide, high=high, body="".join(parts + below), title=_title(answer, teller))


def _name_drawing(answer: PackAnswer, teller: Teller, wide: int) -> Drawing:
    parts, y = paragraph(MARGIN, 32, answer.pack.name, wide - 2 * MARGIN, "large bold", LARGE)
    said, y = paragraph(MARGIN, y + 4, read_words(answer, teller), wide - 2 * MARGIN)
    return Drawing(wide=wide, high=y - 8, body="".join([*parts, *said]), title=f"{answer.pack.name}.")


def _front(answer: PackAnswer, teller: Teller, wide: int) -> tuple[int, list[str]]:
    """Which way the machine's front is, where that is known, and how far down the cells begin."""
    if not is_seated(answer.pack):
        return 28, [text(wide // 2, 20, teller.words("Cells by number"), "small middle")]
    front = teller.words("Front of the machine")
    middle = wide // 2
    return 36, [f'<path class="front" d="M{middle} 2l7 10h-14z"/>', text(middle, 28, front, "small middle")]


def _sides(seat: Seat, left: int, top: int) -> str:
    """The cell's outline, strong where its block ends."""
    x, y = left + _WIDE * seat.column, top + _HIGH * seat.row
    sides = (
        (seat.ends_above, f"M{x} {y}h{_WIDE}"),
        (seat.ends_below, f"M{x} {y + _HIGH}h{_WIDE}"),
        (seat.ends_left, f"M{x} {y}v{_HIGH}"),
        (seat.ends_right, f"M{x + _WIDE} {y}v{_HIGH}"),
    )
    strong = "".join(path for ends, path in sides if ends)
    fine = "".join(path for ends, path in (sides[1], sides[3]) if not ends)
    drawn = f'<path class="cell" stroke-dasharray="3 3" d="{fine}"/>' if fine else ""
    return drawn + (f'<path class="block" stroke-linecap="square" d="{strong}"/>' if strong else "")


def _cell(seat: Seat, cell: CellLine | None, left: int, top: int, teller: Teller, *, is_blank: bool) -> list[str]:
    x, y = left + _WIDE * seat.column, top + _HIGH * seat.row
    middle = x + _WORDS_MIDDLE
    parts = [text(middle, y + _NUMBER_DOWN, str(seat.cell), "small soft middle")]
    if is_blank:
        parts.append(f'<path class="median" d="M{x + 8} {y + _MEDIAN_DOWN}h{_WIDE - 16}"/>')
    elif cell is None or cell.gravity_ratio is None:
        parts.append(text(middle, y + _GRAVITY_DOWN, "–", "bold middle"))
    else:
        gravity = teller.bare("gravity_ratio", cell.gravity_ratio, 3)
        parts.append(text(middle, y + _GRAVITY_DOWN, gravity, "bold middle"))
        parts += _tick(cell, x, y)
        if cell.is_weakest:
            parts.append(_ring(middle, y + _GRAVITY_DOWN - BODY // 3))
    return parts


def _tick(cell: CellLine, x: int, y: int) -> list[str]:
    """The median as a line through the cell, and from it a tick up or down for its points."""
    points = points_of(cell)
    if points is None:
        return []
    long = max(-_LONGEST_TICK, min(_LONGEST_TICK, _TICK_NUMERATOR * points // _TICK_DENOMINATOR))
    parts = [f'<path class="median" d="M{x} {y + _MEDIAN_DOWN}h{_WIDE}"/>']
    if long:
        parts.append(f'<path class="tick" d="M{x + _TICK_RIGHT} {y + _MEDIAN_DOWN}v{-long}"/>')
    parts.append(text(x + _WORDS_MIDDLE, y + _POINTS_DOWN, signed(points, _MINUS), "small middle"))
    return parts


def _ring(x: int, y: int) -> str:
    return f'<ellipse class="ring" cx="{x}" cy="{y}" rx="27" ry="13"/>'


def _caption(answer: PackAnswer, teller: Teller, y: int, wide: int) -> tuple[list[str], int]:
    """The weakest in words beside its ring, what is wrong with single cells, how to read the ticks."""
    parts: list[str] = []
    inner = wide - 2 * MARGIN
    weakest = weakest_words(answer, teller)
    if weakest:
        parts.append(f'<ellipse class="ring" cx="{MARGIN + 10}" cy="{y - 5}" rx="10" ry="7"/>')
        said, y = paragraph(MARGIN + 28, y, weakest, inner - 28, "bold", BODY)
        parts += said
    remarks = remark_words(answer, teller)
    told = [*remarks[:_MOST_REMARKS], _and_more(len(remarks) - _MOST_REMARKS, teller), _how_to_read(answer, teller)]
    for words in filter(None, told):
        said, y = paragraph(MARGIN, y, words, inner)
        parts += said
    return parts, y + LINE // 2


def _and_more(count: int, teller: Teller) -> str:
    return teller.words("And {count} more of the kind.", count=count) if count > 0 else ""


def _how_to_read(answer: PackAnswer, teller: Teller) -> str:
    first = teller.words("Cell 1 is at the plus end of the pack.")
    if not answer.cells:
        return f"{teller.words('Write the gravity of each cell on its line.')} {first}"
    median = median_words(answer, teller)
    ticks = teller.words("Ticks and signs: thousandths above or below it.") if median else ""
    return " ".join(filter(None, (median, ticks, first)))


def _title(answer: PackAnswer, teller: Teller) -> str:
    named = teller.words("Cells of {pack} as they sit.", pack=answer.pack.name)
    return " ".join(filter(None, (named, weakest_words(answer, teller))))
