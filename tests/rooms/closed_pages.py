"""A page in one file taken apart: its elements, its texts, and the data that its script plays."""

import json
import re
from html.parser import HTMLParser
from typing import Any

from scrubwright.paperwork.wording import NO_BREAK

VOID = {"meta", "link", "input", "br", "path", "circle", "rect", "line"}


class Outline(HTMLParser):
    """The elements of a page with their attributes and own text, and whether every one is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((self.open[-1] if self.open else "", data.strip().replace(NO_BREAK, " ")))


def outline(page: str) -> Outline:
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


def night_of(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="night">(.*?)</script>', page, re.DOTALL)
    assert found
    night: dict[str, Any] = json.loads(found[1])
    return night
