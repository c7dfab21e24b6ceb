"""The documents lead somewhere, are complete, and say what the code says."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from docs.reference_pages import PAGES
from scrubwright.cli.reference import command_line_page
from tests.house_rules.source_tree import ROOT, modules, rooms

DOCS = ROOT / "docs"
INDEX = DOCS / "index.md"
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
ROOM_ROW = re.compile(r"^\| `([a-z]+)` \|(.+)$", re.MULTILINE)
NAMED_PAGE = re.compile(r"docs/[a-z-]+/[\w-]+\.md")
CODE_BLOCK = re.compile(r"^ *```.*?^ *```", re.MULTILINE | re.DOTALL)
MAKE_TARGET = re.compile(r"^([a-z][a-z-]*):", re.MULTILINE)


def papers() -> list[Path]:
    return sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])


def anchors(text: str) -> set[str]:
    headings = re.findall(r"^#+ +(.+)$", CODE_BLOCK.sub("", text), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-") for heading in headings}


def links(paper: Path) -> list[str]:
    return LINK.findall(CODE_BLOCK.sub("", paper.read_text(encoding="utf-8")))


def leads_nowhere(paper: Path, link: str) -> bool:
    if re.match(r"[a-z]+:", link):
        return False
    name, _, anchor = link.partition("#")
    target = (paper.parent / name).resolve() if name else paper
    if not target.exists() or not target.is_relative_to(ROOT):
        return True
    return bool(anchor) and anchor not in anchors(target.read_text(encoding="utf-8"))


def test_every_relative_link_leads_somewhere() -> None:
    dead = [
        f"{paper.relative_to(ROOT)}: {link}"
        for paper in papers()
        for link in links(paper)
        if leads_nowhere(paper, link)
    ]
    assert dead == []


def test_a_dead_link_is_caught() -> None:
    assert leads_nowhere(INDEX, "no-such-page.md")
    assert leads_nowhere(INDEX, "index.md#no-such-heading")
    assert not leads_nowhere(INDEX, "decisions/0001-the-house.md#consequences")


def test_every_page_is_reached_from_the_index() -> None:
    reached = {INDEX}
    while True:
        found = {(page.parent / link.partition("#")[0]).resolve() for page in reached for link in links(page)}
        fresh = {page for page in found if page.suffix == ".md" and page.exists()} - reached
        if not fresh:
            break
        reached |= fresh
    assert sorted(str(page.relative_to(DOCS)) for page in DOCS.rglob("*.md") if page not in reached) == []


def test_every_room_has_a_page_in_its_row_of_the_index() -> None:
    rows = dict(ROOM_ROW.findall(INDEX.read_text(encoding="utf-8")))
    paged = {room for room, row in rows.items() if re.search(r"\]\((explanation|reference)/", row)}
    assert sorted(rooms() - paged) == []
    assert sorted(rows.keys() - rooms()) == []


def test_every_page_that_the_code_names_exists() -> None:
    named = {page for module in modules() for page in NAMED_PAGE.findall(module.path.read_text(encoding="utf-8"))}
    assert sorted(page for page in named if not (ROOT / page).exists()) == []
    assert named


@pytest.mark.parametrize("name", PAGES)
def test_a_page_written_from_the_code_is_up_to_date(name: str) -> None:
    assert (DOCS / name).read_text(encoding="utf-8") == PAGES[name](), "run make docs"


def test_every_page_begins_with_its_title() -> None:
    assert [str(page) for page in papers() if not page.read_text(encoding="utf-8").startswith("# ")] == []


def test_every_make_target_that_a_paper_names_exists() -> None:
    targets = set(MAKE_TARGET.findall((ROOT / "Makefile").read_text(encoding="utf-8")))
    named = {
        (paper.name, target)
        for paper in papers()
        for target in re.findall(r"(?:`|^ *)make ([a-z-]+)", paper.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert sorted((paper, target) for paper, target in named if target not in targets) == []
    assert {target for _, target in named} >= {"run", "test", "check", "lock"}


COMMAND = r"scrubwright (?:after|charging|due|equalising|floor|pack|parts|plate|rest|round|route|shift|spill)\b[^`\n]*"


def test_every_command_that_a_paper_shows_can_be_typed() -> None:
    known = set(re.findall(r"--[a-z]+", command_line_page())) | {"--help"}
    shown = [
        (paper.name, option)
        for paper in papers()
        for command in re.findall(COMMAND, paper.read_text(encoding="utf-8"))
        for option in re.findall(r"--[a-z]+", command)
    ]
    assert sorted({(paper, option) for paper, option in shown if option not in known}) == []
    assert {option for _, option in shown} >= {"--machine", "--html", "--drain"}


def test_the_built_pages_ask_no_other_host(tmp_path: Path) -> None:
    shutil.copytree(DOCS, tmp_path / "docs")
    shutil.copy(ROOT / "zensical.toml", tmp_path)
    builder = Path(sys.executable).with_name("zensical")
    built = subprocess.run(
        [builder, "build", "--clean", "--strict"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert built.returncode == 0, built.stdout + built.stderr
    pages = list((tmp_path / "build" / "docs").rglob("*.html"))
    fetched = re.compile(r"<(?:script|link|img|iframe|source)[^>]+(?:src|href)=\"?(?:https?:)?//[^>]*")
    assert [call for page in pages for call in fetched.findall(page.read_text(encoding="utf-8"))] == []
    assert len(pages) > len(list(DOCS.rglob("*.md")))
