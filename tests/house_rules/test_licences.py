"""What the package runs on carries licences that go with Apache-2.0."""

import importlib.metadata
import re
import tomllib

import pytest
from packaging.markers import Marker

from tests.house_rules.source_tree import ROOT

COPYLEFT = re.compile(r"\bA?GPL|General Public License", re.IGNORECASE)
LESSER = re.compile(r"\bLGPL|(Lesser|Library) General Public License", re.IGNORECASE)
# A compiler's run-time library, whose licence leaves what is linked to it free.
FREES_WHAT_IS_LINKED = re.compile(r"GPL-3\.0-or-later WITH GCC-exception-3\.1|GPL-3\.0-with-GCC-exception")
PINNED = re.compile(r"^([a-z0-9._-]+)==[^;\s]+(?:\s*;\s*([^\\]+))?", re.MULTILINE)


def run_time_packages() -> list[str]:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    return sorted({name for name, marker in PINNED.findall(lock) if not marker or Marker(marker).evaluate()})


def licence_of(package: str) -> str:
    """What a package says of its licence: the expression where it has one, else its classifiers and first line."""
    metadata = importlib.metadata.metadata(package)
    if "License-Expression" in metadata:
        return metadata["License-Expression"]
    classified = [each for each in metadata.get_all("Classifier", []) if each.startswith("License ::")]
    written = metadata["License"].partition("\n")[0] if "License" in metadata else ""
    return "; ".join([*classified, written])


def is_copyleft(licence: str) -> bool:
    return bool(COPYLEFT.search(FREES_WHAT_IS_LINKED.sub("", licence)) or LESSER.search(licence))


def test_nothing_at_run_time_is_copyleft() -> None:
    licences = {package: licence_of(package) for package in run_time_packages()}
    assert {package: licence for package, licence in licences.items() if is_copyleft(licence)} == {}
    assert [package for package, licence in licences.items() if not licence.strip("; ")] == []


def test_a_lesser_licence_stands_only_behind_the_ifc_extra() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert settings["project"]["optional-dependencies"].keys() == {"ifc"}
    assert "ifcopenshell" not in run_time_packages()
    assert LESSER.search(licence_of("ifcopenshell"))


@pytest.mark.parametrize(
    ("licence", "copyleft"),
    [
        ("License :: OSI Approved :: GNU General Public License v3 (GPLv3)", True),
        ("AGPL-3.0-or-later", True),
        ("LGPL-2.1-only", True),
        ("BSD-3-Clause AND GPL-3.0-or-later WITH GCC-exception-3.1", False),
        ("MIT", False),
    ],
)
def test_copyleft_is_told_from_what_goes_with_apache(licence: str, copyleft: bool) -> None:
    assert is_copyleft(licence) == copyleft
