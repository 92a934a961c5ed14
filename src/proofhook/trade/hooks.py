"""Hook sizes: which millimetres the US, UK and steel labels stand for.

Labels vary by maker and sources disagree, so every label that some source prints for a
size is accepted, and a label answers with all the sizes it is printed for.  Sources:
``hooks.toml``, row by row.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.records import dataclass
from proofhook.trade import table
from proofhook.trade.units import number

#: Millimetres this close are the same size: labels are printed to at most three decimals.
SAME_MM = 0.0005

_NUMBER = r"\d{1,2}(?:[.,]5|\s?\u00bd|[\s-]1/2)?"
_LABEL = expression(
    rf"""(?:us\s+|size\s+)*
        (?:(?P<letters>[a-z](?:\s?/\s?[a-z])*)\s?[-/]?\s?\(?(?P<number>{_NUMBER})?\)?
          |\#?\s?(?P<only>{_NUMBER}))$""",
    re.VERBOSE | re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Label:
    """A US label taken apart: "M/N-13" has the letters M and N and the number "13".

    Either may be missing; a bare letter or a bare number stands for every label that has it.
    """

    letters: tuple[str, ...]
    number: str

    def covers(self, written: Label) -> bool:
        """Whether this printed label has all that a written one has.

        A printed "M/N-13" covers "M-13", "M" and "13"; it does not cover "M-14".
        """
        return set(written.letters) <= set(self.letters) and written.number in ("", self.number)


@dataclass(frozen=True, slots=True)
class Meaning:
    """One way to take a bare size: ``scale`` is "us", "uk", "steel" or "mm"."""

    scale: str
    mm: float


def read_label(words: str) -> Label | None:
    """A US yarn hook label: "G-6", "G/6", "g6", "US I", "size 7", "K-10 1/2", "M/N-13"."""
    match = _LABEL.match(words.strip())
    if match is None:
        return None
    written = match["number"] or match["only"]
    letters = rx.findall(r"[a-z]", (match["letters"] or "").lower())
    return Label(tuple(letter.upper() for letter in letters), _plain(written) if written else "")


def us_sizes(words: str) -> tuple[float, ...]:
    """The millimetres for which some source prints this US yarn hook label, ascending.

    Empty where the words are no label, or one that no source prints.
    """
    label = read_label(words)
    if label is None:
        return ()
    return tuple(mm for mm, printed in _printed() if any(each.covers(label) for each in printed))


def uk_sizes(words: str) -> tuple[float, ...]:
    """The millimetres for which some source prints this old UK hook number, ascending."""
    wanted = words.strip().lower().removeprefix("uk").strip()
    return tuple(
        row["mm"]
        for row in table("hooks")["yarn"]
        if wanted in (row.get("uk"), *row.get("uk_also", ()))
    )


def steel_sizes(words: str) -> tuple[float, ...]:
    """The millimetres of a US steel hook number on the scales in use, ascending."""
    for row in table("hooks")["steel"]:
        if row["us"] == words.strip():
            return tuple(sorted(row["mm"]))
    return ()


def us_agrees(mm: float, words: str) -> bool | None:
    """Whether a US label and millimetres go together; None where the label is not known."""
    sizes = us_sizes(words)
    return any(abs(mm - size) < SAME_MM for size in sizes) if sizes else None


def uk_agrees(mm: float, words: str) -> bool | None:
    """Whether an old UK number and millimetres go together; None where it is not known."""
    sizes = uk_sizes(words)
    return any(abs(mm - size) < SAME_MM for size in sizes) if sizes else None


def steel_agrees(mm: float, words: str) -> bool | None:
    """Whether a steel number and millimetres can go together; None where it is not known.

    Makers differ, so only a clear gap from every scale in use is a disagreement.
    """
    sizes = steel_sizes(words)
    gap = table("hooks")["tolerance"]["steel_mm"]
    return any(abs(mm - size) <= gap + SAME_MM for size in sizes) if sizes else None


def us_labels(mm: float) -> tuple[str, ...]:
    """The usual US labels of a size, without those that only one source prints."""
    row = _row(mm)
    return tuple(row["us"]) if row else ()


def uk_numbers(mm: float) -> tuple[str, ...]:
    """The old UK numbers of a size, the usual one first."""
    row = _row(mm)
    return tuple(n for n in (row.get("uk"), *row.get("uk_also", ())) if n) if row else ()


def is_listed(mm: float) -> bool:
    """Whether hooks of this size are sold: a yarn hook, a steel hook or a Japanese size."""
    tables = table("hooks")
    steel = [size for row in tables["steel"] for size in row["mm"]]
    steel += [row["mm"] for row in tables["steel_uk"]]
    japan = [
        size for kind in ("japan_yarn", "japan_lace") for row in tables[kind] for size in row["mm"]
    ]
    return _row(mm) is not None or any(abs(mm - size) < SAME_MM for size in (*steel, *japan))


def meanings(words: str) -> tuple[Meaning, ...]:
    """Every way to take a size that says no scale: "size 7" is 4.5 mm, steel or 7 mm."""
    found = [Meaning("us", mm) for mm in us_sizes(words)]
    label = read_label(words)
    if label and label.number and not label.letters:
        found += [Meaning("uk", mm) for mm in uk_sizes(label.number)]
        found += [Meaning("steel", mm) for mm in steel_sizes(label.number)]
        if is_listed(float(label.number)):
            found.append(Meaning("mm", float(label.number)))
    return tuple(found)


def _row(mm: float) -> dict[str, Any] | None:
    return next((row for row in table("hooks")["yarn"] if abs(row["mm"] - mm) < SAME_MM), None)


@cache
def _printed() -> tuple[tuple[float, tuple[Label, ...]], ...]:
    return tuple(
        (
            row["mm"],
            tuple(
                label
                for words in (*row["us"], *row.get("us_also", ()))
                if (label := read_label(words))
            ),
        )
        for row in table("hooks")["yarn"]
    )


def _plain(written: str) -> str:
    """The number as the table writes it: "10.5" for "10 1/2" and for its single sign."""
    value = number(written.replace(",", "."))
    return f"{value:g}"
