"""The reference page of the command line, written from the same descriptions as its help."""

from scrubwright.cli.main import DONE, REFUSED, STOPPED, parser
from scrubwright.cli.parsing import Argument, Parser
from scrubwright.paperwork.wording import Teller

_HEAD = """# Command line

Written by `make docs` from what `scrubwright --help` says; change the code instead.

Give `--language es` or `--units us` anywhere on the line, or once for all as `SCRUBWRIGHT_LANGUAGE` and
`SCRUBWRIGHT_UNITS`. Without them the language is that of `LC_ALL`, `LC_MESSAGES` or `LANG` where it is English or
Spanish, else English, and the units are metres and litres. Whoever reads feet types feet: a bare `12,8` is feet
with `--units us`, metres without. Where commas are decimal, points part at a semicolon: `"12,5;3"`.

The answer goes to standard output, progress and complaints to standard error. Files are written last, whole or not at
all. The program ends with
"""


def command_line_page() -> str:
    """The page as Markdown, in English."""
    whole = parser(Teller())
    lines = [
        _HEAD,
        f"- {DONE} when done,",
        f"- {REFUSED} when something given cannot be used; one sentence says what, and what to give instead,",
        f"- {STOPPED} when stopped by hand before it was done.",
    ]
    for name, command in whole.parsers():
        lines += ["", f"## scrubwright {name}", "", command.description or "", "", *_fenced(command), ""]
        lines += ["| give | what it is |", "|---|---|", *(_row(argument) for argument in command.told)]
    return "\n".join(lines) + "\n"


def _fenced(command: Parser) -> list[str]:
    return ["```", command.format_usage().rstrip(), *(["", command.example] if command.example else []), "```"]


def _row(argument: Argument) -> str:
    return f"| `{argument.shown.replace('|', chr(92) + '|')}` | {argument.help} |"
