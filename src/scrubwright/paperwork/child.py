"""A reader runs in a process of its own: a bad file can stop the reader, never the program.

Its memory, processor time, waiting time and answer are limited; it opens no network and starts no
other program. The answer comes back as a pickle in a file, and only records of this package,
shapely geometries and plain values are accepted from it.
"""

import importlib
import io
import os
import pickle
import resource
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from scrubwright.measures.errors import ScrubwrightError, UnreadablePaper

_FORBIDDEN_EVENTS = ("socket.", "subprocess.", "os.system", "os.exec", "os.fork", "os.posix_spawn", "os.spawn")
_OUT_OF_MEMORY = 77


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a child process may use.

    Parameters
    ----------
    memory_bytes
        Address space, libraries included [bytes].
    cpu_s
        Processor time [s].
    wall_s
        Time from start to answer [s].
    answer_bytes
        Size of the answer [bytes].
    """

    memory_bytes: int = 2_000_000_000
    cpu_s: float = 60.0
    wall_s: float = 120.0
    answer_bytes: int = 200_000_000


def result_of(function: str, arguments: tuple[object, ...], limits: Limits, *, file: str) -> object:
    """What a named function answers when run in a child process.

    Parameters
    ----------
    function
        "package.module:name".
    arguments
        What it is called with; must pickle.
    file
        The drawing's name, for the sentence if the child is stopped.

    Raises
    ------
    ScrubwrightError
        Whatever member of the family the function raised.
    UnreadablePaper
        The child hit a limit or stopped at the file.
    """
    with tempfile.TemporaryDirectory(prefix="scrubwright-") as folder:
        question, answer = Path(folder, "question"), Path(folder, "answer")
        question.write_bytes(pickle.dumps((function, arguments, limits)))
        said = _run(question, answer, limits, file)
        content = _unpickled(answer.read_bytes()) if answer.is_file() else None
    if not isinstance(content, tuple):
        raise UnreadablePaper(
            "The reader stopped at {file} ({detail}). The file is probably damaged; save it again and read that.",
            file=file,
            detail=said,
        )
    raised, result = content
    if isinstance(raised, ScrubwrightError):
        raise raised
    return result


def _run(question: Path, answer: Path, limits: Limits, file: str) -> str:
    """Run the child; raise for a limit, else return the last line it said."""
    command = [sys.executable, "-P", "-m", "scrubwright.paperwork.child", str(question), str(answer)]
    environment = {name: os.environ[name] for name in ("PATH", "LANG", "HOME", "PYTHONPATH") if name in os.environ}
    environment |= {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONHASHSEED": "0"}
    try:
        done = subprocess.run(
            command,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            timeout=limits.wall_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise UnreadablePaper(
            "{file} was not read within {limit_s}. Save only the storey you need, without details.",
            file=file,
            limit_s=limits.wall_s,
        ) from None
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        raise UnreadablePaper(
            "{file} takes more than {limit_s} of computing. Save only the storey you need, without details.",
            file=file,
            limit_s=limits.cpu_s,
        )
    said = done.stderr.decode("utf-8", "replace").strip()
    if done.returncode == _OUT_OF_MEMORY or "bad_alloc" in said or "MemoryError" in said:
        raise UnreadablePaper(
            "{file} takes more than {limit_bytes} of memory to read. Save only the storey you need, and read that.",
            file=file,
            limit_bytes=float(limits.memory_bytes),
        )
    if done.returncode < 0:
        return signal.Signals(-done.returncode).name
    return said.rpartition("\n")[2][:200]


class _Records(pickle.Unpickler):
    """Accepts what a reader may answer, and nothing that could run something else."""

    _PLAIN = frozenset({("builtins", "frozenset"), ("builtins", "set"), ("builtins", "complex")})
    _SHAPES = ("from_wkb", "_unpickle_linearring")

    def find_class(self, module: str, name: str) -> object:
        """The named record, error or shape maker."""
        if (module, name) in self._PLAIN:
            return super().find_class(module, name)
        if module.startswith("shapely.") and name in self._SHAPES:
            return super().find_class(module, name)
        if module.startswith("scrubwright.") and "." not in name:
            found = super().find_class(module, name)
            if getattr(found, "__module__", None) == module and (isinstance(found, type) or name == "_rebuilt"):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} may not come from a reader")


def _unpickled(content: bytes) -> object:
    try:
        return _Records(io.BytesIO(content)).load()
    except (pickle.UnpicklingError, EOFError):
        return None


def _limit(limits: Limits) -> None:
    """Take the limits upon this process, for good."""
    cpu_s = max(1, round(limits.cpu_s))
    resource.setrlimit(resource.RLIMIT_AS, (limits.memory_bytes, limits.memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 2))
    resource.setrlimit(resource.RLIMIT_FSIZE, (limits.answer_bytes, limits.answer_bytes))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sys.addaudithook(_refuse)


def _refuse(event: str, _arguments: tuple[object, ...]) -> None:
    if event.startswith(_FORBIDDEN_EVENTS):
        raise PermissionError(f"a reader may not use {event}")


def _named(function: str) -> Callable[..., object]:
    module, _, name = function.partition(":")
    found: Callable[..., object] = getattr(importlib.import_module(module), name)
    return found


def _main(question: Path, answer: Path) -> int:
    function, arguments, limits = pickle.loads(question.read_bytes())
    _limit(limits)
    try:
        content: tuple[object, object] = (None, _named(function)(*arguments))
    except ScrubwrightError as error:
        content = (error, None)
    except MemoryError:
        return _OUT_OF_MEMORY
    answer.write_bytes(pickle.dumps(content))
    return 0


if __name__ == "__main__":
    sys.exit(_main(Path(sys.argv[1]), Path(sys.argv[2])))
