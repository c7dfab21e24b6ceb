"""The pack's answer as text for a terminal or a printed sheet: verdict first, then cells, numbers and steps."""

from collections.abc import Iterable, Sequence
from string import ascii_lowercase

from scrubwright.jobs.pack_answer import PackAnswer, PackPart
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.pack_grid import grid_text, is_as_seated
from scrubwright.paperwork.pack_lines import (
    Line,
    PartLines,
    StepLines,
    has_cells,
    median_words,
    pack_words,
    part_lines,
    printable,
    remark_words,
    step_lines,
    verdict_words,
    weakest_words,
)
from scrubwright.paperwork.text_columns import WIDTH, Column, Section, row, sections_text, wrapped
from scrubwright.paperwork.wording import Teller

_ORIGIN_WIDTH = 17
_WIDEST_LABEL = 34


def pack_text(answer: PackAnswer, teller: Teller) -> str:
    """The whole answer as plain text, 80 letters wide."""
    return sections_text(pack_sections(answer, teller))


def pack_sections(answer: PackAnswer, teller: Teller) -> tuple[Section, ...]:
    """The answer's parts in reading order; parts with nothing to say are left out.

    Verdict and why; the cells as they sit; each part's numbers with their range and the word for where
    they come from; what to do next, cautions under their step; what does not apply; where the numbers
    come from; what holds for the whole answer.
    """
    words = teller.words
    parts = {each.part: each for each in part_lines(answer, teller)}
    columns = _columns([line for each in parts.values() for line in each.lines])
    cells = parts.pop(PackPart.CELLS, None)
    sections = [
        Section(heading=verdict_words(answer, teller).upper(), body=_because(answer, teller)),
        Section(heading=_cells_heading(answer, teller), body=_cells(answer, cells, columns, teller)),
        *(Section(heading=each.heading, body=_part(each, columns)) for each in parts.values()),
        Section(heading=words("What to do next"), body=_steps(step_lines(answer, teller))),
        Section(heading=words("Left out, and why"), body=_told(answer.does_not_apply, teller)),
        Section(heading=words("Where the numbers come from"), body=_details([*_all(cells), *parts.values()], teller)),
        Section(heading=words("Bear in mind"), body=_told(answer.cautions, teller)),
    ]
    return tuple(_harmless(section) for section in sections if section.body)


def _harmless(section: Section) -> Section:
    """The section without letters that would steer a terminal."""
    lines = [printable(line) for line in section.body.split("\n")]
    return Section(heading=printable(section.heading), body="\n".join(lines))


def _because(answer: PackAnswer, teller: Teller) -> str:
    return "\n".join(wrapped(line) for line in (teller.tell(answer.why), pack_words(answer, teller)))


def _cells_heading(answer: PackAnswer, teller: Teller) -> str:
    if is_as_seated(answer):
        return teller.words("Cells as they sit, front of the machine up")
    return teller.words("Cells by number")


def _cells(answer: PackAnswer, part: PartLines | None, columns: Sequence[Column], teller: Teller) -> str:
    """The grid, how to read it, the weakest in words, then the part's numbers and remarks."""
    lines = []
    if has_cells(answer):
        lines.append(grid_text(answer, teller))
        told = [_how_to_read(answer, teller), weakest_words(answer, teller), *remark_words(answer, teller)]
        lines += [wrapped(each, indent="  ") for each in told if each]
    if part is not None:
        lines.append(_part(part, columns))
    return "\n".join(lines)


def _how_to_read(answer: PackAnswer, teller: Teller) -> str:
    if not answer.cells:
        return teller.words("Write the gravity of each cell on its dots.")
    median = median_words(answer, teller)
    if not median:
        return ""
    signs = teller.words("Signs: thousandths above or below it. Brackets: the weakest. Dash: not read.")
    return f"{median} {signs}"


def _columns(lines: Sequence[Line]) -> tuple[Column, ...]:
    """Label, number, range and origin, the same for all parts; the labels get what the others leave."""
    value = max([1, *(len(line.value) for line in lines)])
    band = max([1, *(len(line.band) for line in lines)])
    gaps = 2 + 3 * 2
    return (
        Column(width=max(12, WIDTH - gaps - value - band - _ORIGIN_WIDTH)),
        Column(width=value, right=True),
        Column(width=band),
        Column(width=_ORIGIN_WIDTH),
    )


def _part(part: PartLines, columns: Sequence[Column]) -> str:
    lines = [row((line.label, line.value, line.band, line.origin), columns) for line in part.lines]
    lines += [wrapped(remark, indent="  ", mark="- ") for remark in part.remarks]
    return "\n".join(lines)


def _steps(steps: Sequence[StepLines]) -> str:
    lines = []
    for number, step in enumerate(steps, 1):
        mark = f"{number}. "
        lines.append(wrapped(step.told, indent="  ", mark=mark))
        beside = "  " + " " * len(mark)
        lines += [wrapped(caution, indent=beside, mark="! ") for caution in step.cautions]
        moves = zip(ascii_lowercase, step.how, strict=False)
        lines += [wrapped(move, indent=beside, mark=f"{letter}. ") for letter, move in moves]
    return "\n".join(lines)


def _details(parts: Sequence[PartLines], teller: Teller) -> str:
    """What stands behind each number, and what a range means."""
    lines = [line for part in parts for line in part.lines]
    label = min(_WIDEST_LABEL, max([1, *(len(line.label) for line in lines)]))
    columns = (Column(width=label), Column(width=WIDTH - 4 - label))
    told = [row((line.label, line.detail), columns) for line in lines if line.detail]
    if any(line.band for line in lines):
        told.append(wrapped(teller.words("A range holds the true number four times in five."), indent="  "))
    return "\n".join(told)


def _all(part: PartLines | None) -> list[PartLines]:
    return [] if part is None else [part]


def _told(sentences: Iterable[Sentence], teller: Teller) -> str:
    return "\n".join(wrapped(teller.tell(sentence), indent="  ", mark="- ") for sentence in sentences)
