"""Files are written whole or not at all."""

from pathlib import Path

import pytest

from scrubwright.measures.errors import BadInput
from scrubwright.paperwork.writing import write_bytes, write_text


def test_a_text_is_written_as_utf8_and_leaves_nothing_else_behind(tmp_path: Path) -> None:
    write_text(tmp_path / "route.html", "Pasillo señalado\n")
    assert (tmp_path / "route.html").read_bytes() == "Pasillo señalado\n".encode()
    assert [each.name for each in tmp_path.iterdir()] == ["route.html"]


def test_a_file_that_stood_before_is_replaced_and_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "route.json"
    path.write_text("old")
    path.chmod(0o600)
    write_text(path, "new")
    assert path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_folder_that_does_not_exist_is_refused_and_not_made(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="There is no folder"):
        write_text(tmp_path / "nowhere" / "route.json", "text")
    assert not (tmp_path / "nowhere").exists()


def test_a_folder_is_not_taken_for_a_file(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is not a file"):
        write_text(tmp_path, "text")


def test_a_text_that_cannot_be_encoded_leaves_the_old_file_and_no_half_one(tmp_path: Path) -> None:
    path = tmp_path / "route.json"
    path.write_text("old")
    with pytest.raises(UnicodeEncodeError):
        write_text(path, "half \ud800")
    assert path.read_text() == "old"
    assert len(list(tmp_path.iterdir())) == 1


def test_a_full_or_forbidden_place_is_told_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be written"):
        write_text(tmp_path / ("long" * 100), "text")


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.json").write_text("old")
    (tmp_path / "link.json").symlink_to(tmp_path / "real.json")
    write_text(tmp_path / "link.json", "new")
    assert (tmp_path / "link.json").is_symlink()
    assert (tmp_path / "real.json").read_text() == "new"


def test_bytes_are_written_as_they_are_and_take_the_place_of_what_stood_there(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"old")
    write_bytes(path, b"%PDF\r\n\x00\xff")
    assert path.read_bytes() == b"%PDF\r\n\x00\xff"
    assert [each.name for each in tmp_path.iterdir()] == ["sheet.pdf"]
    with pytest.raises(BadInput, match="There is no folder"):
        write_bytes(tmp_path / "nowhere" / "sheet.pdf", b"")
