"""A document as it was worked out: what every answer to the editor is made of."""

from __future__ import annotations

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
from proofhook.records import NamedTuple
from proofhook.text import MAX_BYTES, Source, Span

WORD = expression(r"[^\W_]+(?:['\u2019-][^\W_]+)*")


class Document(NamedTuple):
    """An open document, worked out whole.

    ``troubles`` are sentences on what of its house cannot be used.
    """

    uri: str
    places: Places
    proof: Proof
    rules: tuple[Rule, ...]
    troubles: tuple[str, ...] = ()

    @property
    def source(self) -> Source:
        """The text of the document."""
        return self.proof.pattern.source

    @property
    def pattern(self) -> Pattern:
        """The text as it was read."""
        return self.proof.pattern

    @property
    def tally(self) -> Tally:
        """What every row makes."""
        return self.proof.tally

    def row_at(self, offset: int) -> RowTally | None:
        """The row that an offset stands in or at the end of."""
        rows = self.tally.rows
        return next((r for r in rows if r.row.span.start <= offset <= r.row.span.end), None)

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
    """Read, count and proof a text in its house; by default in one without rules.

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
    done = proof(pattern, tallied, house, rules)
    return Document(uri, Places(source, encoding), done, rules, troubles)
