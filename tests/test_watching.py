"""A proof that is watched is drawn again at every save, and only then."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from proofhook import watching
from proofhook.cli import main
from proofhook.watching import PAUSE, Stamp, stamps_of, watch

ROW = "Rnd 1: 6 sc in a magic ring. ({})\n"


def watched(path: Path, happenings: list[Callable[[], object]]) -> list[str]:
    """What was drawn of a file while things happened to it, one in each pause."""
    drawn: list[str] = []
    left: Iterator[Callable[[], object]] = iter(happenings)

    def sleep(seconds: float) -> None:
        assert seconds == PAUSE
        happening = next(left, None)
        if happening is None:
            raise KeyboardInterrupt
        happening()

    def draw() -> None:
        drawn.append(path.read_text("utf-8") if path.exists() else "away")

    with pytest.raises(KeyboardInterrupt):
        watch(draw, lambda: stamps_of([str(path)]), sleep)
    return drawn


def nothing() -> None:
    """A pause in which nothing happens."""


@pytest.fixture
def radish(tmp_path: Path) -> Path:
    path = tmp_path / "radish.txt"
    path.write_text("one", "utf-8")
    return path


def save(path: Path, text: str) -> Callable[[], object]:
    return lambda: path.write_text(text, "utf-8")


def replaced(path: Path, text: str, mtime: int | None = None) -> Callable[[], object]:
    """Another file put in the place of this one, as many editors save."""

    def put() -> None:
        beside = path.with_name("beside")
        beside.write_text(text, "utf-8")
        if mtime is not None:
            os.utime(beside, ns=(mtime, mtime))
        os.replace(beside, path)

    return put


def test_it_is_drawn_at_once_and_at_every_save(radish: Path) -> None:
    saves = [nothing, save(radish, "three"), nothing, nothing, save(radish, "seven!")]
    assert watched(radish, saves) == ["one", "three", "seven!"]


def test_a_file_put_in_its_place_is_a_save(radish: Path) -> None:
    mtime = radish.stat().st_mtime_ns
    assert watched(radish, [replaced(radish, "two", mtime), nothing]) == ["one", "two"]


def test_a_file_that_is_away_for_a_moment_is_waited_for(radish: Path) -> None:
    happenings = [radish.unlink, save(radish, "back"), nothing]
    assert watched(radish, happenings) == ["one", "back"]


def test_a_file_that_stays_away_is_told_once(radish: Path) -> None:
    happenings = [radish.unlink, nothing, nothing, nothing, save(radish, "back again"), nothing]
    assert watched(radish, happenings) == ["one", "away", "back again"]


def test_a_folder_is_watched_with_what_is_put_into_it(tmp_path: Path) -> None:
    assert stamps_of([str(tmp_path)]) == {}
    (tmp_path / "new.txt").write_text("x", "utf-8")
    assert list(stamps_of([str(tmp_path)])) == [str(tmp_path / "new.txt")]
    assert stamps_of(["gone.txt"]) == {"gone.txt": None}


def test_the_command_draws_the_page_and_ends_by_ctrl_c(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "radish.txt"
    path.write_text(ROW.format(6), "utf-8")
    left = iter([ROW.format(7)])

    def sleep(_: float) -> None:
        text = next(left, None)
        if text is None:
            raise KeyboardInterrupt
        replaced(path, text)()

    def once(draw: Callable[[], object], look: Callable[[], dict[str, Stamp]]) -> None:
        watch(draw, look, sleep)

    monkeypatch.setattr(watching, "watch", once)
    assert main(["proof", "--watch", str(path)]) == 130
    said = capsys.readouterr().out
    assert said.count("1 row: 1 worked out") == 2
    assert said.count("The round makes 6 sts, but the total says 7.") == 1


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["-"], "standard input cannot be watched"),
        (["a.txt", "--mend"], "--watch keeps the page in view"),
        (["a.txt", "--format", "json"], "--watch keeps the page in view"),
    ],
)
def test_what_cannot_be_watched_is_told(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", "--watch", *arguments]) == 2
    assert sentence in capsys.readouterr().err
