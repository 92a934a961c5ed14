"""What a rule has to say about a pattern: findings, their grades and their mends."""

from __future__ import annotations

from enum import IntEnum

from proofhook.records import NamedTuple
from proofhook.text import Edit, Span


class Grade(IntEnum):
    """How much a finding weighs, in the order of an editor's worries.

    ERROR: a maker cannot follow this.  QUERY: the designer must decide.
    STYLE: the house wants it otherwise.
    """

    STYLE = 1
    QUERY = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The grade as it is written in style sheets and shown to people."""
        return self.name.lower()


GRADES = {grade.word: grade for grade in sorted(Grade, reverse=True)}


class Mend(NamedTuple):
    """A way to put a finding right.

    ``title`` says in words what is done.  ``sure`` mends cannot change what the
    pattern means; all others need a person to agree.  A mend without ``edits`` is
    advice: the designer has to choose the words.
    """

    title: str
    sure: bool = False
    edits: tuple[Edit, ...] = ()


class Finding(NamedTuple):
    """One thing that a rule found.

    ``span`` is absolute in the text.  ``piece`` and ``row`` are the names a person
    would look for, "" outside the rows.  ``message`` is one sentence that says what is
    wrong, ``working`` how that was worked out ("" where there is nothing to work out).
    """

    rule: str
    grade: Grade
    span: Span
    piece: str
    row: str
    message: str
    working: str = ""
    mends: tuple[Mend, ...] = ()


def place_order(finding: Finding) -> tuple[int, int, str, str]:
    """The key that sorts findings by place, then by rule, whatever the load order."""
    return (finding.span.start, finding.span.end, finding.rule, finding.message)
