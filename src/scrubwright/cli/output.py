"""What the commands share where an answer goes out: which files, all of them or none, and the terminal."""

import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from rich.console import Console
from rich.text import Text

from scrubwright.cli.parsing import Parser
from scrubwright.measures.errors import BadInput
from scrubwright.measures.units import UnitSystem
from scrubwright.paperwork.text_columns import Section
from scrubwright.paperwork.typesetting import Paper
from scrubwright.paperwork.wording import Teller
from scrubwright.paperwork.writing import write_bytes, write_text

STANDARD_OUTPUT = "-"
CSV, WORKBOOK = ".csv", ".xlsx"
PAPERS = {paper.name.lower(): paper for paper in Paper}


def describe_json(parser: Parser) -> None:
    """The answer as JSON, to a file or instead of the text."""
    parser.add_argument(
        "--json",
        metavar="FILE",
        nargs="?",
        const=STANDARD_OUTPUT,
        help="Write the answer as JSON; without FILE, instead of the text.",
    )


def describe_paper(parser: Parser) -> None:
    """The paper that a sheet is set for."""
    parser.add_argument(
        "--paper", metavar="a4|letter", choices=list(PAPERS), help="Paper of the sheet; else letter for US units, a4."
    )


def paper_of(name: str | None, teller: Teller) -> Paper:
    """The paper as chosen, else the usual one where people count in these units."""
    usual = Paper.LETTER if teller.system is UnitSystem.US else Paper.A4
    return usual if name is None else PAPERS[name]


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


def check_table(path: Path) -> None:
    """Refuse a table whose name ends neither as a CSV file nor as a workbook.

    Raises
    ------
    BadInput
        Another ending.
    """
    if path.suffix.lower() not in (CSV, WORKBOOK):
        raise BadInput(
            "{path} is neither a .csv nor an .xlsx; give the table of readings one of these endings.", path=str(path)
        )


def write_asked(makers: Iterable[tuple[str | None, Callable[[], str | bytes]]]) -> list[Path]:
    """Write what is asked for, and tell what was written; all of it stands ready before the first file is touched.

    Parameters
    ----------
    makers
        Name of each file with what makes its content; None and "-" (standard output) are passed over.
    """
    ready = [(Path(name), make()) for name, make in makers if name is not None and name != STANDARD_OUTPUT]
    for path, content in ready:
        _write(path, content)
    return [path for path, _ in ready]


def hand_out(content: str | bytes, out: str | None) -> None:
    """A paper to a file, or to standard output where none is named."""
    if out is not None:
        _write(Path(out), content)
    elif isinstance(content, bytes):
        sys.stdout.buffer.write(content)
    else:
        sys.stdout.write(content)


def _write(path: Path, content: str | bytes) -> None:
    if isinstance(content, bytes):
        write_bytes(path, content)
    else:
        write_text(path, content)


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
