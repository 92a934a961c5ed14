"""Text that no designer would send in: one sentence and status 2, or handled, and soon.

The command is run in a process of its own that may not compute or hold more than its
share.  ``test_end_to_end.py`` has further cases.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fuzz.laws import held
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import Source

#: Seconds that the command may compute, and bytes that it may hold.  The slowest takes about
#: five on a machine with nothing else to do; what has no bound takes far more than these.
MOST_SECONDS, MOST_BYTES = 16, 500_000_000
NL = "\n"
ROW_1 = "Rnd 1: 6 sc in a magic ring. (6)\n"


def limited() -> None:
    """Bound the process that is about to begin."""
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


def proofed(folder: Path, *names: str) -> subprocess.CompletedProcess[str]:
    """Run the command on files of a folder; what holds for every run is asserted here."""
    done = subprocess.run(
        [sys.executable, "-m", "proofhook", "proof", *names],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        timeout=90,
        check=False,
        preexec_fn=limited if sys.platform != "win32" else None,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert done.returncode in (0, 1, 2), f"ended by {done.returncode}: {done.stderr[-500:]}"
    assert "Traceback" not in done.stderr
    assert "please report" not in done.stderr, done.stderr
    return done


# --- what cannot be done: one sentence, status 2 --------------------------------------

NO_PATTERN: dict[str, bytes | None] = {
    "a file that is not there": None,
    "an empty file": b"",
    "blanks alone": b" \n\t\r\n\x0c\n" * 1000,
    "a picture": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" * 50,
    "text in UTF-16": "Rnd 1: 6 sc in ring. (6)".encode("utf-16"),
    "text in Latin-1": "Rnd 1: 6 sc, à la fin. (6)".encode("latin-1"),
    "half a character": ROW_1.encode() + b"\xe2\x80",
    "no rows at all": b"A walk through the market, and what the potter said.\n" * 200,
    "headings alone": b"Materials\n\nGauge\n\nAbbreviations\n\nHEAD\n\nFinishing\n",
    "20 MB": ROW_1.encode() * (20_000_000 // len(ROW_1)),
    "20 MB in one line": b"Rnd 1: " + b"sc, " * 5_000_000,
    "20,000 rows": ROW_1.encode() * 20_000,
    "a row over 50,000 lines": f"{ROW_1}Rnd 2: ".encode() + b"sc in next st,\n   " * 50_000,
    "500,000 line ends": b"\n" * 500_000 + ROW_1.encode(),
    "100,000 carriage returns": b"\r" * 100_000 + ROW_1.encode(),
}


@pytest.mark.parametrize("name", NO_PATTERN)
def test_what_is_no_pattern_is_one_sentence(tmp_path: Path, name: str) -> None:
    content = NO_PATTERN[name]
    if content is not None:
        (tmp_path / "it.txt").write_bytes(content)
    done = proofed(tmp_path, "it.txt")
    assert done.returncode == 2
    assert done.stderr.startswith("proofhook: it.txt:")
    assert done.stderr.count("\n") == 1
    assert len(done.stderr) < 200


def test_a_folder_without_patterns_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "shelf").mkdir()
    (tmp_path / "shelf" / "notes.txt").write_text("Glazes: ochre, ash.\n", "utf-8")
    done = proofed(tmp_path, "shelf")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1


def test_a_folder_that_may_not_be_opened_is_one_sentence(tmp_path: Path) -> None:
    done = proofed(tmp_path, "a" * 5000)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1


# --- what is handled ------------------------------------------------------------------


def many(count: int, line: Callable[[int], str]) -> str:
    """So many lines, each made from its number."""
    return "".join(line(number) for number in range(1, count + 1))


def sizes(count: int) -> str:
    """A list for so many sizes."""
    return f"6 ({', '.join(str(number) for number in range(7, count + 6))})"


HANDLED: dict[str, str] = {
    "a chain written 10^30": "Ch 10^30.\nRow 1: Sc in 2nd ch from hook and in each ch across.\n",
    "a chain of 31 figures": f"Ch 1{'0' * 30}.\nRow 1: Sc in each ch across. (5)\n",
    "a total of 30 figures": f"Rnd 1: 6 sc in ring. ({'9' * 30})\nRnd 2: sc around. (6)\n",
    "999,999,999 in one place": f"{ROW_1}Rnd 2: 999999999 sc in next st, sc in next 5.\n",
    "rep from * 999,999,999 times": f"{ROW_1}Rnd 2: *sc, ch 1; rep from * 999999999 times. (6)\n",
    "brackets so many times": f"{ROW_1}Rnd 2: ((sc, inc) x 999999999) x 999999999. (6)\n",
    "repeats in repeats": f"{ROW_1}Rnd 2: {'[' * 7}sc, ch 1{'] 19 times' * 7}.\n",
    "a repeat of nothing": f"{ROW_1}Rnd 2: *ch 3; rep from * around. (6)\nRnd 3: () around.\n",
    "rows that repeat each other": (
        "Ch 7.\nRow 1: Sc in 2nd ch from hook and in each ch across. (6)\n"
        "Row 2: Rep Row 3.\nRow 3: Rep Row 2.\nRow 4: Rep Row 4.\nRows 5-9: Rep Rows 2-9.\n"
    ),
    "a long chain of references": ROW_1 + many(900, lambda n: f"Rnd {n + 1}: Rep Rnd {n}.\n"),
    "references to no row": f"{ROW_1}Rnd 2: Rep Rnds 40-999999999.\nRnd 3: As Rnd -1.\n",
    "rounds 1 to 999,999,999": f"Rnds 1-999999999: Sc in each st around. (6)\n{ROW_1}",
    "a range that runs backwards": f"{ROW_1}Rnds 9-2: Sc in each st around. (6)\n",
    "4,900 rows": ROW_1 + many(4_900, lambda n: f"Rnd {n + 1}: Sc around. (6)\n"),
    "400 rows, none of which comes out": ROW_1
    + many(400, lambda n: f"Rnd {n + 1}: Sc {n}, inc {n}, dec {n}, ch {n}. ({n})\n"),
    "4,900 different rows, none of which comes out": ROW_1
    + many(4_900, lambda n: f"Rnd {n + 1}: Sc {n}, inc {n}, dec {n}, ch {n}. ({n})\n"),
    "400 rows of repeats in repeats": ROW_1
    + many(400, lambda n: f"Rnd {n + 1}: {'[' * 5}sc, ch {n}{'] 19 times' * 5}.\n"),
    "repeats of slip stitches": f"{ROW_1}Rnd 2: "
    f"{'[' * 7}sl st in next st, ch 1{'] 19 times' * 7}.\n",
    "totals in repeats": f"{ROW_1}Rnd 2: [[[sc, ch 1 (6)] 30 times] 30 times] 30 times. (4)\n",
    "one row filled again and again": (
        f"Ch 20000.\nRow 1: Sc in each ch across.\nRow 2: "
        f"{'*2 sc in each of next 7 sts, ch 1, sk 1; rep from * to last 9 sts, ' * 30}\n"
    ),
    "2,000 rows of lace, each twice as long": f"{ROW_1}Rnd 2: *Sc, ch 2; rep from * around\n"
    + many(
        2_000,
        lambda n: f"Rnd {n + 2}: *(Dc, ch 1, dc) in next ch-2 sp, ch 2; rep from * around. ({n})\n",
    ),
    "1,200 pieces": many(1_200, lambda n: f"PIECE {n}\n{ROW_1}Rnd 2: Ch 3, dc around. (6)\n\n"),
    "4,900 abbreviations": (
        f"Abbreviations\n{many(4_900, lambda n: f'st{n}: stitch no. {n}{NL}')}\n{ROW_1}"
    ),
    "4,900 special stitches": (
        f"Special Stitches\n{many(4_900, lambda n: f'Shell{n}: ({n % 9} dc, ch 1) in st{NL}')}"
        f"\n{ROW_1}"
    ),
    "stitches defined by each other": (
        "Special Stitches\nShell: 2 fans in next st\nFan: 2 shells in next st\n\n"
        f"{ROW_1}Rnd 2: Shell in each st around. (12 shells)\n"
    ),
    "lists of 500 sizes": many(40, lambda n: f"Rnd {n}: {sizes(500)} sc in ring.\n"),
    "lists of sizes in each other": f"Ch {'6 (' * 2000}6{')' * 2000}.\nRow 1: Sc across. (6)\n",
    "sizes of every length": many(200, lambda n: f"Rnd {n}: {sizes(n + 2)} sc in ring. (6)\n"),
    "totals without end": f"{ROW_1}Rnd 2: sc around. {'(6) ' * 20_000}\n",
    "a row over 4,900 lines": f"{ROW_1}Rnd 2: " + "sc in next st,\n   " * 4_900,
    "nothing but line ends": "\n" * 4_900 + ROW_1,
    "nothing but carriage returns": "\r" * 4_900 + ROW_1,
    "marks of every plane": (
        f"{ROW_1}Rnd 2: {''.join(map(chr, range(0x2000, 0x2FFF)))}\U0010fffd\U000f0000 sc\n"
    ),
    "a total that goes on": f"{ROW_1}Rnd 2: sc around (6 sc {', and ' * 60}sc in next st)\n",
    "a size without an end": f"Sizes: S (M, L)\n\nFor the sizes {' ' * 3_900}x\n{ROW_1}{ROW_1}",
    "sizes without an end": f"Sizes: S (M, L)\n\n{'and' * 1_200}x\n{ROW_1}{ROW_1}",
    "a heading without an end": f"Head (a) ** .{' ' * 3_900}x\n{ROW_1}",
    "names of sizes without an end": f"{sizes(3)} {sizes(3)} Newborn ( {'a , ' * 900}!\n{ROW_1}",
    "accents on accents": f"{ROW_1}Rnd 2: s{chr(0x301) * 100_000}c around. (6)\n",
}


@pytest.mark.parametrize("name", HANDLED)
def test_what_can_be_read_is_handled(tmp_path: Path, name: str) -> None:
    (tmp_path / "it.txt").write_bytes(HANDLED[name].encode("utf-8", "surrogatepass"))
    done = proofed(tmp_path, "it.txt")
    assert done.stderr.count("\n") <= 1


# --- bait for expressions that go back and forth --------------------------------------

BAIT = (
    " ", "\t", "\u00a0", "\r", "(", ")", "[", "{", "*", "* ", "-", "–", "- ", "=", "=-", "#", "~",
    "|", "/", "\\", ",", ", ", ".", ". ", ":", "; ", "!", "'", '"', "†", "&", "<br", "<b ",
    "&nbsp;", "1", "1 ", "1.", "1,", "1, ", "1-", "1 to ", "9 9", "½", "(1", "(1, 2) ", "1 (2) ",
    "1st ", "first ", "two ", "S (", "a", "A", "I ", "st ", "sc ", "sc, ", "sc. ", "(sc) ",
    "[sc] 2 times, ", "2 sc ", "sc in next ", "sl st ", "inc ", "dec, ", "tog ", "ch 2, ",
    "ch-2 sp ", "3 dc in next ch-2 sp, ", "(2 dc, ch 2, 2 dc) in next ch-2 sp, ", "shell, ",
    "sk ", "skip next st, ", "in ", "next ", "each ", "last ", "same ", "to ", "from ", "and ",
    "the ", "of ", "no ", "x ", "make ", "Make 2 ", "work ", "join ", "turn, ", "counts as ",
    "rep ", "rep from * ", "rep from * around, ", "row ", "Row ", "Row 1-", "Row 1: ", "Rnd ",
    "Rnd 1. ", "rnds ", "Next row: ", "double crochet ", "half ", "(counts as dc), ", "around ",
    "around, ", "to end ", "to last 2 sts, ", "with A ", "yarn ", "cm ", "4 cm ",
)  # fmt: skip

#: A pattern with the bait wherever an expression may bite.
BAITED = """\
{bait}

