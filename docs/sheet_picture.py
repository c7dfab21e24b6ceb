"""Takes the picture of a pack's sheet that its reference page shows.

Run `python docs/sheet_picture.py` from anywhere, after the sheet has changed its look.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

import pypdfium2
from PIL import Image

from scrubwright.cli.main import main as scrubwright

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "docs" / "pictures" / "pack_sheet.png"
PACK = ROOT / "examples" / "packs" / "market_hall_36v.toml"
READINGS = ROOT / "examples" / "readings" / "market_hall_36v.csv"
DAY = "2026-04-09"
# Pixels for each point of the page; a reader must be able to read it, not to print it.
SCALE = 1.4
COLOURS = 64


def front_of_sheet(folder: Path) -> Image.Image:
    """The first page of the market hall's sheet."""
    sheet = folder / "sheet.pdf"
    line = ["pack", str(PACK), str(READINGS), "--load", "66A", "--work", "2h", "--day", DAY, "--pdf", str(sheet)]
    if scrubwright([*line, "--out", str(folder / "answer.txt"), "--language", "en", "--units", "si"]):
        raise SystemExit("The example pack cannot be looked at; see what scrubwright says above.")
    page: Image.Image = pypdfium2.PdfDocument(sheet)[0].render(scale=SCALE).to_pil()
    return page


def main() -> None:
    """Write the picture."""
    with TemporaryDirectory() as folder:
        picture = front_of_sheet(Path(folder))
    picture.quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(PICTURE, optimize=True)


if __name__ == "__main__":
    main()
