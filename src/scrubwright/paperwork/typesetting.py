"""Sheets of paper: a template and what it places, made into a PDF that says what it holds."""

import json
from collections.abc import Mapping
from enum import StrEnum
from importlib.resources import as_file, files
from typing import Any, Literal

import typst

from scrubwright.paperwork.pack_lines import printable


class Paper(StrEnum):
    """The two sizes of paper, by the names that the typesetter knows."""

    A4 = "a4"
    LETTER = "us-letter"


def typeset(template: str, sheet: Mapping[str, Any]) -> bytes:
    """A template filled, as a PDF that a reader for the blind can follow (PDF/UA-1).

    Parameters
    ----------
    template
        Its name among the templates of this room, such as "pack_sheet.typ".
    sheet
        What it places: words and numbers told already, in dicts and lists.

    Notes
    -----
    The same template and sheet give the same bytes. The typesetter gets the sheet as one JSON text that
    its template places as text; nothing in a name or a remark can become markup, and no file is read but
    the templates and the two fonts. A name in letters that no font has is printed with empty boxes in
    their place, and the PDF then makes no claim to PDF/UA.
    """
    told = json.dumps(_printable(sheet), ensure_ascii=False, allow_nan=False)
    try:
        return _compiled(template, told, "ua-1")
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return _compiled(template, told, None)


def _compiled(template: str, told: str, standard: Literal["ua-1"] | None) -> bytes:
    with (
        as_file(files("scrubwright.paperwork") / "typst") as templates,
        as_file(files("scrubwright.paperwork") / "fonts") as fonts,
    ):
        return typst.compile(
            str(templates / template),
            root=str(templates),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"sheet": told},
            pdf_standards=standard,
            timestamp=0,
        )


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {key: _printable(each) for key, each in value.items()}
    return [_printable(each) for each in value] if isinstance(value, list | tuple) else value
