"""A document as it was worked out: what every answer to the editor is made of."""

from __future__ import annotations

from bisect import bisect_left

from proofhook.counting.kept import Kept
from proofhook.counting.result import RowTally, Tally
from proofhook.counting.tally import tally
from proofhook.editor.houses import Held
from proofhook.editor.places import UTF_16, Places
from proofhook.expressions import expression
from proofhook.pattern import Pattern
from proofhook.proofing.house import House
from proofhook.proofing.proof import Proof, proof
from proofhook.proofing.rule import Rule
from proofhook.reading import read
from proofhook.text import MAX_BYTES, Source, Span

WORD = expression(r"[^\W_]+(?:['\u2019-][^\W_]+)*")


class Document:
    """An open document, read and counted; the rules have their look when first asked about.

    ``troubles`` are sentences on what of its house cannot be used.
    """

    __slots__ = ("_proof", "house", "pattern", "places", "rules", "tally", "troubles", "uri")

    def __init__(
        self,
        uri: str,
        places: Places,
        tallied: Tally,
        house: House,
        rules: tuple[Rule, ...],
        troubles: tuple[str, ...] = (),
    ) -> None:
        self.uri = uri
        self.places = places
        self.pattern: Pattern = tallied.pattern
        self.tally = tallied
        self.house = house
        self.rules = rules
        self.troubles = troubles
        self._proof: Proof | None = None

    @property
    def source(self) -> Source:
        """The text of the document."""
        return self.pattern.source

    @property
    def proof(self) -> Proof:
        """What the rules of its house find in it."""
        if self._proof is None:
            self._proof = proof(self.pattern, self.tally, self.house, self.rules)
        return self._proof

    def row_at(self, offset: int) -> RowTally | None:
        """The row that an offset stands in or at the end of."""
        rows = self.tally.rows
        at = bisect_left(rows, offset, key=lambda tallied: tallied.row.span.end)
        return rows[at] if at < len(rows) and rows[at].row.span.start <= offset else None

    def word_at(self, offset: int) -> Span | None:
        """The word that an offset stands in or at the end of."""
        line = self.source.line_span(self.source.line_of(offset))
        for found in WORD.finditer(self.source.text, line.start, line.end):
            if found.start() <= offset <= found.end():
                return Span(*found.span())
        return None


def worked_document(
    uri: str,
    path: str,
    text: str,
    held: Held | None = None,
    encoding: str = UTF_16,
    kept: Kept | None = None,
) -> Document:
    """Read and count a text, to be proofed in its house; by default in one without rules.

    A text that has no rows, or that the house leaves out, is proofed by no rule; one that is
    larger than any pattern is not read.  ``kept`` is what was worked of the text before the
    last change; without it everything is worked anew, and comes out the same.
    """
    source = Source(path, text if len(text) <= MAX_BYTES else "")
    house, rules, words, troubles = held or Held(House())
    pattern = read(source, own=words)
    tallied = tally(pattern, kept)
    if not tallied.rows or house.leaves_out(path):
        rules, troubles = (), ()
    return Document(uri, Places(source, encoding), tallied, house, rules, troubles)
