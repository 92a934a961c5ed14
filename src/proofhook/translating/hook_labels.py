"""Hook sizes gain the label that the other country's makers know; none is taken away.

Source: ``hooks.toml``, row by row.
"""

from __future__ import annotations

from collections.abc import Iterator

from proofhook.text import Edit
from proofhook.trade.hook_sizes import Size, sizes_in
from proofhook.trade.hooks import uk_numbers, us_labels
from proofhook.translating.places import Places


def labels_gained(text: str, places: Places, to: str) -> Iterator[Edit]:
    """The label of the terms ``to`` beside each hook, where it is first given in millimetres."""
    told: set[float] = set()
    for size in sizes_in(text):
        place = (size.at.start, size.at.end)
        if size.mm in told or places.rows.touch(*place) or places.pieces.touch(*place):
            continue
        told.add(size.mm)
        label = "" if size.steel else _label(size, to)
        if label:
            yield _gained(text, size, label)


def _label(size: Size, to: str) -> str:
    if to == "us":
        labels = () if size.us else us_labels(size.mm)
        return f"US {labels[0]}" if labels else ""
    numbers = () if size.uk else uk_numbers(size.mm)
    return f"UK {numbers[0]}" if numbers else ""


def _gained(text: str, size: Size, label: str) -> Edit:
    """The label put beside those that are there, else in brackets after the millimetres."""
    end = max(size.at.end, size.span.end)
    line = text[text.rfind("\n", 0, end) + 1 : end]
    if line.count("(") > line.count(")") or line.count("[") > line.count("]"):
        return Edit(end, end, f", {label}")
    return Edit(end, end, f" ({label})")