Materials
{bait}
Hook: {bait}

Abbreviations
sc: {bait}
{bait} = single crochet

Special Stitches
Shell: {bait}

Notes
Ch 3 counts as {bait}

HEAD {bait}
Rnd 1: 6 sc in ring. (6{bait})
Rnd 2: {bait}
Rnd 3{bait}: sc around. (6)
{bait}
Rnd 4: sc around, {bait}. (6)
Rnd 5: sc around. ({bait})
"""


class TooLongError(Exception):
    """It takes more than its share of time."""


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raise TooLongError where the block computes for longer."""

    def stop(_signal: int, _frame: FrameType | None) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


@pytest.mark.skipif(not hasattr(signal, "SIGVTALRM"), reason="this system has no such timer")
@pytest.mark.parametrize("bait", BAIT)
def test_no_expression_takes_the_bait(bait: str) -> None:
    for length in (1_000, 12_000):
        text = BAITED.format(bait=(bait * (length // len(bait) + 1))[:length])
        with at_most(4):
            tally(read(Source("bait.txt", text)))


# --- words thrown together ------------------------------------------------------------

WORDS = (
    "sc", "dc", "hdc", "tr", "inc", "dec", "sc2tog", "shell", "picot", "ch", "ch 3", "ch-2 sp",
    "st", "sts", "sp", "2", "6", "12", "1st", "2nd", "in", "next", "each", "same", "last",
    "first", "to", "around", "across", "rep", "from", "*", "**", "(", ")", "[", "]", "x", "times",
    "more", "twice", "join", "turn", "sl st", "ring", "skip", "sk", "(6)", "(12 sts)", "- 18",
    "Rnd 1:", "Rnd 2:", "Rnds 3-5:", "Row 2:", "\n", "\n\n", ",", ".", ";", ":", "HEAD", "Notes",
    "counts as", "does not count", "hook", "corner", "loop", "back loops only", "fasten off",
    "opposite side", "as Row 2", "Rep Rnds 2-3", "evenly", "18 (20, 22)", "S (M, L)", "of",
    "Abbreviations", "Special Stitches", "Shell:", "= 2 sc in next st", "work", "with", "and",
    "until", "remain", "omit", "ending",
)  # fmt: skip


def sound(text: str) -> None:
    """Read and tally a text; whatever it is, both keep to their laws."""
    for law in ("reading", "counting"):
        held(law, text.encode())


@settings(max_examples=250, deadline=None, derandomize=True)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=60))
def test_any_words_of_the_trade_are_read_or_called_unread(words: list[str]) -> None:
    sound(" ".join(["Rnd 1:", *words]))


#: All of Unicode but for private use, which "marks of every plane" is about.
LETTERS = st.characters(blacklist_categories=["Cs", "Co"])


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.text(LETTERS, max_size=300))
def test_any_text_is_read_or_called_unread(text: str) -> None:
    sound(text.replace("\0", ""))


SLIPS: tuple[Callable[[str, int, random.Random], str], ...] = (
    lambda text, at, chance: text[:at] + text[at + 1 :],
    lambda text, at, chance: text[:at] + chance.choice("()[]{}*,.:;-–x 0123456789\n") + text[at:],
    lambda text, at, chance: text[:at] + text[at + chance.randint(1, 20) :],
    lambda text, at, chance: text[:at] + text[max(at - 15, 0) : at] + text[at:],
)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.integers(1, 400), st.integers(0, 10_000))
def test_any_slip_of_the_pen_is_read_or_called_unread(number: int, seed: int) -> None:
    from benchmark.library import pattern_text

    chance = random.Random(seed)
    text = pattern_text(number, lines=45)
    for _ in range(chance.randint(1, 12)):
        text = chance.choice(SLIPS)(text, chance.randrange(len(text)), chance)
    sound(text)
