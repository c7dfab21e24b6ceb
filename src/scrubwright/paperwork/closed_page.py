"""A page in one closed HTML file: words, style and script in it, and a policy that lets nothing else in."""

import json
import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from hashlib import sha256
from html import escape
from importlib.resources import files
from string import Formatter

from scrubwright.paperwork.route_json import Json
from scrubwright.paperwork.wording import Teller

_PART_OF_PAGE = re.compile(r"\{\{(\w+\.html)\}\}\n")
_WORDS_OF_PAGE = re.compile(r"\[\[(.+?)\]\]")
_WORDS_OF_SCRIPT = re.compile(r'\bsay\("((?:[^"\\]|\\.)*)"')


def closed_page(template: str, filled: Mapping[str, str], style: str, script: str, teller: Teller) -> str:
    """One HTML file that opens from disk and asks nobody for anything.

    Parameters
    ----------
    template
        Name of the page's file; `{{part.html}}` in it stands for that file, `[[words]]` are told to the reader,
        `{{name}}` is filled.
    filled
        What fills it, made harmless already; language, policy, style and script are added here.
    style, script
        The whole of each, as `style_of` and `script_of` give them.

    Notes
    -----
    Words are told before anything is filled, so that no name can become a word of the page.
    """
    every = {
        **filled,
        "language": teller.language.value,
        "policy": escape(_policy(script, style)),
        "style": style,
        "script": script,
    }
    page = _WORDS_OF_PAGE.sub(lambda found: escape(_kept(found[1], teller)), _page(template))
    return re.sub(r"\{\{(\w+)\}\}", lambda found: every[found[1]], page)


def style_of(names: Sequence[str]) -> str:
    """Several style sheets as one."""
    return "".join(_paper(name) for name in names)


def script_of(names: Sequence[str]) -> str:
    """Several scripts as one; each sees what the ones before it name, and the page outside sees nothing."""
    return f'(() => {{\n"use strict";\n{chr(10).join(_paper(name) for name in names)}}})();\n'


def template_words(template: str) -> tuple[str, ...]:
    """Every English sentence that stands in a page's own file."""
    return tuple(dict.fromkeys(_WORDS_OF_PAGE.findall(_page(template))))


def script_words(script: str) -> tuple[str, ...]:
    """Every English sentence that a script says."""
    return tuple(dict.fromkeys(_WORDS_OF_SCRIPT.findall(script)))


def said_by(script: str, teller: Teller) -> dict[str, Json]:
    """Every sentence that a script says with what its reader hears, names still in braces."""
    return {english: _kept(english, teller) for english in script_words(script)}


def as_data(data: Json) -> str:
    """JSON that cannot end the element it stands in."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _page(template: str) -> str:
    """A page's own file with the parts that pages share."""
    return _PART_OF_PAGE.sub(lambda found: _paper(found[1]), _paper(template))


def _paper(name: str) -> str:
    return (files("scrubwright.paperwork") / name).read_text(encoding="utf-8")


def _policy(script: str, style: str) -> str:
    """Only this very script and style may run, by their fingerprints; nothing may be fetched."""
    marks_of = [b64encode(sha256(text.encode()).digest()).decode() for text in (script, style)]
    return (
        f"default-src 'none'; script-src 'sha256-{marks_of[0]}'; style-src 'sha256-{marks_of[1]}'; "
        "font-src data:; base-uri 'none'; form-action 'none'"
    )


def _kept(template: str, teller: Teller) -> str:
    """A sentence in the reader's language, its names still in braces for values that come later."""
    names = [name for _, name, _, _ in Formatter().parse(template) if name]
    return teller.words(template, **{name: f"{{{name}}}" for name in names})
