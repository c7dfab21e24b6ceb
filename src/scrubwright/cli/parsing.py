"""The arguments of a command: described once, helped with in the reader's language, short and with an example."""

import argparse
import re
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NoReturn

from scrubwright.measures.errors import BadInput
from scrubwright.measures.sentence import Sentence
from scrubwright.paperwork.wording import Teller

WIDTH = 80
_NAMES_WIDTH = 27


class Misused(BadInput):
    """The command line itself cannot be understood."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Argument:
    """One argument as its help shows it: "--drain X,Y" and what it is for, in English."""

    shown: str
    help: str
    is_choice: bool
    is_required: bool


class Parser(argparse.ArgumentParser):
    """An argument parser whose help and complaints are sentences told by a `Teller`."""

    def __init__(self, *, teller: Teller, prog: str, description: str, example: str = "") -> None:
        self.teller = teller
        self.example = example
        self.told: list[Argument] = []
        self.commands: Commands | None = None
        super().__init__(prog=prog, description=description, add_help=False, allow_abbrev=False)
        self.add_argument("-h", "--help", action="help", help="Show this and stop.")

    def add_argument(self, *names: str, **options: Any) -> argparse.Action:
        """As in argparse; what the help shows is kept aside."""
        action = super().add_argument(*names, **options)
        value = action.metavar if isinstance(action.metavar, str) else action.dest.upper()
        if not action.option_strings:
            shown = value
        elif action.nargs == 0:
            shown = ", ".join(action.option_strings)
        else:
            shown = f"{', '.join(action.option_strings)} {f'[{value}]' if action.nargs == '?' else value}"
        self.told.append(
            Argument(
                shown=shown,
                help=action.help or "",
                is_choice=bool(action.option_strings) and not action.required,
                is_required=action.required,
            )
        )
        return action

    def add_commands(self) -> "Commands":
        """Room for commands, each with a parser of its own."""
        holder = self.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=Parser)
        self.commands = Commands(teller=self.teller, prog=self.prog, holder=holder, summaries={}, parsers={})
        return self.commands

    def parsers(self) -> list[tuple[str, "Parser"]]:
        """The parser of each command under its name."""
        return [] if self.commands is None else list(self.commands.parsers.items())

    def format_usage(self) -> str:
        """The line that shows what must be given."""
        words = self.teller.words
        needed = [argument.shown for argument in self.told if argument.is_required]
        if self.commands is not None:
            needed.append(words("COMMAND"))
        return f"{words('Usage')}: {' '.join([self.prog, *needed])} [{words('choices')}]\n"

    def format_help(self) -> str:
        """What it does, its arguments and an example."""
        words = self.teller.words
        parts = [textwrap.fill(words(self.description or ""), WIDTH), self.format_usage().rstrip()]
        if self.commands is not None:
            parts.append(_listed(words("Commands"), list(self.commands.summaries.items()), words))
        for title, is_choice in (("What to give", False), ("Choices", True)):
            rows = [(argument.shown, argument.help) for argument in self.told if argument.is_choice is is_choice]
            if rows:
                parts.append(_listed(words(title), rows, words))
        if self.example:
            parts.append(f"{words('Example')}:\n{textwrap.indent(self.example, '  ')}")
        return "\n\n".join(parts) + "\n"

    def error(self, message: str) -> NoReturn:
        """Raise `Misused` with the complaint as a sentence of ours."""
        raise Misused("{complaint} Help: {command}", complaint=_complaint(message), command=f"{self.prog} --help")


@dataclass(frozen=True, slots=True, kw_only=True)
class Commands:
    """The commands of a program; each `describe(commands)` adds its own."""

    teller: Teller
    prog: str
    holder: Any
    summaries: dict[str, str]
    parsers: dict[str, Parser]

    def add_parser(self, name: str, *, help: str, description: str = "", epilog: str = "") -> Parser:  # noqa: A002
        """A parser for one command.

        Parameters
        ----------
        name
            The word typed.
        help
            One line for the list of commands, in English.
        description
            What its own help begins with; `help` where none is given.
        epilog
            An example, as typed.
        """
        self.summaries[name] = help
        parser: Parser = self.holder.add_parser(
            name, prog=f"{self.prog} {name}", teller=self.teller, description=description or help, example=epilog
        )
        self.parsers[name] = parser
        return parser


def _listed(title: str, rows: list[tuple[str, str]], words: Callable[[str], str]) -> str:
    lines = [f"{title}:"]
    for shown, told in rows:
        text = textwrap.wrap(words(told), WIDTH - _NAMES_WIDTH - 2) or [""]
        if len(shown) <= _NAMES_WIDTH - 2:
            lines.append(f"  {shown:<{_NAMES_WIDTH}}{text.pop(0)}".rstrip())
        else:
            lines.append(f"  {shown}")
        lines.extend(" " * (_NAMES_WIDTH + 2) + line for line in text)
    return "\n".join(lines)


_COMPLAINTS: tuple[tuple[str, Callable[[str, str], Sentence]], ...] = (
    (
        r"the following arguments are required: (?P<what>.*)(?P<more>)",
        lambda what, _: Sentence("Something is missing: {what}.", what=what),
    ),
    (
        r"unrecognized arguments: (?P<what>.*)(?P<more>)",
        lambda what, _: Sentence("Nothing is known by the name of {what}.", what=what),
    ),
    (
        r"argument (?P<what>.*): expected .*(?P<more>)",
        lambda what, _: Sentence("A value is missing after {what}.", what=what),
    ),
    (
        r"argument .*: invalid choice: '(?P<what>.*?)' \(choose from (?P<more>.*)\)",
        lambda what, known: Sentence("There is no {what}; choose from: {known}.", what=what, known=known),
    ),
    (
        r"argument (?P<what>.*): invalid .* value: (?P<more>.*)",
        lambda what, given: Sentence("{what} cannot be {given}.", what=what, given=given),
    ),
)


def _complaint(message: str) -> Sentence:
    for pattern, sentence in _COMPLAINTS:
        found = re.fullmatch(pattern, message, re.DOTALL)
        if found:
            return sentence(found["what"], found["more"].replace("'", ""))
    return Sentence("{complaint}.", complaint=message)
