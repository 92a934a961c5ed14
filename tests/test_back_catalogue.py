"""Many patterns at once: several processes and the cache give what one process gives."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from benchmark.library import write_library
from proofhook.catalogue import rounds
from proofhook.catalogue.cache import Cache, cache_folder
from proofhook.catalogue.pace import MANY, processes
from proofhook.catalogue.work import shown_again, shown_written
from proofhook.cli import main
from proofhook.showing.sums import Shown, Sums
from test_end_to_end import HOSTILE

ROOT = Path(__file__).resolve().parents[1]
WRONG = "MARROW\n\nRnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st around. (11)\n"
FORMS = [
    (command, form)
    for command, forms in {
        "proof": "page lines json sarif junit",
        "tally": "page lines json",
    }.items()
    for form in forms.split()
]
STATUS = "from proofhook.proofing import Grade, hookimpl, rule\nfrom proofhook.text import Span\n"
#: A rule that ends its process where a pattern says so; without the word, it ends the first
#: process only and leaves a note of that.
DEADLY = f"""{STATUS}import os, signal
@rule("deadly", Grade.STYLE)
def deadly(context):
    text = context.pattern.source.text
    if "DEADLY" in text:
        os.kill(os.getpid(), signal.SIGKILL)
    if "ONCE" in text and not os.path.exists("once"):
        open("once", "w").close()
        os.kill(os.getpid(), signal.SIGKILL)
    if "PRINTS" in text:
        print("a rule that talks")
    return [context.finding(Span(0, 1), "Looked at.")]
@hookimpl
def proofhook_rules():
    return [deadly]
@hookimpl
def proofhook_forms():
    return {{"ticks": lambda proofs: (f"{{p.tally.rows[1].row.steps}}\\n" for p in proofs)}}
"""


class Run(NamedTuple):
    status: int
    out: str
    err: str


def run(folder: Path, *arguments: str, text: str = "") -> Run:
    done = subprocess.run(
        [sys.executable, "-m", "proofhook", *arguments],
        cwd=folder, input=text, capture_output=True, encoding="utf-8", check=False, timeout=120,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "PROOFHOOK_CACHE": str(folder / "cache")},
    )  # fmt: skip
    assert "Traceback" not in done.stderr, done.stderr
    return Run(done.returncode, done.stdout, done.stderr)


def entries(folder: Path) -> list[Path]:
    return sorted(path for path in (folder / "cache" / "outcomes").rglob("*") if path.is_file())


@pytest.fixture(scope="session")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with patterns of all sorts, and with all that can be wrong with one."""
    folder = tmp_path_factory.mktemp("shelf")
    lib = folder / "lib"
    write_library(lib, 6)
    shutil.copytree(ROOT / "fixtures" / "patterns", lib / "shipped")
    for number, name in enumerate(("a vast repeat", "letters turned round", "a word of a million")):
        text = HOSTILE.get(name, "Rnd 1: " + "s" * 1000)
        (lib / f"hostile-{number}.txt").write_text(text, "utf-8")
    (lib / "wrong.txt").write_bytes(b"\xef\xbb\xbf" + WRONG.replace("\n", "\r\n").encode())
    (lib / "binary.txt").write_bytes(b"Rnd 1: \0")
    (lib / "latin.txt").write_bytes(b"caf\xe9")
    (lib / "empty.txt").write_text("", "utf-8")
    (lib / "prose.md").write_text("A walk in the garden.\n", "utf-8")
    (lib / "bad").mkdir()
    (lib / "bad" / "housestyle.toml").write_text("[rules]\nrow-ordr = 'off'\n", "utf-8")
    (lib / "bad" / "a.txt").write_text(WRONG, "utf-8")
    (lib / "stood").mkdir()
    (lib / "stood" / "stet.toml").write_text("stte = 1\n", "utf-8")
    (lib / "stood" / "a.md").write_text("No rows.\n", "utf-8")
    (lib / "stood" / "b.txt").write_text(WRONG, "utf-8")
    (lib / "strict").mkdir()
    (lib / "strict" / "stet.toml").write_text(
        '[[stet]]\nrule = "stitch-total"\nquote = "2 sc in each st around. (11)"\n'
        'because = "The chart says so."\n', "utf-8",
    )  # fmt: skip
    (lib / "strict" / "housestyle.toml").write_text(
        'failing = "style"\n[[wording]]\nwrite = "stitch"\nnot = "st"\n'
        '[[folders]]\nin = ["a.txt"]\nfailing = "error"\n', "utf-8",
    )  # fmt: skip
    (lib / "strict" / "a.txt").write_text(WRONG, "utf-8")
    (lib / "strict" / "b.txt").write_text(WRONG.replace("MARROW", "LEEK"), "utf-8")
    return folder


