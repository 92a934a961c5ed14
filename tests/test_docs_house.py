"""The pages about the house style and about plug-ins do what they show."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from proofhook.cli import main
from proofhook.proofing import Grade
from proofhook.proofing.house import HouseError, check_house, read_house
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.rule import explain

DOCS = Path(__file__).parents[1] / "docs"


def blocks(page: str) -> dict[str, str]:
    """The examples of a page that have the name of a file, and its console example."""
    text = (DOCS / page).read_text("utf-8")
    found = re.findall(r"^```(\w+)(?: ([\w.]+))?\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return {name or kind: body for kind, name, body in found}


def walk(folder: Path) -> dict[str, str]:
    """Lay out the files of the first rule as the page says."""
    shown = blocks("plugins.md")
    (folder / "house_rules").mkdir()
    (folder / "house_rules" / "designer.py").write_text(shown["designer.py"], "utf-8")
    for name in ("housestyle.toml", "turnip.txt"):
        (folder / name).write_text(shown[name], "utf-8")
    return shown


def test_the_first_rule_does_what_the_page_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = walk(tmp_path)
    monkeypatch.chdir(tmp_path)
    command, *output = shown["console"].splitlines()
    assert command.startswith("$ proofhook ")
    assert main(command.split()[2:]) == 1
    assert capsys.readouterr().out.splitlines() == output
    assert main(["why", "designer-missing"]) == 0
    assert "Makers ask us whom to thank" in capsys.readouterr().out
    (tmp_path / "turnip.txt").write_text("Design: me\n\n" + shown["turnip.txt"], "utf-8")
    assert main(["proof", "turnip.txt"]) == 0
    assert main(["house", "turnip.txt"]) == 0
    assert "# rule file: " in capsys.readouterr().out


def test_the_words_of_the_page_are_read_and_hold_for_this_house_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    house, other = tmp_path / "house", tmp_path / "other"
    house.mkdir()
    other.mkdir()
    shown = walk(house)
    (house / "house_rules" / "words.py").write_text(shown["words.py"], "utf-8")
    for folder in (house, other):
        (folder / "radish.txt").write_text(shown["radish.txt"], "utf-8")
    monkeypatch.chdir(tmp_path)
    both = ["house/radish.txt", "other/radish.txt"]
    for names in (both, both[::-1]):
        assert main(["proof", *names, "--format", "lines"]) == 1
        told = capsys.readouterr().out
        assert "house/radish.txt:6:8: query: “Hgs in each" not in told
        assert "(unread)" not in "".join(re.findall(r"house/radish.*\n", told))
        assert "other/radish.txt:6:8: query: “Hgs in each st around” is not understood" in told
    assert main(["tally", "house/radish.txt"]) == 0
    assert "3 rows: 3 agree" in capsys.readouterr().out


def test_the_form_of_the_page_writes_what_the_page_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = walk(tmp_path)
    (tmp_path / "house_rules" / "ticks.py").write_text(shown["ticks.py"], "utf-8")
    monkeypatch.chdir(tmp_path)
    command, *output = shown["ticks"].splitlines()
    assert main(command.split()[2:]) == 1
    assert capsys.readouterr().out.splitlines() == output
    assert main(["proof", "turnip.txt", "--format", "tick"]) == 2
    told = capsys.readouterr().err
    assert told == ("proofhook: There is no form 'tick' of a proof; did you mean 'ticks'?\n")


def test_the_examples_in_its_docstring_hold(tmp_path: Path) -> None:
    walk(tmp_path)
    rules = load_rules(read_house(str(tmp_path / "housestyle.toml")).plugins)
    told = explain(next(rule for rule in rules if rule.name == "designer-missing"))
    for text, status in ((told.flagged, 1), (told.passes, 0)):
        (tmp_path / "turnip.txt").write_text(text, "utf-8")
        assert main(["proof", str(tmp_path / "turnip.txt")]) == status


def test_the_same_rule_works_from_an_installed_package(tmp_path: Path) -> None:
    """The package is really installed, by pip, into a folder that is on the path."""
    shown = walk(tmp_path)
    shutil.rmtree(tmp_path / "house_rules")
    package = tmp_path / "package"
    package.mkdir()
    for module in ("designer", "words", "ticks"):
        (package / f"garden_{module}.py").write_text(shown[f"{module}.py"], "utf-8")
    (package / "pyproject.toml").write_text(
        '[build-system]\nrequires = ["hatchling"]\nbuild-backend = "hatchling.build"\n\n'
        '[project]\nname = "garden-rules"\nversion = "1"\n\n'
        '[tool.hatch.build.targets.wheel]\ninclude = ["garden_*.py"]\n',
        "utf-8",
    )
    site = tmp_path / "site"
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps"]
    done = subprocess.run(
        [*pip, "--no-build-isolation", "--no-index", "--target", str(site), str(package)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if "hatchling" in done.stderr or "No module named pip" in done.stderr:
        pytest.skip("hatchling or pip is not installed beside this Python")
    assert done.returncode == 0, done.stderr
    sheet = 'plugins = ["garden_designer", "garden_words", "garden_ticks"]\n'
    (tmp_path / "housestyle.toml").write_text(sheet, "utf-8")

    def run(*words: str) -> str:
        code = (
            f"import sys; sys.path.insert(0, {str(site)!r}); from proofhook.cli import main; "
            f"sys.exit(main({list(words)!r}))"
        )
        done = subprocess.run(
            [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert done.returncode in (0, 1), done.stderr
        return done.stdout

    told = run("proof", "turnip.txt", "--format", "lines")
    assert "query: No line tells who designed this. (designer-missing)" in told
    (tmp_path / "radish.txt").write_text(shown["radish.txt"], "utf-8")
    assert "3 rows: 3 agree" in run("tally", "radish.txt")
    assert "not understood" not in run("proof", "radish.txt", "--format", "lines")
    assert "No line tells who designed this." in run("proof", "turnip.txt", "--format", "ticks")


@pytest.mark.parametrize(
    ("file", "sentence"),
    [
        ("def broken(:\n", "cannot be loaded: SyntaxError"),
        ("x = 1 / 0\n", "cannot be loaded: ZeroDivisionError"),
        ("from os import nothing_here\n", "cannot be loaded: ImportError"),
    ],
)
def test_a_rule_file_that_does_not_load_is_named_in_a_sentence(
    tmp_path: Path, file: str, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    walk(tmp_path)
    (tmp_path / "house_rules" / "designer.py").write_text(file, "utf-8")
    assert main(["proof", str(tmp_path / "turnip.txt")]) == 2
    told = capsys.readouterr().err
    assert sentence in told
    assert "designer.py" in told
    assert told.count("\n") == 1


def test_a_rule_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    sheet = tmp_path / "housestyle.toml"
    sheet.write_text("rule-folders = ['none']\n", "utf-8")
    with pytest.raises(HouseError, match=":1: the folder 'none' cannot be listed"):
        read_house(str(sheet))


def test_the_sheets_of_the_page_are_what_the_page_says(tmp_path: Path) -> None:
    shown = blocks("house-style.md")
    for name in ("housestyle.toml", "designer.toml", "strict.toml"):
        (tmp_path / name).write_text(shown[name], "utf-8")
    house = read_house(str(tmp_path / "housestyle.toml"))
    check_house(house, load_rules())
    assert house.failing is Grade.QUERY
    assert house.in_folder_of(str(tmp_path / "toys" / "a.txt")).failing is Grade.STYLE
    assert house.leaves_out(str(tmp_path / "drafts" / "a.txt"))
    assert house.rules["total-missing"].off
    assert house.wording[0].unless == ("magic circle method",)
    check_house(read_house(str(tmp_path / "strict.toml")), load_rules())
    designer = read_house(str(tmp_path / "designer.toml"))
    assert designer.failing is Grade.ERROR
    assert designer.wording == house.wording


def test_the_stet_of_the_page_is_what_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import shlex

    monkeypatch.chdir(tmp_path)
    (tmp_path / "turnip.txt").write_text("Rnd 1: 6 sc in a magic ring. (7)\n", "utf-8")
    command, *output = blocks("house-style.md")["console"].splitlines()
    assert main(shlex.split(command)[2:]) == 0
    assert capsys.readouterr().out.splitlines() == output
