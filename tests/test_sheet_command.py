"""The command that makes sheets: what it writes, and what it will not write over."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from golden import PATTERNS
from proofhook import proof_sheets
from proofhook.cli import main
from reading_html import one, parsed, words

ROW = "Rnd 1: 6 sc in a magic ring. (6)\n"
WRONG = "Rnd 1: 6 sc in a magic ring. (7)\n"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1767225600")
    return tmp_path


def test_a_sheet_is_made(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    loaf = PATTERNS / "cottage-loaf.txt"
    assert main(["sheet", str(loaf), "-o", "loaf.html"]) == 0
    out = "loaf.html: 20 rows, 2 differ, 0 unread; 3 errors and 2 queries.\n"
    assert capsys.readouterr() == (out, "")
    root = parsed((here / "loaf.html").read_text("utf-8"))
    assert words(one(root, ".//h1")) == "COTTAGE LOAF"
    page = (here / "loaf.html").read_text("utf-8")
    assert "1 January 2026" in page
    assert str(loaf.parent) not in page
    assert list(here.iterdir()) == [here / "loaf.html"]


def test_a_sheet_goes_to_standard_output(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    (here / "a.txt").write_text(ROW, "utf-8")
    assert main(["sheet", "a.txt", "-o", "-"]) == 0
    assert parsed(capsys.readouterr().out).tag == "html"


def test_a_pattern_comes_from_standard_input(here: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "proofhook", "sheet", "-", "-o", "a.html"],
        input=ROW, capture_output=True, encoding="utf-8", check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "standard input" in (here / "a.html").read_text("utf-8")


def test_a_sheet_takes_the_place_of_an_earlier_one_and_of_nothing_else(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "a.txt").write_text(ROW, "utf-8")
    assert main(["sheet", "a.txt", "-o", "a.html"]) == 0
    (here / "a.txt").write_text(WRONG, "utf-8")
    assert main(["sheet", "a.txt", "-o", "a.html"]) == 0
    assert "the total says 7" in (here / "a.html").read_text("utf-8")
    (here / "shop.html").write_text("<title>Our shop</title>", "utf-8")
    for name in ("shop.html", "a.txt"):
        before = (here / name).read_bytes()
        assert main(["sheet", "a.txt", "-o", name]) == 2
        assert (here / name).read_bytes() == before
        told = capsys.readouterr().err
        assert told.startswith(f"proofhook: {name}: there is another file here")
        assert told.count("\n") == 1


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["a.txt"], "the following arguments are required: -o"),
        (["none.txt", "-o", "b.html"], "none.txt: there is no such file or folder."),
        (["a.txt", "-o", "none/b.html"], "none/b.html: the folder it is to go into is not there."),
        (["a.txt", "-o", "folder"], "folder: this is a folder; name the page to write."),
        (["folder", "-o", "b.html"], "folder: this is a folder; ask for a sheet of each"),
        (["a.txt", "--all", "-o", "out"], "a.txt: it is no folder; --all takes the folder"),
        (["none", "--all", "-o", "out"], "none: there is no such folder; --all takes"),
        (["folder", "--all", "-o", "a.txt"], "a.txt: this folder cannot be made (file exists)."),
        (["empty.txt", "-o", "b.html"], "empty.txt: it is empty."),
        (["a.txt", "-o", "b\0.html"], "it could not be written"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    here: Path, arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "a.txt").write_text(ROW, "utf-8")
    (here / "empty.txt").write_text("", "utf-8")
    (here / "folder").mkdir()
    (here / "folder" / "b.txt").write_text(ROW, "utf-8")
    before = sorted(here.rglob("*"))
    try:
        status = main(["sheet", *arguments])
    except SystemExit as stop:
        status = int(stop.code or 0)
    assert status == 2
    told = capsys.readouterr().err
    assert sentence in told
    assert told.count("\n") == 1
    assert sorted(here.rglob("*")) == before


def test_nothing_is_half_written(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "a.txt").write_text(ROW, "utf-8")
    assert main(["sheet", "a.txt", "-o", "a.html"]) == 0
    before = (here / "a.html").read_bytes()
    (here / "a.txt").write_text(WRONG, "utf-8")

    def no_room(one: str, other: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", no_room)
    assert main(["sheet", "a.txt", "-o", "a.html"]) == 2
    assert "a.html: it could not be written (no space left on device)." in capsys.readouterr().err
    assert (here / "a.html").read_bytes() == before
    assert sorted(path.name for path in here.iterdir()) == ["a.html", "a.txt"]


def test_all_of_a_folder_with_an_index_that_sorts_by_what_needs_work(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = here / "patterns"
    (folder / "toys").mkdir(parents=True)
    (folder / "right.txt").write_text("RIGHT ONE\n\n" + ROW, "utf-8")
    (folder / "wrong.md").write_text("WRONG ONE\n\n" + WRONG, "utf-8")
    (folder / "toys" / "unread.txt").write_text("UNREAD ONE\n\nRnd 1: Chart B. (6)\n", "utf-8")
    (folder / "notes.txt").write_text("Buy yarn.\n", "utf-8")
    assert main(["sheet", "--all", "patterns", "-o", "out/sheets"]) == 0
    out = "out/sheets/index.html: 3 sheets, 1 with what fails a run.\n"
    assert capsys.readouterr() == (out, "")
    root = parsed((here / "out/sheets/index.html").read_text("utf-8"))
    links = [(words(a), a.get("href") or "") for a in root.findall(".//main//a")]
    assert [name for name, _ in links] == ["WRONG ONE", "UNREAD ONE", "RIGHT ONE"]
    for name, link in links:
        page = parsed((here / "out/sheets" / link).read_text("utf-8"))
        assert words(one(page, ".//h1")) == name
        back = [a.get("href") for a in page.iter("a") if words(a) == "All sheets"]
        assert back == ["index.html"]
    assert "toys/unread.txt" in words(root)


def test_names_that_collide_get_sheets_of_their_own(here: Path) -> None:
    folder = here / "patterns"
    names = ["a.txt", "a.md", "A.txt", "a-b.txt", "a/b.txt", "index.txt", "con.txt", "--.txt"]
    names += ["é.txt", "e\u0301.txt", "<b>.txt", f"{'long' * 40}.txt", f"{'long' * 41}.txt"]
    for number, name in enumerate(names):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(f"Hat no. {number}\n\n{ROW}", "utf-8")
    made = sorted(str(path.relative_to(folder)) for path in folder.rglob("*.*") if path.is_file())
    assert main(["sheet", "--all", "patterns", "-o", "out"]) == 0
    pages = [path for path in (here / "out").iterdir() if path.name != "index.html"]
    assert len(pages) == len(made) == len({path.name.casefold() for path in pages})
    assert not {path.stem.casefold() for path in pages} & {"con", "index"}
    shown = {words(one(parsed(page.read_text("utf-8")), ".//h1")) for page in pages}
    assert len(shown) == len(made)
    again = {page: page.read_bytes() for page in pages}
    assert main(["sheet", "--all", "patterns", "-o", "out"]) == 0
    assert {page: page.read_bytes() for page in pages} == again


def test_what_could_not_be_proofed_is_on_the_index(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = here / "patterns"
    folder.mkdir()
    (folder / "a.txt").write_text(ROW, "utf-8")
    (folder / "b.txt").write_bytes(b"Rnd 1: caf\xe9\n")
    (here / "out").mkdir()
    (here / "out" / "a.html").write_text("<title>Our shop</title>", "utf-8")
    assert main(["sheet", "--all", "patterns", "-o", "out"]) == 2
    told = capsys.readouterr().err
    index = words(parsed((here / "out" / "index.html").read_text("utf-8")))
    for sentence in ("patterns/b.txt:1: byte", "out/a.html: there is another file here"):
        assert sentence in told
        assert sentence in index
    assert (here / "out" / "a.html").read_text("utf-8") == "<title>Our shop</title>"


def test_the_house_of_each_folder_is_in_force(here: Path) -> None:
    folder = here / "patterns"
    folder.mkdir()
    (folder / "housestyle.toml").write_text('failing = "style"\nleave-out = ["b.txt"]\n', "utf-8")
    for name in ("a.txt", "b.txt"):
        (folder / name).write_text(ROW, "utf-8")
    assert main(["sheet", "--all", "patterns", "-o", "out"]) == 0
    assert sorted(path.name for path in (here / "out").iterdir()) == ["a.html", "index.html"]
    page = words(parsed((here / "out" / "a.html").read_text("utf-8")))
    assert "style or graver" in page
    assert "From housestyle.toml." in page


def test_without_the_extra_one_sentence_names_it(here: Path) -> None:
    (here / "a.txt").write_text(ROW, "utf-8")
    code = (
        "import sys; sys.modules['jinja2'] = None; from proofhook.cli import main; "
        "sys.exit(main(sys.argv[1:]))"
    )
    for arguments in (["a.txt", "-o", "a.html"], ["--all", ".", "-o", "out"]):
        done = subprocess.run(
            [sys.executable, "-c", code, "sheet", *arguments],
            capture_output=True, encoding="utf-8", check=False,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )  # fmt: skip
        assert done.returncode == 2
        assert done.stdout == ""
        assert done.stderr.count("\n") == 1
        assert "pip install 'proofhook[sheet]'" in done.stderr
    assert [path.name for path in here.iterdir()] == ["a.txt"]


def test_a_fault_in_one_sheet_spoils_no_other(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import proofhook.showing.sheet as package

    for name in ("a.txt", "b.txt"):
        (here / name).write_text(f"{name}\n\n{ROW}", "utf-8")
    real = package.sheet

    def faulty(proof: object, *args: object, name: str, **more: object) -> str:
        if name == "a.txt":
            raise ZeroDivisionError
        return real(proof, *args, name=name, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(package, "sheet", faulty)
    assert main(["sheet", "--all", ".", "-o", "out"]) == 2
    assert (
        "a.txt: proofhook could not make its sheet (ZeroDivisionError)" in capsys.readouterr().err
    )
    assert sorted(path.name for path in (here / "out").iterdir()) == ["b.html", "index.html"]


def test_the_day_is_today_unless_it_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    assert proof_sheets._today() == "1 January 2026"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "tomorrow")
    assert proof_sheets._today() != "1 January 2026"
