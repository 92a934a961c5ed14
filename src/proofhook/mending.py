"""The command's mends: made without asking where they are sure, one by one where not."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from proofhook.commands import Outcome, proof_files
from proofhook.desk import Desk
from proofhook.files import STANDARD_INPUT, FileError, rewrite
from proofhook.proofing.mending import Wish, mend_surely, mended
from proofhook.showing.difference import difference
from proofhook.showing.ink import shown_path, tame

if TYPE_CHECKING:
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule

SURE, OFFERED = "sure", "offered"
QUESTION = "  Mend it? y for yes, n for no, q to leave the rest: "


def mend_files(
    names: list[str], form: str, pass_over: bool, how: str, show: bool, out: str = ""
) -> Outcome:
    """Mend the files and write what is left to say; with ``show`` only the difference."""
    if how == OFFERED and not (sys.stdin and sys.stdin.isatty() and sys.stdout.isatty()):
        print("proofhook: --mend offered asks on a terminal, and here is none.", file=sys.stderr)
        return 1, 0
    bench = Bench(how)
    if not show:
        trouble, failing = proof_files(names, form, pass_over, out, bench.mend_and_keep)
        return trouble + bench.trouble, failing
    desk = Desk()
    for done in desk.proofs(names, pass_over, bench.mend_and_show):
        del done
    return desk.trouble, desk.failing


class Bench:
    """Where patterns are mended: how it is done, and how often a file could not be written."""

    __slots__ = ("_how", "_stopped", "trouble")

    def __init__(self, how: str) -> None:
        self._how = how
        self._stopped = False
        self.trouble = 0

    def mend_and_keep(self, before: Proof, rules: Sequence[Rule]) -> Proof:
        """Mend a pattern and write its file, if that changed it."""
        source = before.pattern.source
        if source.path == STANDARD_INPUT:
            return self._refused(before, "Standard input cannot be mended; ask for --show.")
        after = self._mend(before, rules)
        if after is before:
            return before
        try:
            rewrite(source, after.pattern.source.text)
        except FileError as error:
            return self._refused(before, str(error))
        taken = len(before.findings) - len(after.findings)
        print(f"proofhook: {tame(source.path)}: {taken} mended.", file=sys.stderr)
        return after

    def mend_and_show(self, before: Proof, rules: Sequence[Rule]) -> Proof:
        """Mend a pattern and write the difference; the file stays as it is."""
        after = self._mend(before, rules)
        if after is not before:
            text = after.pattern.source.text
            sys.stdout.writelines(difference(before.pattern.source, text, "mended"))
        return after

    def _refused(self, before: Proof, words: str) -> Proof:
        self.trouble += 1
        print(f"proofhook: {tame(words)}", file=sys.stderr)
        return before

    def _mend(self, before: Proof, rules: Sequence[Rule]) -> Proof:
        return self._ask(before, rules) if self._how == OFFERED else mend_surely(before, rules)

    def _ask(self, done: Proof, rules: Sequence[Rule]) -> Proof:
        """Ask about every mend, from the last place to the first, so that places stay true."""
        for finding in reversed(done.findings):
            for mend in finding.mends:
                if self._stopped or not mend.edits:
                    continue
                line, column = done.pattern.source.position(finding.span.start)
                place = f"{shown_path(done.pattern.source.path)}:{line}:{column}"
                print(f"{place}: {tame(finding.message)}\n  {tame(mend.title)}")
                answer = _answer()
                self._stopped = answer == "q"
                if answer == "y":
                    after = mended(done, [Wish(finding, mend)], rules)
                    if after is not None:
                        done = after
                        break
                    print("  Left as it was: read again, it would not take the finding away.")
        return done


def _answer() -> str:
    """One of y, n and q; the end of the input is q."""
    while True:
        print(QUESTION, end="", flush=True)
        line = sys.stdin.readline()
        answer = line.strip().lower()[:1] if line else "q"
        if answer in ("y", "n", "q"):
            return answer
