"""How soon a keystroke is answered in the editor, in seconds of computing.

    python tests/benchmark/editor.py                 six patterns of 300 rows, two minutes
    python tests/benchmark/editor.py --rows 100      shorter ones

Prints a table and judges nothing.  Each pattern is made up at random (library.py); random
keys are struck in it, one after another: a character more or less in some row, now and then
a line, and half of the time the next key takes the last one back.  Measured is the time of
the processor from a keystroke

- to the findings: the change taken in, the text worked out, all diagnostics made;
- to the hints: the same with the inlay hints of the whole text in the place of diagnostics.

``fresh`` is the working out of the same text by a server that has not seen it before.
The figures hold for the machine they were measured on.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / each) for each in ("tests", "src", "rules")]

from lsprotocol import types  # noqa: E402

from benchmark.library import long_pattern  # noqa: E402
from proofhook.counting.kept import Kept  # noqa: E402
from proofhook.editor.diagnostics import diagnostics  # noqa: E402
from proofhook.editor.document import Document, worked_document  # noqa: E402
from proofhook.editor.figures import hints  # noqa: E402
from proofhook.editor.houses import Held, Houses  # noqa: E402
from proofhook.editor.places import UTF_16, Places, changed  # noqa: E402
from proofhook.text import Source, Span  # noqa: E402

KEYS = "abcdhst 0123456789,.;()*\n"
PATH = "/nowhere/pattern.txt"


def strokes(text: str, count: int, choice: random.Random) -> Iterator[tuple[Span, str]]:
    """Keys struck in a text that changes with them: what is replaced, and by what."""
    back: tuple[Span, str] | None = None
    for _ in range(count):
        if back is not None and choice.random() < 0.5:
            span, key = back
            back = None
        else:
            at = choice.randrange(text.index("Notes"), len(text))
            key = choice.choice(("", choice.choice(KEYS)))
            span = Span(at, at + (not key))
            back = Span(at, at + len(key)), text[span.start : span.end]
        yield span, key
        text = text[: span.start] + key + text[span.end :]


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--rows", type=int, default=300)
    asked.add_argument("--keys", type=int, default=100)
    asked.add_argument("--patterns", type=int, default=3)
    given = asked.parse_args()
    print(f"bare python: {_bare() * 1000:.0f} ms; figures are ms of computing, median / most\n")
    print("pattern  sizes  rows  pieces  characters   fresh     to findings     to hints")
    held = Houses().of(PATH)
    for number in range(1, given.patterns + 1):
        for sizes in (1, 4):
            _measure(number, long_pattern(number, given.rows, sizes), given.keys, held)


def _measure(number: int, text: str, keys: int, held: Held) -> None:
    begun = time.process_time()
    first = worked_document("untitled:x", PATH, text, held)
    diagnostics(first)
    fresh = time.process_time() - begun
    looks: tuple[Callable[[Document], object], ...] = (
        diagnostics,
        lambda d: list(hints(d, Span(0, len(d.source.text)))),
    )
    spent = [_keystrokes(text, keys, held, look) for look in looks]
    cells = "  ".join(f"{statistics.median(s):6.1f} /{max(s):6.1f}" for s in spent)
    made = first.pattern
    print(
        f"{number:7}  {len(made.sizes):5}  {len(first.tally.rows):4}  {len(made.pieces):6}  "
        f"{len(text):10}  {fresh * 1000:6.1f}  {cells}"
    )


def _keystrokes(
    text: str, keys: int, held: Held, look: Callable[[Document], object]
) -> list[float]:
    spent = []
    kept = Kept()
    look(worked_document("untitled:x", PATH, text, held, kept=kept))
    for span, key in strokes(text, keys, random.Random(text)):
        event = types.TextDocumentContentChangePartial(
            Places(Source("", text), UTF_16).range(span), key
        )
        begun = time.process_time()
        text = changed(text, [event], UTF_16)
        look(worked_document("untitled:x", PATH, text, held, kept=kept))
        spent.append((time.process_time() - begun) * 1000)
    return spent


def _bare() -> float:
    """Seconds of computing of a Python that does nothing: a measure of the machine."""

    def once() -> float:
        begun = os.times()
        subprocess.run([sys.executable, "-I", "-S", "-c", ""], check=True)
        ended = os.times()
        return sum(ended[2:4]) - sum(begun[2:4])

    return statistics.mean(once() for _ in range(20))


if __name__ == "__main__":
    main()
