"""Files written whole or not at all, and logs that grow by whole lines."""

import os
import tempfile
from pathlib import Path

from scrubwright.measures.errors import BadInput

_READABLE_BY_OTHERS = 0o644


def write_text(path: Path, text: str) -> None:
    """Write a text file, as UTF-8, so that nobody ever sees half of it; see `write_bytes`.

    Raises
    ------
    BadInput
        The folder does not exist, the path is no file, or the file cannot be written.
    """
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file so that nobody ever sees half of it.

    The content goes to a new file in the same folder, which then takes the place of `path`; where
    anything goes wrong on the way, what stood there before still stands.

    Parameters
    ----------
    path
        The file to write; its folder must exist.
    content
        What it will hold.

    Raises
    ------
    BadInput
        The folder does not exist, the path is no file, or the file cannot be written.
    """
    try:
        # Through a link to the file itself, so that the link stays a link.
        path = Path(path).resolve()
        if not path.parent.is_dir():
            raise BadInput(
                "There is no folder {folder}; make it first, or name a file in a folder that exists.",
                folder=str(path.parent),
            )
        if path.exists() and not path.is_file():
            raise BadInput("{path} is not a file; name a file in a folder that exists.", path=str(path))
        _replace(path, content)
    except OSError as error:
        raise _unwritable(path, error) from error


def append_line(path: Path, line: str) -> None:
    """Add a line to the end of a text file, as UTF-8, so that it is on the disk before anything else is asked.

    A line that a power cut broke off before stays a line of its own.

    Parameters
    ----------
    path
        The file; it is made where there is none.
    line
        Without its end.

    Raises
    ------
    BadInput
        The file cannot be written.
    """
    try:
        with path.open("a+b") as file:
            if file.tell() and _last_byte(path) != b"\n":
                file.write(b"\n")
            file.write(line.encode() + b"\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError) -> BadInput:
    return BadInput(
        "{path} cannot be written ({problem}); name a place where you may write and that has room.",
        path=str(path),
        problem=error.strerror or type(error).__name__,
    )


def _last_byte(path: Path) -> bytes:
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1)


def _replace(path: Path, content: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        # A fresh temporary file is private; one that stood before keeps its own permissions.
        Path(name).chmod(path.stat().st_mode & 0o777 if path.exists() else _READABLE_BY_OTHERS & ~_umask())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
