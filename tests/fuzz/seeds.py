"""What a fuzzer begins with: the shipped patterns, whole and in stretches, and style sheets."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FIXTURES = ROOT / "fixtures"
FOUND = Path(__file__).with_name("found")
#: Lines in a stretch: enough for a piece with some rows.
STRETCH = 15


def seeds(law: str) -> Iterator[bytes]:
    """The inputs that a law is tried on first."""
    for path in sorted((FOUND / law).glob("*")):
        yield path.read_bytes()
    if law == "style-sheet":
        yield from sheets()
        return
    if law == "stet":
        yield BOOK
    for path in patterns():
        text = path.read_bytes()
        lines = text.splitlines(keepends=True)
        yield from (b"".join(lines[at : at + STRETCH]) for at in range(0, len(lines), STRETCH))
        yield text


def patterns() -> Iterator[Path]:
    """The shipped patterns, and those of the folders that the environment names."""
    further = os.environ.get("PROOFHOOK_FUZZ_CORPUS", "").split(os.pathsep)
    for folder in (FIXTURES, *(Path(name) for name in further if name)):
        for path in sorted(folder.rglob("*")):
            if path.suffix in (".txt", ".md") and "golden" not in path.parts:
                yield path


def sheets() -> Iterator[bytes]:
    """The style sheets of the documentation."""
    for page in sorted((ROOT / "docs").rglob("*.md")):
        for block in re.findall(r"(?ms)^```toml[^\n]*\n(.*?)^```$", page.read_text("utf-8")):
            yield block.encode()


BOOK = b"""\
[[stet]]
rule = "stitch-total"
quote = "6 sc in a magic ring. (6)"
because = "as published"
file = "any.txt"
piece = "COSY"
date = 2024-05-04
"""
