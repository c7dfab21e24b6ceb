"""The help of a command and what it says to a line that it cannot understand."""

import pytest

from scrubwright.cli.parsing import Misused, Parser
from scrubwright.paperwork.wording import Language, Teller


def parser(language: Language = Language.ENGLISH) -> Parser:
    whole = Parser(teller=Teller(language=language), prog="scrubwright", description="Two commands.")
    commands = whole.add_commands()
    mop = commands.add_parser("mop", help="Mop it.", description="Mops a floor.", epilog="scrubwright mop hall")
    mop.add_argument("hall", metavar="HALL", help="The hall.")
    mop.add_argument("--bucket", metavar="FILE", required=True, help="The bucket.")
    mop.add_argument("--dry", action="store_true", help="Afterwards " + "and once more " * 6)
    mop.add_argument("--json", metavar="FILE", nargs="?", const="-", help="Write it.")
    commands.add_parser("wait", help="Do nothing.")
    return whole


def test_the_help_lists_what_must_be_given_before_what_may_be_given(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        parser().parse_args(["mop", "--help"])
    lines = capsys.readouterr().out.splitlines()
    assert lines[:4] == ["Mops a floor.", "", "Usage: scrubwright mop HALL --bucket FILE [choices]", ""]
    assert "  --bucket FILE              The bucket." in lines[: lines.index("Choices:")]
    assert "  --json [FILE]              Write it." in lines[lines.index("Choices:") :]
    assert lines[-2:] == ["Example:", "  scrubwright mop hall"]
    assert max(map(len, lines)) <= 80


def test_the_help_of_the_whole_lists_its_commands() -> None:
    assert "Commands:\n  mop                        Mop it.\n  wait                       Do nothing.\n" in (
        parser().format_help()
    )


def test_the_help_speaks_spanish() -> None:
    told = parser(Language.SPANISH).format_help()
    assert "Uso: scrubwright ORDEN [opciones]" in told
    assert "Muestra esto y termina." in told


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ([], "Something is missing: COMMAND. Help: scrubwright --help"),
        (["dust"], "There is no dust; choose from: mop, wait. Help: scrubwright --help"),
        (["mop"], "Something is missing: HALL, --bucket. Help: scrubwright mop --help"),
        (["mop", "x", "--bucket"], "A value is missing after --bucket. Help: scrubwright mop --help"),
        (["mop", "x", "--bucket", "b", "--wet"], "Nothing is known by the name of --wet. Help: scrubwright --help"),
    ],
)
def test_a_line_that_cannot_be_understood_gets_one_sentence(line: list[str], complaint: str) -> None:
    with pytest.raises(Misused) as refused:
        parser().parse_args(line)
    assert str(refused.value) == complaint
