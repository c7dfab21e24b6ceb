"""The walk-round on paper: an A5 card, one chunk a page, to fill in with gloves on."""

from datetime import date
from importlib.metadata import version
from typing import Any

from scrubwright.catalogue.checks import Result
from scrubwright.jobs.fit_to_run import FitVerdict
from scrubwright.jobs.round_card import CardRow, Chunk, RoundCard
from scrubwright.paperwork.round_lines import chunk_lines, facts_line, round_summary, round_title
from scrubwright.paperwork.typesetting import typeset
from scrubwright.paperwork.wording import Teller

PAPER = "a5"
_SIGNS = {FitVerdict.RUN: "run", FitVerdict.CARE: "care", FitVerdict.STOP: "stop"}


def round_sheet(card: RoundCard, day: date, teller: Teller) -> bytes:
    """The card as a PDF that a reader for the blind can follow (PDF/UA-1).

    Parameters
    ----------
    card, day
        The card, and the day it is made for.
    teller
        In whose words.

    Notes
    -----
    The same card, day and reader give the same bytes; see `typeset` for what becomes of names.
    """
    words = teller.words
    footer = words(
        "{machine}, {day}, {language}, version {version}",
        machine=card.machine,
        day=day.isoformat(),
        language=teller.language.value,
        version=version("scrubwright"),
    )
    return typeset(
        "round_card.typ",
        {
            "paper": PAPER,
            "language": teller.language.value,
            "title": round_title(card, teller),
            "footer": footer,
            "summary": round_summary(card, teller),
            "facts": facts_line(card, teller),
            "chunks": [_chunk(chunk, card, teller) for chunk in card.chunks],
            "verdicts": [{"sign": _SIGNS[each], "word": _capital(words(each))} for each in FitVerdict],
            "words": {"stop": words("STOP"), "signed": [words("Name"), words("Skill"), words("Date, signature")]},
        },
    )


def _chunk(chunk: Chunk, card: RoundCard, teller: Teller) -> dict[str, Any]:
    told = chunk_lines(chunk, card, teller)
    return {
        "heading": told.heading,
        "wear": told.wear,
        "rows": [
            {
                "number": str(line.number),
                "is_stop": line.is_stop,
                "look": line.look,
                "good": line.good,
                "why_now": line.why_now,
                "cautions": line.cautions,
                "unit": line.unit,
                "boxes": [
                    teller.words("STOP") if result is Result.STOP else teller.words(result) for result in _results(row)
                ],
            }
            for line, row in zip(told.rows, chunk.rows, strict=True)
        ],
    }


def _results(row: CardRow) -> list[Result]:
    """What may come out of a row, from good to grave; a box for each."""
    means = {row.worst if seen.result is row.check.if_not else seen.result for seen in row.check.seen}
    return [result for result in Result if result in means]


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]
