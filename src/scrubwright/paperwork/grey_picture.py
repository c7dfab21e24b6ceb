"""Any picture file as an array of greys, refused before it is decoded where it is too large."""

import struct
import warnings
import zlib
from pathlib import Path

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageOps

from scrubwright.measures.errors import UnreadablePaper

Greys = npt.NDArray[np.uint8]

MOST_PIXELS = 40_000_000
_DEEP_MODES = ("I;16", "I;16B", "I;16L", "I")
_DAMAGE = (OSError, ValueError, SyntaxError, EOFError, IndexError, struct.error, zlib.error)


def greys_of(path: Path, formats: tuple[str, ...]) -> Greys:
    """The picture as greys, 0 black to 255 white, shape (rows, columns), row 0 on top.

    Colours become greys, see-through parts are seen on white paper, 16 bits become 8, and a photo is
    turned the way its camera was held.

    Parameters
    ----------
    path
        The file.
    formats
        The kinds of picture allowed, in Pillow's names.

    Raises
    ------
    UnreadablePaper
        Not such a picture, damaged, cut short, or with more than 40 million pixels.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(path, formats=formats) as picture:
                refuse_size(path.name, picture.width, picture.height)
                picture.load()
                return _greys(picture)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_large(path.name) from None
    except _DAMAGE as error:
        raise UnreadablePaper(
            "The picture {file} is damaged or cut short ({detail}). Save or copy it again.",
            file=path.name,
            detail=str(error)[:100] or type(error).__name__,
        ) from error


def refuse_size(file: str, width: int, height: int) -> None:
    """Refuse a picture without pixels or with more than 40 million of them.

    Raises
    ------
    UnreadablePaper
        Such a picture.
    """
    if not (width > 0 and height > 0):
        raise UnreadablePaper("The picture {file} has no pixels. Save it again.", file=file)
    if width * height > MOST_PIXELS:
        raise _too_large(file)


def _too_large(file: str) -> UnreadablePaper:
    return UnreadablePaper(
        "The picture {file} is larger than {most} million pixels. "
        "Make it smaller: 2 to 5 cm of floor per pixel is enough.",
        file=file,
        most=MOST_PIXELS // 1_000_000,
    )


def _greys(picture: Image.Image) -> Greys:
    turned = ImageOps.exif_transpose(picture)
    if turned.mode in _DEEP_MODES:
        return np.asarray(np.clip(np.asarray(turned).astype(np.int64) // 257, 0, 255), dtype=np.uint8)
    if turned.mode == "F":
        return np.asarray(np.clip(np.asarray(turned), 0, 255), dtype=np.uint8)
    if turned.mode in ("LA", "La", "PA", "RGBA", "RGBa") or "transparency" in turned.info:
        seen = turned.convert("RGBA")
        paper = Image.new("RGBA", seen.size, (255, 255, 255, 255))
        return np.asarray(Image.alpha_composite(paper, seen).convert("L"))
    return np.asarray(turned.convert("L") if turned.mode == "L" else turned.convert("RGB").convert("L"))
