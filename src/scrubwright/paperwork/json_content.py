"""A JSON file that somebody drew, exported or mended by hand: what it holds, or where it breaks off, in words."""

import json
from pathlib import Path

from scrubwright.measures.errors import UnreadablePaper


def json_content(path: Path) -> object:
    """What a JSON file holds.

    Parameters
    ----------
    path
        A file that is there and not too large, in UTF-8.

    Raises
    ------
    UnreadablePaper
        No text, no JSON, nested too deep, or something like NaN in place of a number.
    """
    try:
        content: object = json.loads(path.read_bytes().decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError as error:
        raise UnreadablePaper(
            "{file} is no text at byte {place}. Save it again as UTF-8.", file=path.name, place=error.start
        ) from None
    except json.JSONDecodeError as error:
        raise UnreadablePaper(
            "{file} breaks off or is wrong at line {line}, column {column}. Save it again, or look for a missing comma "
            "or bracket there.",
            file=path.name,
            line=error.lineno,
            column=error.colno,
        ) from None
    except RecursionError:
        raise UnreadablePaper("{file} is nested too deep to be a drawing. Export it again.", file=path.name) from None
    return content


def _no_number(said: str) -> float:
    raise UnreadablePaper("The file holds {said} where a number belongs. Draw that shape again.", said=said)
