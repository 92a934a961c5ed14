"""What working a row gives, and what has to be known to work it."""

from __future__ import annotations

from collections.abc import Callable

from proofhook.counting.effort import Effort
from proofhook.counting.fabric import Fabric, Run
from proofhook.pattern import Total
from proofhook.records import NamedTuple, dataclass, field
from proofhook.text import Span


class NotWorked(Exception):
    """The row cannot be worked out: ``reason`` says why, ``span`` which words stop it."""

    def __init__(self, reason: str, span: Span | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.span = span


@dataclass(frozen=True, slots=True)
class ChainRule:
    """How a turning chain is taken: whether it counts, as what, with what space after it."""

    counts: bool
    stitch: str = ""
    space: int = 0
    said: bool = True


@dataclass(frozen=True, slots=True)
class Setting:
    """What holds for a row beside its words.

    ``chain_rule`` answers what a turning chain of so many chains before such a stitch
    is; ``rows_before`` is how many rows the piece has so far (for row ends);
    ``earlier`` gives the fabric after an earlier row by its number.  ``effort`` is where
    the work is taken off, as that of a ``usual`` reading or of another.  ``tiled`` tells that
    the piece is made of tiles from corner to corner, each with one chain space.
    """

    size: int
    terms: str
    chain_rule: Callable[[int, str], ChainRule]
    rows_before: int = 0
    earlier: Callable[[int], Fabric | None] = lambda _: None
    foundation: Fabric | None = None
    in_round: bool = False
    in_row: bool = False
    first: bool = False
    effort: Effort | None = None
    usual: bool = True
    tiled: bool = False


class Trace(NamedTuple):
    """One step of the working: what was worked, what it used and what it made."""

    span: Span
    uses: int
    makes: int
    times: int = 1
    fills: bool = False


@dataclass(slots=True)
class Worked:
    """What working a row gave.

    ``short`` places were needed beyond what there is, ``left`` were neither worked nor
    said to be left; both only where ``exact``.  ``remainder`` is set where a repeat does
    not come out even: (places for it, places it uses).  ``rest`` is set where another number
    is left than the row says: (said, left).  ``asked`` are the wordings that
    could be read otherwise, each with its number of readings.
    """

    runs: tuple[Run, ...] = ()
    below: int | None = None
    used: int = 0
    short: int = 0
    left: int = 0
    exact: bool = True
    plain: bool = True
    doubt: str = ""
    remainder: tuple[int, int, Span] | None = None
    rest: tuple[int, int, Span] | None = None
    turned: bool = False
    joined: bool = False
    fastened: bool = False
    chain_after: int = 0
    asked: dict[str, int] = field(default_factory=dict)
    rules_used: dict[tuple[int, str], ChainRule] = field(default_factory=dict)
    totals: list[tuple[Total, tuple[Run, ...]]] = field(default_factory=list)
    trace: list[Trace] = field(default_factory=list)
    begins: bool = False
    ring: bool = False
    ring_chain: int = 0
    at_space: bool = False
    repeats: int = 0
