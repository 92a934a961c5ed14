"""What is shown of one file, and the sums that the last lines of a run add up."""

from __future__ import annotations

from operator import add
from typing import TYPE_CHECKING

from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule


class Sums(NamedTuple):
    """How much of everything there was, in one file or in all of them."""

    files: int = 0
    rows: int = 0
    agree: int = 0
    differ: int = 0
    unstated: int = 0
    unread: int = 0
    errors: int = 0
    queries: int = 0
    style: int = 0
    failing: int = 0
    passed_over: int = 0
    not_done: int = 0
    trouble: int = 0
    let_stand: int = 0

    def plus(self, proof: Proof) -> Sums:
        """The sums with one more file."""
        return self.added(sums_of_proof(proof))

    def added(self, other: Sums) -> Sums:
        """These sums and others together."""
        return Sums(*map(add, self, other))


def sums_of_tally(tally: Tally) -> Sums:
    """One file and its rows."""
    verdicts = [tallied.verdict.value for tallied in tally.rows]
    counts = map(verdicts.count, ("agrees", "differs", "unstated", "unread"))
    return Sums(1, len(verdicts), *counts)


def sums_of_proof(proof: Proof) -> Sums:
    """One file, its rows and what was found in it."""
    grades = [finding.grade.word for finding in proof.findings]
    return sums_of_tally(proof.tally)._replace(
        errors=grades.count("error"),
        queries=grades.count("query"),
        style=grades.count("style"),
        failing=proof.failing,
        let_stand=len(proof.let_stand),
    )


class Shown(NamedTuple):
    """What a form of output says about one file, and what that adds to the sums.

    ``failures`` are the sentences about rules that could not do their work, ``rules`` those
    that had their look, where the form names them.
    """

    path: str
    text: str
    sums: Sums
    failures: tuple[str, ...] = ()
    rules: tuple[Rule, ...] = ()


__all__ = ["Shown", "Sums", "sums_of_proof", "sums_of_tally"]
