"""What stands in a row before it is steps: brackets, marks, words that repeat, and steps."""

from __future__ import annotations

from proofhook.pattern import Chain, Each, Group, Join, Repeat, RowsReference, Skip, Step, Work
from proofhook.reading.build import (
    Ahead,
    Altered,
    Bare,
    CountsAs,
    Instead,
    Item,
    Often,
    RepeatAll,
    Suffix,
)
from proofhook.reading.lexer import Token
from proofhook.records import NamedTuple, replace
from proofhook.text import Span


class Bracket(NamedTuple):
    """A pair of brackets and what stands in it."""

    span: Span
    inside: list[Token | Bracket]
    mark: str


class Mark(NamedTuple):
    """A star, dagger or other mark of a repeat."""

    span: Span
    text: str


class Again(NamedTuple):
    """ "Rep from *": the marks that are named."""

    span: Span
    text: str
    paired: bool


class EndAt(NamedTuple):
    """ "Ending last rep at **"."""

    span: Span
    text: str


class Sep(NamedTuple):
    """A comma, stop or dash."""

    span: Span
    kind: str


class Closed(NamedTuple):
    """What stands between two marks, or between a mark and "rep from"."""

    span: Span
    mark: str
    body: list[Element]
    cut: int | None
    again: bool
    often: Often | None = None
    doubled: bool = False


class Bracketed(NamedTuple):
    """A bracket that holds instructions."""

    span: Span
    body: tuple[Step, ...]
    mark: str


Element = Item | Mark | Again | EndAt | Sep | Closed | Bracketed


def span_of(node: Token | Bracket) -> Span:
    """The stretch of a token or bracket."""
    return node.span if isinstance(node, Bracket) else Span(node.start, node.end)


def is_pause(element: Element) -> bool:
    """Whether an element only parts others."""
    return isinstance(element, Sep) and element.kind in (",", ":", "--")


def works(steps: list[Step]) -> bool:
    """Whether any step makes or uses a stitch."""
    return any(
        isinstance(s, (Work, Chain, Skip, Group, Repeat, Each, Join, RowsReference))
        for s in steps
        if not (isinstance(s, Chain) and s.count == (0,))
    )


def is_step(element: Element) -> bool:
    """Whether an element is a step already."""
    return not isinstance(
        element,
        (
            Ahead,
            Suffix,
            RepeatAll,
            CountsAs,
            Bare,
            Mark,
            Again,
            EndAt,
            Sep,
            Closed,
            Bracketed,
            Altered,
            Instead,
        ),
    )


def counts(element: CountsAs, out: list[Step]) -> None:
    """Tell the chain before what it counts as; without one, the skipped chains."""
    for index in range(len(out) - 1, -1, -1):
        step = out[index]
        if isinstance(step, Chain) and step.count != (0,):
            out[index] = replace(
                step, counts=element.counts, counts_as=element.stitch, space=element.space
            )
            return
        if isinstance(step, (Work, Group, Repeat)):
            break
    out.append(Chain(element.span, (0,), element.counts, element.stitch, element.space))
