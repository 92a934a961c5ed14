"""The desk: files come in one by one and go out as tallies and proofs.

All that the commands share stands here: which files, which house, what to say about a
file that cannot be read, and the progress on long runs.  Nothing is kept of a file once
it has gone out.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from proofhook.catalogue.job import EndedError, FaultError
from proofhook.catalogue.pace import ALONE, Pace, processes
from proofhook.catalogue.rounds import Asked, ShownRound, WholeRound
from proofhook.faults import one_line, wants_traceback
from proofhook.files import (
    FileError,
    Named,
    named_files,
    read_source,
)
from proofhook.houses import Houses
from proofhook.showing.forms import TALLY
from proofhook.showing.ink import end_of, paper_of, shown_path, tame
from proofhook.text import TextError

if TYPE_CHECKING:
    from proofhook.catalogue.job import Done
    from proofhook.counting.result import Tally
    from proofhook.pattern import Pattern
    from proofhook.proofing.finding import Grade
    from proofhook.proofing.house import House
    from proofhook.proofing.pack import Pack
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule
    from proofhook.showing.forms import Form
    from proofhook.showing.sums import Shown

    Mender: TypeAlias = Callable[[Proof, tuple[Rule, ...]], Proof]


Made = TypeVar("Made")
#: Gives what is made of the next file, which is this one, and whether there is nothing in it.
Take: TypeAlias = "Callable[[Named], tuple[Made, bool]]"


def _nothing(_: str) -> bool:
    return False


class Progress:
    """How far a long run has come, on a terminal only, in one line that goes away again."""

    __slots__ = ("_due", "_shown", "_stream", "_total")

    PATIENCE, PACE = 1.0, 0.1

    def __init__(self, total: int) -> None:
        self._stream = sys.stderr
        self._total = total if self._stream and self._stream.isatty() else 0
        self._due = time.monotonic() + self.PATIENCE
        self._shown = False

    def at(self, number: int, path: str) -> None:
        """Show that the file with this number is being read, if it is time to."""
        now = time.monotonic()
        if self._total > 1 and now >= self._due:
            self._due, self._shown = now + self.PACE, True
            told = f"{number} of {self._total}: "
            # A line that wraps could not be taken away again.
            room = paper_of(self._stream).width - 1 - len(told)
            self._stream.write(f"\r\x1b[K{told}{end_of(tame(path), room)}")
            self._stream.flush()

    def clear(self) -> None:
        """Take the line away, so that something else can be written."""
        if self._shown:
            self._stream.write("\r\x1b[K")
            self._stream.flush()
            self._shown = False


class Desk:
    """One run over the files named on the command line.

    ``told`` holds the sentences about what could not be done, ``not_done`` counts the files
    that were not read or proofed, ``passed_over`` those without rows that were left out
    with leave, ``left_out`` those that a style sheet leaves out.  ``failing`` counts the
    findings that fail the run, ``least`` is the lowest grade that does.
    """

    __slots__ = (
        "_houses",
        "_pace",
        "_recalled",
        "failing",
        "least",
        "left_out",
        "not_done",
        "passed_over",
        "progress",
        "told",
    )

    def __init__(self, pace: Pace = ALONE) -> None:
        self._pace = pace
        self.told: list[str] = []
        self.not_done = 0
        self.passed_over = 0
        self.left_out = 0
        self.failing = 0
        self.least: Grade | None = None
        self.progress = Progress(0)
        self._houses = Houses(self.tell)
        self._recalled = False

    @property
    def trouble(self) -> int:
        """How many things could not be done."""
        return len(self.told)

    def tell(self, sentence: str) -> None:
        """Say on standard error what could not be done; the run will end with status 2."""
        sentence = sentence.replace(os.path.join(os.getcwd(), ""), "")  # as seen from here
        self.told.append(sentence)
        self.progress.clear()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)

    def tallies(
        self,
        names: list[str],
        pass_over: bool = False,
        leaves_out: Callable[[str], bool] = _nothing,
    ) -> Iterator[Tally]:
        """The tally of each file that has rows, as soon as it is worked out."""
        for done in self._whole(names, pass_over, leaves_out, self._pace, None):
            yield done.tally

    def patterns(self, names: list[str], pass_over: bool = False) -> Iterator[Pattern]:
        """The pattern of each file that has rows and is not left out, as soon as it is read."""
        self._recall()
        hands = nullcontext(self._read)
        return self._each(names, pass_over, self._houses.leaves_out, lambda _: hands, _has_rows)

    def _read(self, file: Named) -> tuple[Pattern, bool]:
        """Read a file with the words of its house."""
        from proofhook.pattern import NO_WORDS
        from proofhook.reading import read

        source = read_source(file.path)
        own = self._houses.words_for(source.path)
        pattern = read(source) if own is NO_WORDS else read(source, own=own)
        return pattern, not source.text.strip()

    def shown(self, names: list[str], form: Form, pass_over: bool = False) -> Iterator[Shown]:
        """What a form shows of each file that has rows, as soon as it is there.

        Nothing else is made of a file that the cache knows.
        """
        proofs = form.what != TALLY
        house_for = self._houses.ahead if proofs else None

        def hands(files: list[Named]) -> ShownRound:
            jobs, cached = self._jobs(files, self._pace)
            return ShownRound(files, self._asked(house_for), jobs, cached, form)

        leaves_out = self._houses.leaves_out if proofs else _nothing
        for each in self._each(names, pass_over, leaves_out, hands, _shows_rows):
            house = self._house_at_turn(each.path) if proofs else None
            if not proofs:
                yield each
            elif house:
                self._count(house, each.failures, each.sums.failing)
                yield self._with_rules(each, house) if form.names_rules else each

    def _count(self, house: House, failures: Sequence[str], failing: int) -> None:
        """Tell of rules that failed in a file, and count what fails the run."""
        for failure in failures:
            self.tell(failure)
        self.failing += failing
        self.least = min(self.least or house.failing, house.failing)

    def _with_rules(self, shown: Shown, house: House) -> Shown:
        held = self.house_of(shown.path)
        return shown._replace(rules=_looked(held[1], house)) if held else shown

    def _whole(
        self,
        names: list[str],
        pass_over: bool,
        leaves_out: Callable[[str], bool],
        pace: Pace,
        house_for: Callable[[str], House | None] | None,
    ) -> Iterator[Done]:
        """The tally of each file that has rows, with what was found where that was done too."""

        def hands(files: list[Named]) -> WholeRound:
            return WholeRound(files, self._asked(house_for), *self._jobs(files, pace))

        return self._each(names, pass_over, leaves_out, hands, _has_tallies)

    def _jobs(self, files: list[Named], pace: Pace) -> tuple[int, bool]:
        """In how many processes to work, and whether to keep what is found."""
        jobs = processes(pace.jobs, len(files))
        return (1, False) if wants_traceback() else (jobs, pace.cached)

    def _asked(self, house_for: Callable[[str], House | None] | None) -> Asked:
        before_work = self._before_tally if house_for is None else self._before_proof
        return Asked(
            self._houses.words_from,
            house_for or _no_house,
            self._houses.words_for,
            self._remark,
            before_work,
        )

    def _before_tally(self, _: str) -> bool:
        self._recall()
        return True

    def _before_proof(self, path: str) -> bool:
        """Make ready to proof a file; whether all that its house wants is there."""
        self._recall()
        return self._houses.all_there(path)

    def _recall(self) -> None:
        """Take up what earlier runs remembered, before the first work."""
        if not self._recalled:
            self._recalled = True
            from proofhook.remembered import recall

            recall()

    def _each(
        self,
        names: list[str],
        pass_over: bool,
        leaves_out: Callable[[str], bool],
        hands: Callable[[list[Named]], AbstractContextManager[Take[Made]]],
        has_rows: Callable[[Made], bool],
    ) -> Iterator[Made]:
        named = list(named_files(names, self.tell))
        files = [file for file in named if not leaves_out(file.path)]
        self.left_out += len(named) - len(files)
        kept = {file.folder for file in files}
        left = {file.folder for file in named} - kept
        without = {name for name in names if os.path.isdir(name) and name not in left}
        self.progress = Progress(len(files))
        with hands(files) as take:
            for number, file in enumerate(files, 1):
                self.progress.at(number, file.path)
                trouble = self.trouble
                made = self._made(file, pass_over, take, has_rows)
                if made or self.trouble > trouble:
                    without.discard(file.folder)
                if made:
                    self.progress.clear()
                    yield made
        self.progress.clear()
        if self._recalled:
            from proofhook.remembered import keep

            keep()
        for folder in sorted(without):
            if not pass_over:
                self.tell(f"{folder}: there is no .txt or .md file with rows in this folder.")

    def _made(
        self,
        file: Named,
        pass_over: bool,
        take: Take[Made],
        has_rows: Callable[[Made], bool],
    ) -> Made | None:
        """What is made of a file, None where it has no rows or cannot be read."""
        try:
            made, empty = take(file)
        except (FileError, TextError, EndedError) as error:
            self.not_read(str(error))
            return None
        except Exception as error:
            self.failed(file.path, error)
            return None
        if has_rows(made):
            return made
        if pass_over or file.folder:
            self.passed_over += 1
        elif empty:
            self.not_read(f"{shown_path(file.path)}: it is empty.")
        else:
            self.not_read(f"{shown_path(file.path)}: no rows or rounds were found in it.")
        return None

    def not_read(self, sentence: str) -> None:
        """Say why a file was not read or not worked on."""
        self.not_done += 1
        self.tell(sentence)

    def failed(self, path: str, error: Exception) -> None:
        """Report a failure of the program itself, without a traceback unless it is wanted."""
        if wants_traceback():
            raise error
        fault = str(error) if isinstance(error, FaultError) else one_line(error)
        self.not_read(f"{path}: proofhook could not get through it ({fault}); please report this.")

    def proofs(
        self, names: list[str], pass_over: bool = False, mend: Mender | None = None
    ) -> Iterator[Proof]:
        """The proof of each file that has rows, in the house whose style sheet is nearest.

        ``mend`` is given each proof, and gives that of the mended text.
        """
        from proofhook.proofing.proof import Proof, proof

        # What is mended is needed whole, and asked about in this process.
        pace = ALONE if mend else self._pace
        for tallied, found in self._whole(
            names, pass_over, self._houses.leaves_out, pace, self._houses.ahead
        ):
            held = self.house_for(tallied.pattern.source.path)
            if held is None:
                continue
            house, rules = held
            if found is None:
                done = proof(tallied.pattern, tallied, house, rules)
            else:
                done = Proof(tallied.pattern, tallied, house, *found)
                done = done._replace(rules=_looked(rules, house))
            if mend:
                for failure in done.failures:
                    self.tell(failure)
                self.progress.clear()
                done = mend(done, rules)
                self._count(house, (), done.failing)
            else:
                self._count(house, done.failures, done.failing)
            yield done

    def house_for(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house as it is for one file, with what stands in it, and its rules.

        None, and one more that is not done, where its style sheet or its stets cannot be used.
        """
        held = self._houses.at_turn(path)
        self.not_done += held is None
        return held

    def house_of(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house of a file and its rules; None where its style sheet cannot be used."""
        return self._houses.house_of(path)

    def pack_of(self, path: str) -> Pack | None:
        """All that the plug-ins of a file's house bring; None where its sheet cannot be used."""
        return self._houses.pack_of(path)

    def _house_at_turn(self, path: str) -> House | None:
        """The house for one file whose turn has come, as :meth:`house_for` gives it."""
        if self._houses.stands_alone(path):
            return self._houses.plain()
        held = self.house_for(path)
        return held[0] if held else None

    def _remark(self, sentence: str) -> None:
        """Say on standard error what makes no difference to what was found."""
        self.progress.clear()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)


def _looked(rules: tuple[Rule, ...], house: House) -> tuple[Rule, ...]:
    """The rules that have their look in a house."""
    return tuple(rule for rule in rules if house.grade_of(rule) is not None)


def _no_house(_: str) -> None:
    return None


def _shows_rows(shown: Shown) -> bool:
    return bool(shown.sums.rows)


def _has_tallies(done: Done) -> bool:
    return bool(done.tally.rows)


def _has_rows(pattern: Pattern) -> bool:
    return any(piece.rows for piece in pattern.pieces)
