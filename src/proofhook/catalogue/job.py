"""A pattern to be worked on, and what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from proofhook.records import NamedTuple
from proofhook.text import Source

if TYPE_CHECKING:
    from typing import TypeAlias

    from proofhook.counting.result import Tally
    from proofhook.proofing.finding import Finding
    from proofhook.proofing.house import House
    from proofhook.showing.forms import Form

    #: The findings, the sentences about rules that failed, and the findings that stand.
    Found: TypeAlias = tuple[tuple[Finding, ...], tuple[str, ...], tuple[Finding, ...]]


class FaultError(Exception):
    """What went wrong with a job in another process, in a few words."""


class EndedError(Exception):
    """A job at which every process ended that tried it; the message is one sentence."""


class Job(NamedTuple):
    """One pattern to be worked on; ``house`` is None where only a tally is wanted.

    ``plugins`` are those whose words the pattern is read with.  ``form`` is what it is to be
    shown in; where it is None, or with ``kept``, what came of it is wanted whole.
    """

    path: str
    text: str
    bom: bool
    house: House | None
    plugins: tuple[str, ...] = ()
    form: Form | None = None
    kept: bool = False

    def source(self) -> Source:
        """The text as the reader takes it."""
        return Source(self.path, self.text, bom=self.bom)


class Done(NamedTuple):
    """What came of it; ``found`` is None where only a tally was wanted or there are no rows."""

    tally: Tally
    found: Found | None = None
