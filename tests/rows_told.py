"""How the rows of the short and of the labelled patterns come out, in lines to be compared.

``python tests/renew.py`` writes these files anew; ``tests/test_rows_told.py`` compares.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import Path

from golden import ROOT
from proofhook.counting.result import CustomUsed, RowTally, UnitCount, Verdict
from proofhook.counting.tally import tally
from proofhook.reading import read
from proofhook.text import Source, decode

WORDINGS = ROOT / "fixtures" / "wordings"
LABELLED = ROOT / "fixtures" / "labelled"
TOLD = ROOT / "fixtures" / "told"

SHORT_PATTERNS = ("right.txt", "seldom.txt", "either.txt")

#: What stands between two of the short patterns.
BETWEEN = "\n===\n"


def wordings(name: str) -> list[str]:
    """The short patterns of a file."""
    return (WORDINGS / name).read_text("utf-8").strip("\n").split(BETWEEN)


def files() -> dict[Path, str]:
    """All these files, with what they must hold."""
    short = {TOLD / name: BETWEEN.join(map(told, wordings(name))) + "\n" for name in SHORT_PATTERNS}
    return short | {
        TOLD / f"{folder.name}.txt": "".join(map(not_agreeing, sorted(folder.glob("*.txt"))))
        for folder in sorted(LABELLED.iterdir())
    }


def told(text: str) -> str:
    """Everything that the tally says of a short pattern, a line for each row."""
    result = tally(read(Source("wording.txt", text + "\n")))
    return "\n".join([*map(row_told, result.rows), *map(custom_told, result.customs)])


def row_told(row: RowTally) -> str:
    """A row: its verdict, its figures and how they were worked out."""
    parts = [f"{row.row.name or 'no label'}: {row.verdict.value}"]
    parts += [f"{unit.unit} {figures(unit)}" for unit in row.units]
    parts += [row.working, f"width {', '.join(map(widths, row.widths))}"]
    parts += ["in the round" if row.in_round else "", row.reason]
    parts += [f"{problem.kind}: {problem.message}" for problem in row.problems]
    return " | ".join(part for part in parts if part)


def figures(unit: UnitCount) -> str:
    """What is stated and what is worked, a dash where there is neither."""
    return " of ".join(sizes(each) for each in (unit.worked, unit.stated))


def sizes(figures: Sequence[int] | None) -> str:
    return "-" if figures is None else "/".join(map(str, figures))


def widths(rows: Iterable[int]) -> str:
    """The widths of rows, those that are alike one after another told once."""
    return " ".join(
        f"{width}×{count}" if count > 1 else str(width)
        for width, count in ((width, len([*alike])) for width, alike in groupby(rows))
    )


def custom_told(custom: CustomUsed) -> str:
    """What a turning chain was taken for."""
    counts = "counts" if custom.counts else "does not count"
    return f"ch {custom.chains} before {custom.stitch} {counts}"


def not_agreeing(path: Path) -> str:
    """The rows of a labelled pattern that do not agree with their total, and why."""
    result = tally(read(decode(path.read_bytes(), path.name)))
    text = result.pattern.source.text
    lines: list[str] = []
    for row in result.rows:
        if row.stated is None or row.verdict is Verdict.AGREES:
            continue
        line = text.count("\n", 0, row.row.span.start) + 1
        unread = [text[span.start : span.end].split() for span in row.unread]
        words = [f'"{" ".join(each)}"' for each in unread]
        problems = [f"{problem.kind}: {problem.message}" for problem in row.problems]
        said = " | ".join([row.verdict.value, *filter(None, (row.reason,)), *words, *problems])
        lines.append(f"{path.name}:{line} {said}\n")
    return "".join(lines)
