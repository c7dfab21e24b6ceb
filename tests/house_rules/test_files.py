"""What no tracked file may hold: a machine's own paths, a host in a lock, more than one noun's worth of lines."""

import re
from collections import Counter
from pathlib import PurePath

from tests.house_rules.source_tree import ROOT, tracked_texts

# Put together here, so that this file does not hold what it forbids.
MACHINE_PATHS = re.compile("|".join(("/" + "work/", "/" + "tmp/[a-z]", "/" + "root/", "/" + "home/[a-z]")))
INDEX_OPTIONS = re.compile("|".join("--" + name for name in ("extra-index-url", "find-links", "index-url")))
LONGEST_LINES = 400
SAYS_NOTHING = re.compile(r"(^|_)(utils?|helpers?|common|base|managers?|misc)(_|\.py$)")
LOCKS = ("requirements.lock", "requirements-dev.lock", "requirements-outside.lock", "requirements-uv.lock")


def test_no_tracked_file_names_a_machines_own_path() -> None:
    found = [
        f"{name}:{number}: {line.strip()[:100]}"
        for name, text in tracked_texts().items()
        for number, line in enumerate(text.splitlines(), 1)
        if MACHINE_PATHS.search(line) or (name != "Makefile" and INDEX_OPTIONS.search(line))
    ]
    assert found == []


def test_a_machines_own_path_is_caught() -> None:
    assert MACHINE_PATHS.search("open('/" + "tmp/plan.dxf')")
    assert not MACHINE_PATHS.search("open('plans/workshop/tmp')")


def test_locks_name_no_host_and_hash_every_package() -> None:
    for name in LOCKS:
        lock = (ROOT / name).read_text(encoding="utf-8")
        pinned = re.findall(r"^[a-z0-9._-]+==.*?(?=^\S|\Z)", lock, re.MULTILINE | re.DOTALL)
        assert ":" + "//" not in lock, name
        assert pinned, name
        assert all("--hash=sha256:" in package for package in pinned), name


def test_the_locks_agree_with_each_other() -> None:
    def pins(name: str) -> dict[str, str]:
        lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
        return {line.rstrip(" \\"): name for line in lines if re.match(r"[a-z0-9._-]+==", line)}

    assert set(pins("requirements.lock")) <= set(pins("requirements-dev.lock"))


def test_no_module_is_longer_than_one_noun() -> None:
    counted = {
        name: len(text.splitlines())
        for name, text in tracked_texts().items()
        if name.endswith((".py", ".js", ".css")) and "/vendor/" not in name
    }
    assert {name: lines for name, lines in counted.items() if lines > LONGEST_LINES} == {}


def test_every_module_is_named_for_what_is_in_it() -> None:
    assert [name for name in tracked_texts() if name.endswith(".py") and SAYS_NOTHING.search(PurePath(name).name)] == []


def test_every_test_module_has_a_name_of_its_own() -> None:
    names = Counter(PurePath(name).name for name in tracked_texts() if PurePath(name).match("tests/**/test_*.py"))
    assert [name for name, count in names.items() if count > 1] == []
