"""The pack's answer on paper: one PDF to tick off, sign and pin to the wall, in black and white."""

import json
from enum import StrEnum
from importlib.resources import as_file, files
from typing import Any, Literal

import typst

from scrubwright.jobs.pack_answer import PackAnswer, PackVerdict
from scrubwright.paperwork.pack_drawing import MARGIN, Drawing, svg
from scrubwright.paperwork.pack_lines import pack_words, part_lines, printable, step_lines, verdict_words
from scrubwright.paperwork.pack_svg import LEAST_WIDE, cells_drawing
from scrubwright.paperwork.pack_trend import trend_drawing
from scrubwright.paperwork.wording import Teller

_SIGNS = {
    PackVerdict.RUN: "run",
    PackVerdict.CARE: "care",
    PackVerdict.STOP: "stop",
    PackVerdict.UNKNOWN: "unknown",
}


class Paper(StrEnum):
    """The two sizes of paper, by the names that the typesetter knows."""

    A4 = "a4"
    LETTER = "us-letter"


def pack_sheet(answer: PackAnswer, teller: Teller, paper: Paper) -> bytes:
    """The answer as a PDF that a reader for the blind can follow (PDF/UA-1).

    Verdict and why; the cells and the trend as `pack_svg` draws them; every number with its range and
    where it comes from; what to do next with boxes to tick; room for notes and a signature.

    Notes
    -----
    The same answer, reader and paper give the same bytes. The typesetter gets the answer as one JSON
    text that its template places as text; nothing in a name or a remark can become markup, and no
    file is read but the template and the two fonts. A name in letters that no font has is printed
    with empty boxes in their place, and the PDF then makes no claim to PDF/UA.
    """
    sheet = json.dumps(_printable(_sheet(answer, teller, paper)), ensure_ascii=False, allow_nan=False)
    try:
        return _typeset(sheet, "ua-1")
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return _typeset(sheet, None)


def _typeset(sheet: str, standard: Literal["ua-1"] | None) -> bytes:
    with (
        as_file(files("scrubwright.paperwork") / "typst") as templates,
        as_file(files("scrubwright.paperwork") / "fonts") as fonts,
    ):
        return typst.compile(
            str(templates / "pack_sheet.typ"),
            root=str(templates),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"sheet": sheet},
            pdf_standards=standard,
            timestamp=0,
        )


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(each) for key, each in value.items()}
    return [_printable(each) for each in value] if isinstance(value, list | tuple) else value


def _sheet(answer: PackAnswer, teller: Teller, paper: Paper) -> dict[str, Any]:
    """What the template places: everything told already, in the reader's words."""
    return {
        "paper": paper.value,
        "language": teller.language.value,
        "title": teller.words("Battery sheet: {pack}", pack=answer.pack.name),
        "footer": answer.pack.name,
        "sign": _SIGNS[answer.verdict],
        "verdict": verdict_words(answer, teller),
        "why": teller.tell(answer.why),
        "pack": pack_words(answer, teller),
        "pictures": _pictures(answer, teller),
        "parts": [
            {
                "heading": part.heading,
                "lines": [
                    {name: getattr(line, name) for name in ("label", "value", "band", "origin", "detail")}
                    for line in part.lines
                ],
                "remarks": part.remarks,
            }
            for part in part_lines(answer, teller)
        ],
        "steps": [{"told": step.told, "cautions": step.cautions} for step in step_lines(answer, teller)],
        "does_not_apply": [teller.tell(each) for each in answer.does_not_apply],
        "cautions": [teller.tell(each) for each in answer.cautions],
        "words": _words(teller),
    }


def _words(teller: Teller) -> dict[str, Any]:
    words = teller.words
    return {
        "numbers": words("Numbers"),
        "what": words("What it is"),
        "number": words("Number"),
        "band": words("Range"),
        "origin": words("Comes from"),
        "range": words("A range holds the true number four times in five."),
        "steps": words("What to do next"),
        "left-out": words("Left out, and why"),
        "cautions": words("Bear in mind"),
        "notes": words("Notes"),
        "signed": [words("Read by"), words("Date"), words("Signature")],
    }


def _pictures(answer: PackAnswer, teller: Teller) -> list[dict[str, Any]]:
    drawings = (cells_drawing(answer, teller), trend_drawing(answer, teller, LEAST_WIDE))
    return [_picture(each) for each in drawings if each is not None]


def _picture(drawing: Drawing) -> dict[str, Any]:
    return {
        "svg": svg([drawing]),
        "wide": drawing.wide,
        "high": drawing.high,
        "margin": MARGIN,
        "alt": drawing.title,
    }