@pytest.mark.parametrize(("command", "form"), FORMS)
def test_however_it_is_done_the_output_is_the_same(shelf: Path, command: str, form: str) -> None:
    shutil.rmtree(shelf / "cache", ignore_errors=True)
    words = [command, "lib", "none.txt", "-", "--format", form]
    plain = run(shelf, *words, "--jobs", "1", text=WRONG)
    assert plain.status == 2
    assert plain.err.count("\n") > 2
    assert entries(shelf) == []
    assert run(shelf, *words, "--jobs", "2", text=WRONG) == plain
    assert run(shelf, *words, "--jobs", "3", "--cache", "on", text=WRONG) == plain
    kept = entries(shelf)
    assert len(kept) > 10
    assert run(shelf, *words, "--jobs", "1", "--cache", "on", text=WRONG) == plain
    assert run(shelf, *words, "--jobs", "2", "--cache", "on", text=WRONG) == plain
    assert entries(shelf) == kept


def test_what_is_kept_for_one_form_serves_the_others(
    bench: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is worked on again: where work is asked for, this run ends in a fault."""

    def out(*arguments: str) -> str:
        assert main(["proof", "a.txt", *arguments]) == 1
        return capsys.readouterr().out

    def work(_: object) -> None:
        raise AssertionError("it is in the cache")

    monkeypatch.chdir(bench)
    monkeypatch.setenv("PROOFHOOK_CACHE", str(bench / "cache"))
    monkeypatch.delenv("COLUMNS", raising=False)
    ways = [["--format", form] for form in ("page", "lines", "json", "sarif", "junit", "ticks")]
    plain = [out(*way) for way in ways]
    out("--cache", "on")
    monkeypatch.setattr(rounds, "work", work)
    for _ in range(2):
        assert [out(*way, "--cache", "on") for way in ways] == plain
    (bench / "a.txt").write_text(WRONG + " ", "utf-8")
    assert main(["proof", "a.txt", "--cache", "on"]) == 2
    assert "it is in the cache" in capsys.readouterr().err


def test_the_page_is_kept_for_the_paper_that_it_was_laid_out_for(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for width in ("40", "100", "40", "100"):
        monkeypatch.setenv("COLUMNS", width)
        cached = run(bench, "proof", "a.txt", "--cache", "on")
        assert cached == run(bench, "proof", "a.txt")
        assert max(map(len, cached.out.splitlines())) <= int(width)


def test_files_without_rows_are_told_of_from_the_cache_as_well(tmp_path: Path) -> None:
    (tmp_path / "empty.txt").write_text("\ufeff \n", "utf-8")
    (tmp_path / "prose.txt").write_text("A walk in the garden.\n", "utf-8")
    for command in ("proof", "tally"):
        plain = run(tmp_path, command, "empty.txt", "prose.txt")
        assert "empty.txt: it is empty." in plain.err
        assert "prose.txt: no rows or rounds were found in it." in plain.err
        for _ in range(2):
            assert run(tmp_path, command, "empty.txt", "prose.txt", "--cache", "on") == plain
    assert entries(tmp_path)


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_what_a_house_found_in_part_is_not_kept(bench: Path, jobs: str) -> None:
    (bench / "house" / "broken.py").write_text("1 / 0\n", "utf-8")
    shutil.copy(bench / "a.txt", bench / "b.txt")
    plain = run(bench, "proof", "a.txt", "b.txt")
    assert plain.status == 2
    assert "ZeroDivisionError" in plain.err
    for _ in range(2):
        words = ["proof", "a.txt", "b.txt", "--cache", "on", "--jobs", jobs]
        assert run(bench, *words) == plain
    assert entries(bench) == []


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A house with a rule file of its own, and one pattern."""
    (tmp_path / "house").mkdir()
    (tmp_path / "house" / "deadly.py").write_text(DEADLY, "utf-8")
    (tmp_path / "housestyle.toml").write_text('rule-folders = ["house"]\n', "utf-8")
    (tmp_path / "a.txt").write_text(WRONG, "utf-8")
    return tmp_path


def misses(bench: Path) -> bool:
    """Whether a run with the cache has to do the work, and does it rightly."""
    before = entries(bench)
    cached = run(bench, "proof", "a.txt", "--format", "json", "--cache", "on")
    assert cached == run(bench, "proof", "a.txt", "--format", "json")
    return entries(bench) != before


def change(path: Path, before: str, after: str) -> None:
    text = path.read_text("utf-8")
    assert before in text
    path.write_text(text.replace(before, after, 1), "utf-8")


def test_what_has_not_changed_is_taken_up_and_what_has_is_not(bench: Path) -> None:
    assert misses(bench)
    assert not misses(bench)
    change(bench / "a.txt", "MARROW", "MARROX")  # one byte
    assert misses(bench)
    change(bench / "housestyle.toml", "rule-folders", 'failing = "style"\nrule-folders')
    assert misses(bench)
    change(bench / "house" / "deadly.py", "Looked at.", "Looked at!")
    assert misses(bench)
    (bench / "stet.toml").write_text(
        '[[stet]]\nrule = "deadly"\nquote = "MARROX"\nbecause = "So."\n', "utf-8"
    )
    assert misses(bench)
    assert not misses(bench)


def test_another_version_takes_nothing_up(monkeypatch: pytest.MonkeyPatch) -> None:
    from proofhook.catalogue import key
    from proofhook.proofing.house import House, Wording
    from proofhook.proofing.stet import Stet
    from proofhook.showing.forms import Form
    from proofhook.showing.ink import Paper

    data, house = WRONG.encode(), House()
    stet = Stet("row-order", "sc", "So.")
    page = Form("proof", "page")
    cases = [
        (data, house), (data + b" ", house), (b"\xef\xbb\xbf" + data, house), (data, None),
        (data, House(wording=(Wording("st", ("stitch",)),))),
        (data, House(wording=(Wording("st", ("stitch",), sure=True),))),
        (data, House(stets=(stet,))),
        (data, House(stets=(stet._replace(because="Not so."),))),
    ]  # fmt: skip
    forms = [None, page, page.on(Paper(60)), page.on(Paper(colour=True)), Form("proof", "lines")]
    keys = key.Keys()

    def all_keys(keys: key.Keys) -> list[str | None]:
        made = [
            keys.of(path, text, house, (), form)
            for form in forms for text, house in cases for path in ("a.txt", "b.txt")
        ]  # fmt: skip
        return [*made, keys.of("a.txt", data, house, ("pluggy",))]

    before = all_keys(keys)
    assert None not in before
    assert len(set(before)) == len(before) == 5 * len(cases) * 2 + 1
    monkeypatch.setattr(key, "MOST_SEEN", 3)
    assert all_keys(key.Keys()) == all_keys(keys) == before
    monkeypatch.setattr(key, "__version__", "0.1.1")
    key._base.cache_clear()
    assert not set(all_keys(key.Keys())) & set(before)
    key._base.cache_clear()


def test_what_comes_without_sources_is_not_kept() -> None:
    from proofhook.catalogue.key import Keys
    from proofhook.proofing.house import House

    assert Keys().of("a.txt", b"", House(plugins=("sys",))) is None
    assert Keys().of("a.txt", b"", House(plugins=("pluggy",))) is not None


@pytest.mark.parametrize("spoil", ["cut off", "emptied", "one byte", "another's"])
def test_a_spoilt_entry_is_as_good_as_none_and_written_anew(bench: Path, spoil: str) -> None:
    """Of what is shown, of the outcome, and of both."""
    assert misses(bench)
    kept = {entry: entry.read_bytes() for entry in entries(bench)}
    assert len(kept) == 2
    for some in ([*kept], [*kept][:1], [*kept][1:]):
        for entry in some:
            data = kept[entry]
            spoilt = {
                "cut off": data[:-1],
                "emptied": b"",
                "one byte": data[:-1] + bytes([data[-1] ^ 1]),
                "another's": b"0" * 64 + b'\n[[],["',
            }[spoil]
            assert spoilt != data
            entry.write_bytes(spoilt)
        assert not misses(bench)  # no new entry; what is said is right
    run(bench, "proof", "a.txt", "--format", "lines", "--cache", "on")  # this looks at the outcome
    assert {entry: entry.read_bytes() for entry in kept} == kept  # and all are mended


@pytest.mark.parametrize(
    "text", [b"", b"1 2\nx", b"1\n", b"x" * 99, b"\xff\n", b"1 " * 20 + b"\nx"]
)
def test_what_is_shown_is_taken_up_whole_or_not_at_all(text: bytes) -> None:
    with pytest.raises((ValueError, TypeError)):
        shown_again(text, "a.txt")


def test_what_is_shown_comes_back_as_it_was() -> None:
    shown = Shown("a.txt", "one\n\ud800two\r\n\u2028", Sums(1, 2, failing=3, let_stand=4))
    assert shown_again(shown_written(shown), "a.txt") == shown


@pytest.mark.parametrize(
    "text",
    ["", "[]", "[[],[5]]", "[[[999,1]],[0]]", "[[[0]],[0]]", "null", "[[],[-2,0,9]]", "{}"],
)
def test_an_entry_that_is_whole_and_no_outcome_raises_nothing_but_value_error(text: str) -> None:
    from proofhook.catalogue.work import taken_up
    from proofhook.text import Source

    with pytest.raises((ValueError, TypeError)):
        taken_up(text, Source("a.txt", WRONG))


def test_a_cache_that_cannot_be_written_is_said_and_no_more(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text(WRONG, "utf-8")
    (tmp_path / "cache").write_text("in the way", "utf-8")
    done = run(tmp_path, "proof", "a.txt", "--cache", "on")
    assert done.status == 1
    assert re.fullmatch(
        r"proofhook: .*: the cache cannot be written \(.*\); nothing more was kept\.\n", done.err
    )
    assert done.out == run(tmp_path, "proof", "a.txt").out


def test_the_cache_is_bounded_and_the_longest_unused_goes_first(tmp_path: Path) -> None:
    keys = [f"{number:02}{'0' * 62}" for number in range(20)]
    cache = Cache(str(tmp_path), most=1000)
    for age, key in enumerate(keys):
        cache.put(key, b"x" * 35)
        path = tmp_path / key[:2] / key[2:]
        if path.exists():
            os.utime(path, (time.time() - 1e6 + age,) * 2)
    there = [key for key in keys if cache.get(key)]
    assert there == keys[:10]  # full
    (tmp_path / "00" / ".proofhook-x").write_text("left over", "utf-8")
    os.utime(tmp_path / "00" / ".proofhook-x", (0, 0))
    os.utime(tmp_path / keys[0][:2] / keys[0][2:])  # of use since
    Cache(str(tmp_path), most=1000).put(keys[15], b"x" * 35)
    there = [key for key in keys if cache.get(key)]
    assert there == [keys[0], *keys[3:10], keys[15]]
    assert not (tmp_path / "00" / ".proofhook-x").exists()


def test_where_the_cache_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("PROOFHOOK_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == str(tmp_path / "proofhook" / "outcomes")
    monkeypatch.setenv("XDG_CACHE_HOME", "here")
    assert os.path.isabs(cache_folder())
    monkeypatch.setenv("PROOFHOOK_CACHE", str(tmp_path / "mine"))
    assert cache_folder() == str(tmp_path / "mine" / "outcomes")
    monkeypatch.setenv("PROOFHOOK_CACHE", "")
    assert cache_folder() == ""


def test_several_runs_may_share_the_cache(shelf: Path) -> None:
    shutil.rmtree(shelf / "cache", ignore_errors=True)
    command = [sys.executable, "-m", "proofhook", "proof", "lib", "--format", "lines"]
    environment = {**os.environ, "PROOFHOOK_CACHE": str(shelf / "cache")}
    at_once = [
        subprocess.Popen(
            [*command, "--cache", "on"], cwd=shelf, env=environment, encoding="utf-8",
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )
        for _ in range(3)
    ]  # fmt: skip
    outputs = {process.communicate()[0] for process in at_once}
    assert outputs == {run(shelf, *command[3:]).out}
    assert not [path for path in entries(shelf) if path.name.startswith(".")]


needs_kill = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL on Windows")


@needs_kill
def test_a_worker_that_is_killed_is_replaced_and_its_file_tried_again(bench: Path) -> None:
    for number in range(6):
        (bench / f"{number}.txt").write_text(WRONG, "utf-8")
    (bench / "3.txt").write_text(WRONG + "\nONCE\n", "utf-8")
    done = run(bench, "proof", ".", "--format", "lines", "--jobs", "2")
    assert (bench / "once").exists()
    assert (done.status, done.err) == (1, "")
    assert done == run(bench, "proof", ".", "--format", "lines", "--jobs", "1")


@needs_kill
def test_a_file_that_kills_every_worker_is_named_and_the_others_go_on(bench: Path) -> None:
    for number in range(6):
        (bench / f"{number}.txt").write_text(WRONG, "utf-8")
    (bench / "3.txt").write_text(WRONG + "\nDEADLY\n", "utf-8")
    done = run(bench, "proof", ".", "--format", "lines", "--jobs", "2")
    assert done.status == 2
    assert done.err == (
        "proofhook: 3.txt: it could not be worked on: the process at it ended 2 times (signal 9).\n"
    )
    (bench / "3.txt").unlink()
    assert done.out == run(bench, "proof", ".", "--format", "lines").out


def test_what_a_rule_prints_does_not_get_among_the_outcomes(bench: Path) -> None:
    (bench / "a.txt").write_text(WRONG + "\nPRINTS\n", "utf-8")
    (bench / "b.txt").write_text(WRONG, "utf-8")
    done = run(bench, "proof", ".", "--format", "json", "--jobs", "2")
    assert done.status == 1
    assert "a rule that talks" in done.err
    assert "a rule that talks" not in done.out


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_what_json_cannot_hold_is_shown_all_the_same(bench: Path, jobs: str) -> None:
    change(bench / "house" / "deadly.py", '"Looked at."', 'Words("Looked at.")')
    with (bench / "house" / "deadly.py").open("a") as file:
        file.write("class Words(str):\n    def __format__(self, _):\n        return 'Formatted.'\n")
    (bench / "b.txt").write_text(WRONG, "utf-8")
    words = ["proof", ".", "--format", "lines", "--jobs", jobs]
    plain = run(bench, *words[:-1], "1")
    assert "Formatted." in plain.out
    assert run(bench, *words, "--cache", "on") == plain
    assert entries(bench) == []


def children(process: int) -> set[int]:
    """The processes that a process started and that are there."""
    listed = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=False
    )
    return {int(number) for number in listed.stdout.split()}


#: A shell has those it starts behind it pass over Ctrl-C, and they hand that on.
HEARS = (
    "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); "
    "from proofhook.cli import main; sys.exit(main(sys.argv[1:]))"
)


@pytest.fixture
def long_run(bench: Path) -> Iterator[subprocess.Popen[str]]:
    change(
        bench / "house" / "deadly.py", 'if "PRINTS"', 'import time\n    time.sleep(0.5)\n    if "P"'
    )
    for number in range(40):
        (bench / f"{number}.txt").write_text(WRONG, "utf-8")
    process = subprocess.Popen(
        [sys.executable, "-c", HEARS, "proof", ".", "--jobs", "2", "--format", "lines"],
        cwd=bench, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8",
        start_new_session=True,
    )  # fmt: skip
    yield process
    process.kill()
    process.communicate()


@pytest.mark.skipif(shutil.which("ps") is None, reason="the processes are told from ps")
@pytest.mark.parametrize("sign", ["SIGINT", "SIGKILL"])
def test_no_worker_outlives_its_run(long_run: subprocess.Popen[str], sign: str) -> None:
    assert long_run.stdout
    assert long_run.stdout.readline()
    workers = children(long_run.pid)
    assert len(workers) == 2
    os.killpg(long_run.pid, getattr(signal, sign))
    _, err = long_run.communicate(timeout=30)
    if sign == "SIGINT":
        assert (long_run.returncode, err) == (130, "")
    deadline = time.monotonic() + 20
    while workers and time.monotonic() < deadline:
        workers = {each for each in workers if Path(f"/proc/{each}/cmdline").exists()}
        time.sleep(0.05)
    assert not workers


@pytest.mark.parametrize("words", ["0", "-1", "two", "1.5", "1000", "²"])
def test_a_number_of_jobs_that_is_none(tmp_path: Path, words: str) -> None:
    done = run(tmp_path, "proof", "a.txt", f"--jobs={words}")
    assert (done.status, done.out) == (2, "")
    assert "is not a number from 1 to 256" in done.err


def test_many_files_are_worked_on_side_by_side_without_asking() -> None:
    assert processes(None, MANY - 1) == 1
    assert 1 <= processes(None, MANY) <= 8
    assert processes(5, 3) == 3
    assert processes(5, 100) == 5
