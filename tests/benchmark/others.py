"""Other checkers of text, each on input of its own kind and as long as ours.

They are run as anybody would run them, without settings, where they are installed
(``pip install 'proofhook[benchmark]'``).  They do other work than proofhook, so that the
figures tell no more than in what company it is.
"""

from __future__ import annotations

import json
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import NamedTuple


class Other(NamedTuple):
    """A checker: what it is, the module that is run with its arguments, its files' ending."""

    kind: str
    module: str
    arguments: tuple[str, ...]
    ending: str

    @property
    def command(self) -> tuple[str, ...]:
        """How it is run, but for the files."""
        return (sys.executable, "-m", self.module, *self.arguments)

    def written(self, text: str) -> str:
        """A pattern as a file of its kind, line by line."""
        if self.ending != ".yaml":
            return text
        lines = [f"  - {json.dumps(line, ensure_ascii=False)}\n" for line in text.splitlines()]
        return "---\nlines:\n" + "".join(lines)


OTHERS = (
    Other("a YAML linter", "yamllint", (), ".yaml"),
    Other("a prose linter", "proselint", ("check",), ".txt"),
    Other("a Markdown formatter", "mdformat", ("--check",), ".md"),
)


def installed() -> tuple[Other, ...]:
    """Those that are here."""
    return tuple(other for other in OTHERS if find_spec(other.module) is not None)


def write_for(other: Other, patterns: Path, folder: Path) -> tuple[list[str], int]:
    """Write patterns as files of a checker's kind; their names, and the number of lines."""
    folder.mkdir(parents=True)
    names, lines = [], 0
    for path in sorted(patterns.glob("*.txt")):
        text = other.written(path.read_text("utf-8"))
        made = folder / f"{path.stem}{other.ending}"
        made.write_text(text, "utf-8")
        names.append(str(made))
        lines += text.count("\n")
    return names, lines


__all__ = ["OTHERS", "Other", "installed", "write_for"]
