"""Which files are meant, and reading them or saying why not."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from proofhook.files import FileError, Named, named_files, read_source
from proofhook.text import MAX_BYTES, TextError


def paths(*names: Path | str) -> tuple[list[str], list[str]]:
    told: list[str] = []
    return [file.path for file in named_files(map(str, names), told.append)], told


def put(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("Rnd 1: 6 sc in ring. (6)\n", "utf-8")


def test_a_folder_stands_for_its_texts_in_order(tmp_path: Path) -> None:
    put(tmp_path, "b.txt", "a.md", "C.TXT", "c.py", "deep/er/d.txt", "deep/a.txt", ".hid/x.txt")
    found, told = paths(tmp_path)
    assert [os.path.relpath(path, tmp_path) for path in found] == [
        "C.TXT", "a.md", "b.txt", "deep/a.txt", "deep/er/d.txt",
    ]  # fmt: skip
    assert told == []


def test_files_named_are_taken_as_they_are_and_once(tmp_path: Path) -> None:
    put(tmp_path, "notes.pattern", "a.txt")
    one = str(tmp_path / "notes.pattern")
    found, _ = paths(one, one, tmp_path, tmp_path / "a.txt", "-", "missing.txt")
    assert found == [one, str(tmp_path / "a.txt"), "-", "missing.txt"]


def test_a_file_in_a_folder_knows_its_folder(tmp_path: Path) -> None:
    put(tmp_path, "a.txt")
    assert list(named_files([str(tmp_path)], print)) == [
        Named(str(tmp_path / "a.txt"), str(tmp_path))
    ]


def test_links_in_a_circle_are_not_followed(tmp_path: Path) -> None:
    put(tmp_path, "a.txt")
    (tmp_path / "again").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "gone.txt").symlink_to(tmp_path / "nowhere.txt")
    (tmp_path / "self.txt").symlink_to(tmp_path / "self.txt")
    found, told = paths(tmp_path)
    assert ([Path(path).name for path in found], told) == (["a.txt"], [])


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may list all")
def test_a_folder_that_cannot_be_listed_is_told_of(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0)
    assert paths(tmp_path)[1] == [f"{closed}: this folder cannot be listed (permission denied)."]


def refused(path: Path | str) -> str:
    with pytest.raises((FileError, TextError)) as raised:
        read_source(str(path))
    assert "\n" not in str(raised.value)
    return str(raised.value)


def test_what_cannot_be_read_is_told_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "binary.txt").write_bytes(b"Rnd 1: \x00\x01")
    (tmp_path / "latin.txt").write_bytes(b"Rnd 1: 6 sc\nRnd 2: caf\xe9")
    (tmp_path / "self.txt").symlink_to(tmp_path / "self.txt")
    assert refused(tmp_path / "no.txt").endswith("no.txt: there is no such file or folder.")
    assert "cannot be read (is a directory)" in refused(tmp_path)
    assert "not a text file" in refused(tmp_path / "binary.txt")
    assert "latin.txt:2:" in refused(tmp_path / "latin.txt")
    assert "cannot be read (" in refused(tmp_path / "self.txt")
    assert refused("a\0b.txt") == "'a\\x00b.txt' cannot be the name of a file."


def test_a_file_far_too_large_is_not_even_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "huge.txt"
    with path.open("wb") as file:
        file.truncate(MAX_BYTES * 1000)
    assert "larger than 1 MB" in refused(path)


def test_newlines_and_byte_order_mark_are_kept_as_found(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes("\ufeffRnd 1: 6 sc\r\nRnd 2: sc\r\n".encode())
    source = read_source(str(path))
    assert source.bom
    assert source.text == "Rnd 1: 6 sc\r\nRnd 2: sc\r\n"
