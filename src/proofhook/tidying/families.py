"""All edits of layout, by the settings that ask for them, put together without overlaps."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Iterator
from typing import TypeAlias

from proofhook.records import NamedTuple
from proofhook.text import Edit
from proofhook.tidying import (
    abbreviations,
    blanks,
    ends,
    headings,
    instructions,
    labels,
    lines,
    lists,
    marks,
    measures,
    repeats,
    totals,
    wrapping,
)
from proofhook.tidying.page import Page

Edits: TypeAlias = Callable[[Page], Iterator[Edit]]


class Family(NamedTuple):
    """Edits that one choice of the house asks for: a setting, or an option of house-marks."""

    setting: str
    edits: Edits
    value: str = ""

    def asked_for(self, page: Page) -> bool:
        """Whether the house has made this choice."""
        wish = page.style.wish(self.setting)
        return bool(wish) and self.value in ("", wish)


def _words_of_labels(kind: str) -> Family:
    return Family(f"{kind}-label", lambda page: labels.label_words(page, kind))


#: In the order in which they go before one another where two would change the same place.
FAMILIES: tuple[Family, ...] = (
    Family("abbreviation-order", abbreviations.abbreviation_order),
    Family("total-place", totals.totals_beside_turn),
    Family("total", totals.marked_totals),
    Family("repeat", repeats.marked_repeats),
    _words_of_labels("round"),
    _words_of_labels("row"),
    Family("range", labels.label_ranges),
    Family("label-end", labels.label_ends),
    Family("row-end", ends.row_ends),
    Family("after-label", labels.letters_after_labels),
    Family("counts", instructions.counts_of_stitches),
    Family("chain-space", instructions.chain_spaces),
    Family("chains", instructions.counted_chains),
    Family("repeat-counts", instructions.counts_of_repeats),
    Family("times", instructions.times_signs),
    Family("abbreviations", abbreviations.abbreviation_parts),
    Family("materials", lists.parted_materials),
    Family("list-marks", lists.list_marks),
    Family("inches", measures.inches),
    Family("fractions", measures.fractions),
    Family("units", measures.spaced_units),
    Family("quotes", marks.quotation_marks),
    Family("dashes", marks.spaced_dashes),
    Family("headings", headings.lettered_headings),
    Family("heading-end", headings.ended_headings),
    Family("commas", blanks.spaced_commas),
    Family("row-lines", wrapping.joined_rows, "joined"),
    Family("row-lines", wrapping.wrapped_rows, "wrapped"),
    Family("blanks", blanks.single_blanks),
    Family("line-ends", lines.trimmed_lines),
    Family("blank-lines", lines.fewer_blank_lines),
    Family("last-line", lines.ended_last_line),
)


def edits_of(page: Page, families: Iterable[Family] = FAMILIES) -> list[Edit]:
    """The edits that the house asks for, none of them in words that were not read.

    Where two would change the same place, the family that comes first goes before; the
    other has its turn when the text is read again.
    """
    taken: list[Edit] = []
    for family in families:
        if not family.asked_for(page):
            continue
        for edit in family.edits(page):
            same = page.text[edit.start : edit.end] == edit.text
            if not same and _is_free(edit, taken) and not page.unread.meet(edit.start, edit.end):
                insort(taken, edit)
    return taken


def _is_free(edit: Edit, taken: list[Edit]) -> bool:
    at = bisect_left(taken, edit)
    before, after = taken[max(0, at - 1) : at], taken[at : at + 1]
    if any(other.end > edit.start or other.start == edit.start for other in before):
        return False
    return not any(other.start < edit.end or other.start == edit.start for other in after)
