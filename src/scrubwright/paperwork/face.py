"""The one typeface of screen and paper: how wide its text is, and how a page carries it along."""

from base64 import b64encode
from functools import cache
from importlib.resources import files
from io import BytesIO

from PIL import ImageFont

FAMILY = "Atkinson Hyperlegible Next"
REGULAR, BOLD = "AtkinsonHyperlegibleNext_400Regular.ttf", "AtkinsonHyperlegibleNext_700Bold.ttf"
# Text is measured at this size, so that widths are fractions of the letter size.
_MEASURED_AT = 100


def face_css() -> str:
    """The face in both weights as a style sheet that asks nobody for a file."""
    return "".join(
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};'
        f'src:url(data:font/ttf;base64,{b64encode(_file(name)).decode()}) format("truetype")}}'
        for name, weight in ((REGULAR, 400), (BOLD, 700))
    )


def lines_that_fit(text: str, letters_wide: str, *, bold: bool = False) -> tuple[str, ...]:
    """The text broken at its spaces into lines no wider than a number of letter sizes.

    Parameters
    ----------
    letters_wide
        Width over letter size, as a decimal number: "24.5" means 24.5 times the letter size.

    Examples
    --------
    >>> lines_that_fit("The way in is too narrow", "6.5")
    ('The way in is', 'too narrow')
    """
    font, most = _font(BOLD if bold else REGULAR), float(letters_wide) * _MEASURED_AT
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and font.getlength(longer) <= most:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def wide_px(text: str, letter_px: int, *, bold: bool = False) -> float:
    """How wide a line of text is at a letter size.

    Examples
    --------
    >>> wide_px("floor drying", 14) < wide_px("floor drying", 28)
    True
    """
    return float(_font(BOLD if bold else REGULAR).getlength(text)) * letter_px / _MEASURED_AT


@cache
def _file(name: str) -> bytes:
    return (files("scrubwright.paperwork") / "fonts" / name).read_bytes()


@cache
def _font(name: str) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(BytesIO(_file(name)), _MEASURED_AT)
