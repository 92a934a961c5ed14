"""How the rules put figures and sizes into words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from proofhook.counting.result import RowTally, UnitCount
from proofhook.pattern import Group, Piece, Ring, Row, Step, Turn, Which, Work
from proofhook.proofing import ProofContext


def figures(amount: Sequence[int]) -> str:
    """``24``, or ``24 (28, 32)`` where the sizes differ."""
    first, *rest = amount
    if all(figure == first for figure in rest):
        return str(first)
    return f"{first} ({', '.join(map(str, rest))})"


def counted(unit: UnitCount, amount: Sequence[int]) -> str:
    """Figures with what they count: ``24 sts``, ``4 ch-2 sps``, ``1 st``."""
    words = unit.unit or "sts"
    if set(amount) == {1}:
        words = {"sts": "st", "stitches": "stitch", "sps": "sp", "spaces": "space"}.get(
            words, words
        )
    return f"{figures(amount)} {words}"


def joined(parts: Iterable[str], last: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    *most, end = parts
    return f"{', '.join(most)} {last} {end}" if most else end


def size_names(context: ProofContext, sizes: Iterable[int]) -> str:
    """``size M``, ``sizes M and L``; by number where the pattern names none."""
    names = context.pattern.sizes
    told = [names[size] if size < len(names) else str(size + 1) for size in sizes]
    return f"{'sizes' if len(told) > 1 else 'size'} {joined(told)}"


def sentence(words: str) -> str:
    """The words as one sentence: a capital at the start, a full stop at the end."""
    words = " ".join(words.split())
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "?", "!")) else ".")


def often(count: int) -> str:
    """``once`` or ``3 times``."""
    return "once" if count == 1 else f"{count} times"


def shown(words: str, most: int = 60) -> str:
    """Words of the text in quotes, on one line and not too long."""
    words = " ".join(words.split())
    return f"“{words if len(words) <= most else words[: most - 1] + '…'}”"


def row_word(row: RowTally) -> str:
    """``round`` for a row that calls itself one or goes round, ``row`` otherwise."""
    return kind_of(row.row, row.piece) or "row"


def kind_of(row: Row, piece: Piece) -> str:
    """``row`` or ``round``, "" where nothing tells which.

    The label says it; "R4" and bare numbers are rounds in a piece that begins with a ring,
    rows in one that is turned.
    """
    label = row.label
    if label is None or label.kind == "free":
        return ""
    if label.kind:
        return label.kind
    if any(isinstance(step, Turn) for each in piece.rows for step in each.steps):
        return "row"
    return "round" if piece.rows and _rings(piece.rows[0].steps) else ""


def _rings(steps: tuple[Step, ...]) -> bool:
    """Whether steps begin in a ring."""
    return any(
        isinstance(step, Ring)
        or (isinstance(step, (Work, Group)) and step.place and step.place.which is Which.RING)
        for step in steps
    )
