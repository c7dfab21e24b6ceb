"""What the commands that plan a floor share: the site, the files to write, the bar and the answer on the terminal."""

import shlex
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn
from rich.text import Text

from scrubwright.floor.site import Site
from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.route_text import Section
from scrubwright.paperwork.sites import read_site
from scrubwright.paperwork.text_columns import wrapped
from scrubwright.paperwork.wording import Teller

STANDARD_OUTPUT = "-"
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


def check_files(read: Iterable[str | None], written: Iterable[str | None]) -> None:
    """Refuse a line that names one file twice or a folder that is not there, before any work is done.

    Parameters
    ----------
    read, written
        Names of files; None and "-" (standard output) are passed over.

    Raises
    ------
    BadInput
        Two names for one file, or no such folder.
    """
    taken = {Path(name).resolve() for name in read if name is not None}
    for name in written:
        if name is None or name == STANDARD_OUTPUT:
            continue
        path = Path(name)
        if path.resolve() in taken:
            raise BadInput("{path} is named twice on the line; give each file a name of its own.", path=str(path))
        taken.add(path.resolve())
        if not path.resolve().parent.is_dir():
            raise BadInput(
                "There is no folder {folder}; make it first, or name a file in a folder that exists.",
                folder=str(path.parent),
            )


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


def tell_sections(sections: Iterable[Section], written: Sequence[Path], teller: Teller) -> None:
    """An answer on stdout, headings in bold where the terminal can and may, and the files that were written."""
    console = Console(file=sys.stdout, highlight=False, soft_wrap=True)
    for number, section in enumerate(sections):
        if number:
            console.print()
        console.print(Text(section.heading, style="bold"))
        console.print(Text(section.body))
    if written:
        console.print()
    for path in written:
        console.print(Text(teller.words("Written: {path}", path=str(path))))
