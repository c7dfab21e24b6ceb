"""A reader in a process of its own: what it may answer, and how it is stopped."""

import pickle
from pathlib import Path

import pytest

from scrubwright.measures.errors import BadInput, UnreadablePaper
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.child import Limits, result_of

HERE = "tests.rooms.test_child:"


def greedy() -> int:
    return len(bytearray(10**10))


def busy() -> None:
    while True:
        pass


def refusing() -> None:
    raise BadInput("A door of {door_m}.", door_m=0.5)


def asking_the_network() -> None:
    import socket

    socket.create_connection(("127.0.0.1", 9))


def starting_a_program() -> None:
    import subprocess

    subprocess.run(["true"], check=True)


def crashing() -> None:
    import os
    import signal

    os.kill(os.getpid(), signal.SIGSEGV)


class Trap:
    """Unpickling it would run a command."""

    def __reduce__(self) -> tuple[object, ...]:
        import os

        return (os.getcwd, ())


def trap() -> Trap:
    return Trap()


def long_answer() -> bytes:
    return bytes(5_000_000)


@pytest.fixture(autouse=True)
def _child_finds_this_module(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parents[2]))


def answer_of(name: str, limits: Limits | None = None) -> object:
    return result_of(HERE + name, (), limits or Limits(), file="hall.dxf")


def test_a_result_comes_back_as_it_was() -> None:
    answer = result_of("scrubwright.measures.sentence:Sentence", ("Nothing is wet.",), Limits(), file="hall.dxf")
    assert answer == Sentence("Nothing is wet.")


def test_an_error_of_the_family_comes_back_with_its_numbers() -> None:
    with pytest.raises(BadInput) as refused:
        answer_of("refusing")
    assert refused.value.sentence == Sentence("A door of {door_m}.", door_m=0.5)


@pytest.mark.parametrize(
    ("name", "limits", "said"),
    [
        ("greedy", Limits(memory_bytes=1_000_000_000), "more than 1,000.0 MB of memory"),
        ("busy", Limits(cpu_s=1.0), "more than 1 s of computing"),
        ("busy", Limits(wall_s=1.0), "not read within 1 s"),
        ("long_answer", Limits(answer_bytes=1_000_000), "stopped at hall.dxf"),
        ("asking_the_network", Limits(), "may not use socket"),
        ("starting_a_program", Limits(), "may not use subprocess"),
        ("crashing", Limits(), "SIGSEGV"),
        ("trap", Limits(), "stopped at hall.dxf"),
    ],
)
def test_a_child_that_does_what_it_may_not_is_told_in_a_sentence(name: str, limits: Limits, said: str) -> None:
    with pytest.raises(UnreadablePaper) as refused:
        answer_of(name, limits)
    assert said in str(refused.value)
    assert "save" in str(refused.value).lower()


def test_the_trap_would_have_run_outside_the_guard() -> None:
    assert isinstance(pickle.loads(pickle.dumps(Trap())), str)
