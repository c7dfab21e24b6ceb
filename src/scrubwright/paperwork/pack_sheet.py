"""The pack's answer on paper: one PDF to tick off, sign and pin to the wall, in black and white."""

from typing import Any

from scrubwright.jobs.pack_answer import PackAnswer, PackVerdict
from scrubwright.paperwork.pack_drawing import MARGIN, Drawing, svg
from scrubwright.paperwork.pack_lines import pack_words, part_lines, step_lines, verdict_words
from scrubwright.paperwork.pack_svg import LEAST_WIDE, cells_drawing
from scrubwright.paperwork.pack_trend import trend_drawing
from scrubwright.paperwork.typesetting import Paper, typeset
from scrubwright.paperwork.wording import Teller

_SIGNS = {
    PackVerdict.RUN: "run",
    PackVerdict.CARE: "care",
    PackVerdict.STOP: "stop",
    PackVerdict.UNKNOWN: "unknown",
}


def pack_sheet(answer: PackAnswer, teller: Teller, paper: Paper) -> bytes:
    """The answer as a PDF that a reader for the blind can follow (PDF/UA-1).

    Verdict and why; the cells and the trend as `pack_svg` draws them; every number with its range and
    where it comes from; what to do next with boxes to tick; room for notes and a signature.

    Notes
    -----
    The same answer, reader and paper give the same bytes; see `typeset` for what becomes of names.
    """
    return typeset("pack_sheet.typ", _sheet(answer, teller, paper))


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
        "steps": [
            {"told": step.told, "cautions": step.cautions, "how": step.how} for step in step_lines(answer, teller)
        ],
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
