"""How a rule is declared, and what it gets to look at.

A rule is a function from the proof context to findings::

    @rule("stitch-total", Grade.ERROR)
    def stitch_total(context: ProofContext) -> Iterator[Finding]:
        \"\"\"A stated total is what the row makes.

        Why that matters to a maker, in a paragraph or two.

        Flagged:

            Rnd 1: 6 sc in a magic ring. (7)

        Passes:

            Rnd 1: 6 sc in a magic ring. (6)
        \"\"\"

The docstring is the rule's documentation: :func:`explain` takes it apart, and the
two short patterns in it are run as tests.  A rule that does nothing unless the house asks
for it gives the style sheet that asks, under ``House:``, before ``Flagged:``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from proofhook.proofing.finding import Finding, Grade, Mend
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from typing import TypeAlias

    from proofhook.counting.result import RowTally, Tally
    from proofhook.pattern import Pattern
    from proofhook.proofing.house import House
    from proofhook.text import Span

#: What a rule's option may hold; the kind of its default decides.
Value: TypeAlias = bool | int | float | str | tuple[str, ...]
Check: TypeAlias = "Callable[[ProofContext], Iterable[Finding]]"


class Option(NamedTuple):
    """A setting of a rule that a house may choose.

    The kind of ``default`` (true or false, a number, a text, a list of texts) is the
    kind the style sheet must give; ``choices`` limits a text to these words.
    """

    name: str
    default: Value
    meaning: str
    choices: tuple[str, ...] = ()


class Rule(NamedTuple):
    """A rule: its name in plain words, its usual grade, its options and its check.

    ``plugin`` is the module that brought the rule; the plug-in manager fills it in.
    """

    name: str
    grade: Grade
    check: Check
    options: tuple[Option, ...] = ()
    plugin: str = ""

    def defaults(self) -> dict[str, Value]:
        """The value of every option where the house says nothing."""
        return {option.name: option.default for option in self.options}


def rule(name: str, grade: Grade, *options: Option) -> Callable[[Check], Rule]:
    """Declare the function below as the check of a rule.

    Raises ValueError where the name is not small words joined by hyphens, or where
    an option has the name that the style sheet keeps for the grade.
    """
    words = name.split("-")
    if not (name.isascii() and name.islower() and all(word.isalnum() for word in words)):
        raise ValueError(f"a rule's name is small words joined by hyphens, not {name!r}")
    if any(option.name == "grade" for option in options):
        raise ValueError(f"the rule {name} may not call an option 'grade'")
    return lambda check: Rule(name, grade, check, options)


class ProofContext(NamedTuple):
    """All that a check may look at: the pattern, its tally and the house's wishes.

    ``options`` holds every option of the rule, ``grade`` the grade it has in this house.
    """

    pattern: Pattern
    tally: Tally
    house: House
    rule: Rule
    grade: Grade
    options: Mapping[str, Value]

    def quote(self, span: Span) -> str:
        """The words of the text that ``span`` covers."""
        return self.pattern.source.quote(span)

    def finding(
        self,
        span: Span,
        message: str,
        *,
        row: RowTally | None = None,
        working: str = "",
        mends: Iterable[Mend] = (),
    ) -> Finding:
        """A finding of this rule at ``span``; ``row`` gives it its piece and row."""
        piece_name = row.piece.name if row else ""
        row_name = row.row.name if row else ""
        return Finding(
            self.rule.name, self.grade, span, piece_name, row_name, message, working, tuple(mends)
        )


class Explanation(NamedTuple):
    """A rule's docstring, taken apart: the two patterns are whole texts.

    ``house`` is the style sheet that the examples need, "" where they need none.
    """

    title: str
    reason: str
    house: str
    flagged: str
    passes: str


SECTIONS = (
    r"(?s)\A(?P<title>[^\n]+)\n\n(?P<reason>.+?)(?:\n\nHouse:\n\n(?P<house>.+?))?\n\nFlagged:\n\n(?P<flagged>.+?)"
    r"\n\nPasses:\n\n(?P<passes>.+?)\s*\Z"
)


def explain(told: Rule) -> Explanation:
    """The title, the reason and the two example patterns of a rule.

    Raises ValueError where the docstring does not have the form shown above.
    """
    import re
    from inspect import cleandoc
    from textwrap import dedent

    found = re.match(SECTIONS, cleandoc(told.check.__doc__ or ""))
    if not found:
        raise ValueError(
            f"the docstring of the rule {told.name} needs a title, a reason, "
            "'Flagged:' and 'Passes:', each followed by a pattern set in"
        )
    title, reason, *examples = (part or "" for part in found.groups())
    house, flagged, passes = (dedent(part).strip("\n") + "\n" for part in examples)
    return Explanation(title, reason, house.lstrip(), flagged, passes)
