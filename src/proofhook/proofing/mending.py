"""Mending: edits that take a finding away, each read again before it is kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from proofhook.counting.tally import tally
from proofhook.proofing.finding import Finding, Mend
from proofhook.proofing.proof import Proof, proof
from proofhook.reading import read
from proofhook.records import NamedTuple
from proofhook.text import EditError, Source, apply_edits

if TYPE_CHECKING:
    from proofhook.proofing.rule import Rule

Key = tuple[str, int]


class Wish(NamedTuple):
    """A finding and the mend that is to take it away."""

    finding: Finding
    mend: Mend


def sure_wishes(before: Proof) -> list[Wish]:
    """Every finding that has a sure mend, with the first such."""
    return [
        Wish(finding, mend)
        for finding in before.findings
        for mend in [m for m in finding.mends if m.sure and m.edits][:1]
    ]


def mend_surely(before: Proof, rules: Sequence[Rule]) -> Proof:
    """The proof of the text with all its sure mends made that stand being read again."""
    wishes = sure_wishes(before)
    together = mended(before, wishes, rules) if wishes else None
    if together is not None:
        return together
    refused: set[tuple[Key, str]] = set()
    while True:
        wish = next(
            (
                w
                for w in sure_wishes(before)
                if (_key(before, w.finding), w.mend.title) not in refused
            ),
            None,
        )
        if wish is None:
            return before
        after = mended(before, [wish], rules)
        if after is None:
            refused.add((_key(before, wish.finding), wish.mend.title))
        else:
            before = after


def mended(before: Proof, wishes: Iterable[Wish], rules: Sequence[Rule]) -> Proof | None:
    """The proof of the text with these mends made, or None where they may not be kept.

    They are kept where each takes its finding away and none brings a new one; where all
    are sure, every row must count as it did before.  Nothing is changed in words that
    were not understood.
    """
    wishes = list(wishes)
    edits = [edit for wish in wishes for edit in wish.mend.edits]
    unread = [span for row in before.tally.rows for span in row.unread]
    sure = all(wish.mend.sure for wish in wishes)
    if sure and any(e.start < span.end and span.start < e.end for e in edits for span in unread):
        return None
    source = before.pattern.source
    try:
        text = apply_edits(source.text, edits)
    except EditError:
        return None
    pattern = read(Source(source.path, text, bom=source.bom), own=before.pattern.own)
    after = proof(pattern, tally(pattern), before.house, rules)
    if sure and _counts(before) != _counts(after):
        return None
    gone = Counter(_key(before, wish.finding) for wish in wishes)
    allowed = Counter(keys_of(before))
    allowed.subtract(gone)
    there = Counter(keys_of(after))
    kept = not after.failures or after.failures == before.failures
    return after if kept and all(allowed[key] >= count for key, count in there.items()) else None


def keys_of(done: Proof) -> list[Key]:
    """What each finding is known by, whatever the words and labels become: its rule and row."""
    return [_key(done, finding) for finding in done.findings]


def _key(done: Proof, finding: Finding) -> Key:
    at = finding.span.start
    rows = enumerate(done.tally.rows)
    place = next((n for n, row in rows if row.row.span.start <= at < row.row.span.end), -1)
    return finding.rule, place


def _counts(done: Proof) -> list[tuple[object, ...]]:
    return [(row.stated, row.worked, row.verdict, row.unread != ()) for row in done.tally.rows]
