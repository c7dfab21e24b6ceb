"""What the commands that plan a floor share: the site and the bar."""

import shlex
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from scrubwright.floor.site import Site
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.sites import read_site
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

SITE_SUFFIXES = (".geojson", ".json")


def site_from(path: Path, teller: Teller) -> Site:
    """The site in a file; what is doubtful in it is told on stderr, beside the answer.

    Raises
    ------
    BadInput, UnreadablePaper
        It is no site file, or one that cannot be read.
    """
    if path.suffix.lower() not in SITE_SUFFIXES and path.is_file():
        raise BadInput(
            "{file} is no site file. Make one first: {command}",
            file=path.name,
            command=f"scrubwright floor {shlex.quote(str(path))} -o {shlex.quote(str(path.with_suffix('.geojson')))}",
        )
    reading = read_site(path)
    for warning in reading.warnings:
        print(wrapped(teller.tell(warning)), file=sys.stderr)
    return reading.site


@contextmanager
def progress_bar(teller: Teller) -> Iterator[Callable[[float], None]]:
    """A bar with the time left on a terminal; nothing where nobody watches."""
    console = Console(stderr=True)
    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(compact=True),
        console=console,
        transient=True,
        disable=not console.is_terminal,
    )
    with bar:
        task = bar.add_task(teller.words("Planning"), total=1.0)
        yield lambda fraction: bar.update(task, completed=fraction)
