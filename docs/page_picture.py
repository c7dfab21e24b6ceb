"""Takes the picture of the market hall's page that the README shows; needs Chromium.

Run `python docs/page_picture.py` from anywhere, after the page has changed its look.
"""

import shutil
import sys
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import sync_playwright

from scrubwright.cli.main import main as scrubwright

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "docs" / "pictures" / "market_hall_page.png"
PLATE = ROOT / "examples" / "plates" / "wide_disc_105.toml"
WIDE, HIGH = 1440, 900
# A moment at which a good part of the floor is wet, drying and dry.
SEEK = """() => {
  const slider = document.getElementById('time');
  slider.value = 0.44 * slider.max;
  slider.dispatchEvent(new Event('input'));
}"""
# The page has few colours; more would only make the file larger.
COLOURS = 128


def market_hall_page(folder: Path) -> Path:
    """Plans the market hall with the wide plate and writes its page into a folder."""
    site, page = folder / "market_hall.geojson", folder / "page.html"
    for line in (
        ["floor", str(ROOT / "examples" / "market_hall.dxf"), "-o", str(site)],
        ["route", str(site), "--machine", str(PLATE), "--html", str(page)],
    ):
        if scrubwright(line):
            sys.exit(1)
    return page


def picture_of(page: Path, seek: str = SEEK) -> Image.Image:
    """The page as a wide screen shows it by day, at the time that a script seeks."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        sys.exit("No Chromium on this computer; install the package chromium.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        screen = browser.new_page(viewport={"width": WIDE, "height": HIGH}, color_scheme="light")
        screen.goto(page.as_uri())
        screen.evaluate(seek)
        taken = screen.screenshot()
        browser.close()
    return Image.open(BytesIO(taken)).convert("RGB")


def write_small(picture: Image.Image, path: Path) -> None:
    """Write a picture of a page in few colours."""
    path.parent.mkdir(exist_ok=True)
    picture.quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(path, optimize=True)


def main() -> None:
    """Write the picture."""
    with TemporaryDirectory() as folder:
        picture = picture_of(market_hall_page(Path(folder)))
    write_small(picture, PICTURE)


if __name__ == "__main__":
    main()
