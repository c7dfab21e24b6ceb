"""Takes the picture of the market hall's shift that the pages show; needs Chromium.

Run `python -m docs.shift_picture` in the project's folder, after the page has changed its look.
"""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from docs.page_picture import ROOT, picture_of, write_small
from scrubwright.cli.main import main as scrubwright

PICTURE = ROOT / "docs" / "pictures" / "market_hall_shift.png"
PLATE = ROOT / "examples" / "plates" / "mid_cylindrical_080.toml"
PACK = ROOT / "examples" / "packs" / "market_hall_36v.toml"
TONIGHT = "--charge 90% --start 21:30 --dry-by 04:00 --day 2026-04-09"
# Some of the floor is wet, some drying, some dry; a tank is half empty.
SEEK = """() => {
  const slider = document.getElementById('time');
  slider.value = 0.27 * slider.max;
  slider.dispatchEvent(new Event('input'));
}"""


def market_hall_shift(folder: Path) -> Path:
    """Plans a shift in the market hall and writes its page into a folder."""
    site, page = folder / "market_hall.geojson", folder / "page.html"
    files = ["--machine", str(PLATE), "--pack", str(PACK), "--html", str(page)]
    for line in (
        ["floor", str(ROOT / "examples" / "market_hall.dxf"), "-o", str(site)],
        ["shift", str(site), *files, *TONIGHT.split()],
    ):
        if scrubwright(line):
            sys.exit(1)
    return page


def main() -> None:
    """Write the picture."""
    with TemporaryDirectory() as folder:
        picture = picture_of(market_hall_shift(Path(folder)), SEEK)
    write_small(picture, PICTURE)


if __name__ == "__main__":
    main()
