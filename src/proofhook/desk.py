"""The desk: files come in one by one and go out as tallies and proofs.

All that the commands share stands here: which files, which house, what to say about a
file that cannot be read, and the progress on long runs.  Nothing is kept of a file once
it has gone out.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, TypeVar

from proofhook.counting.tally import tally
from proofhook.faults import one_line, wants_traceback
from proofhook.files import STANDARD_INPUT, FileError, Named, named_files, read_source
from proofhook.reading import read
from proofhook.showing.ink import shown_path, tame
from proofhook.text import TextError

if TYPE_CHECKING:
    from typing import TypeAlias

    from proofhook.counting.result import Tally
    from proofhook.pattern import Pattern
    from proofhook.proofing.finding import Grade
    from proofhook.proofing.house import House
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule
    from proofhook.proofing.stet import Stet
    from proofhook.text import Source

    Mender: TypeAlias = Callable[[Proof, tuple[Rule, ...]], Proof]


Made = TypeVar("Made")


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
            self._stream.write(f"\r\x1b[K{number} of {self._total}: {tame(path)[-50:]}")
            self._stream.flush()

    def clear(self) -> None:
        """Take the line away, so that something else can be written."""
        if self._shown:
            self._stream.write("\r\x1b[K")
            self._stream.flush()
            self._shown = False


class Desk:
    """One run over the files named on the command line.

    ``told`` holds the sentences about what could not be done, ``trouble`` counts them,
    ``not_done`` counts the files that were not read or proofed, ``passed_over`` those
    without rows that were left out with leave, ``left_out`` those that a style sheet
    leaves out.  ``failing`` counts the findings that fail the run, ``least`` is the lowest
    grade that does.
    """

    __slots__ = (
        "_books",
        "_houses",
        "_sheets",
        "_stets",
        "failing",
        "least",
        "left_out",
        "not_done",
        "passed_over",
        "progress",
        "told",
        "trouble",
    )

    def __init__(self) -> None:
        self.trouble = 0
        self.told: list[str] = []
        self.not_done = 0
        self.passed_over = 0
        self.left_out = 0
        self.failing = 0
        self.least: Grade | None = None
        self.progress = Progress(0)
        self._books: dict[str, str | None] = {}
        self._stets: dict[str, tuple[Stet, ...] | None] = {}
        self._sheets: dict[str, str | None] = {}
        self._houses: dict[str | None, tuple[House, tuple[Rule, ...]] | None] = {}

    def tell(self, sentence: str) -> None:
        """Say on standard error what could not be done; the run will end with status 2."""
        self.trouble += 1
        self.told.append(sentence)
        self.progress.clear()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)

    def tallies(
        self,
        names: list[str],
        pass_over: bool = False,
        leaves_out: Callable[[str], bool] = lambda _: False,
    ) -> Iterator[Tally]:
        """The tally of each file that has rows, as soon as it is worked out."""
        return self._each(
            names, pass_over, leaves_out, lambda source: tally(read(source)), _has_tallies
        )

    def patterns(self, names: list[str], pass_over: bool = False) -> Iterator[Pattern]:
        """The pattern of each file that has rows and is not left out, as soon as it is read."""
        return self._each(names, pass_over, self._leaves_out, read, _has_rows)

    def _each(
        self,
        names: list[str],
        pass_over: bool,
        leaves_out: Callable[[str], bool],
        work: Callable[[Source], Made],
        has_rows: Callable[[Made], bool],
    ) -> Iterator[Made]:
        named = list(named_files(names, self.tell))
        files = [file for file in named if not leaves_out(file.path)]
        self.left_out += len(named) - len(files)
        kept = {file.folder for file in files}
        left = {file.folder for file in named} - kept
        without = {name for name in names if os.path.isdir(name) and name not in left}
        self.progress = Progress(len(files))
        for number, file in enumerate(files, 1):
            self.progress.at(number, file.path)
            trouble = self.trouble
            made = self._made(file, pass_over, work, has_rows)
            if made or self.trouble > trouble:
                without.discard(file.folder)
            if made:
                self.progress.clear()
                yield made
        self.progress.clear()
        for folder in sorted(without):
            if not pass_over:
                self.tell(f"{folder}: there is no .txt or .md file with rows in this folder.")

    def _made(
        self,
        file: Named,
        pass_over: bool,
        work: Callable[[Source], Made],
        has_rows: Callable[[Made], bool],
    ) -> Made | None:
        """What is made of a file, None where it has no rows or cannot be read."""
        try:
            source = read_source(file.path)
            made = work(source)
        except (FileError, TextError) as error:
            self.not_read(str(error))
            return None
        except Exception as error:
            self.failed(file.path, error)
            return None
        if has_rows(made):
            return made
        if pass_over or file.folder:
            self.passed_over += 1
        elif not source.text.strip():
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
        fault = one_line(error)
        self.not_read(f"{path}: proofhook could not get through it ({fault}); please report this.")

    def proofs(
        self, names: list[str], pass_over: bool = False, mend: Mender | None = None
    ) -> Iterator[Proof]:
        """The proof of each file that has rows, in the house whose style sheet is nearest.

        ``mend`` is given each proof, and gives that of the mended text.
        """
        from proofhook.proofing.proof import proof

        for tallied in self.tallies(names, pass_over, self._leaves_out):
            held = self.house_for(tallied.pattern.source.path)
            if held is None:
                continue
            house, rules = held
            done = proof(tallied.pattern, tallied, house, rules)
            for failure in done.failures:
                self.tell(failure)
            if mend:
                self.progress.clear()
                done = mend(done, rules)
            self.failing += done.failing
            self.least = min(self.least or house.failing, house.failing)
            yield done

    def house_for(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house as it is for one file, with what stands in it, and its rules.

        None, and one more that is not done, where its style sheet or its stets cannot be used.
        """
        held = self.house_of(path)
        stets = self._stets_of(path) if held else None
        if held is None or stets is None:
            self.not_done += 1
            return None
        house, rules = held
        house = house.in_folder_of(path)
        return house._replace(stets=(*house.stets, *stets)), rules

    def _leaves_out(self, path: str) -> bool:
        held = self.house_of(path) if path != STANDARD_INPUT else None
        return held is not None and held[0].leaves_out(path)

    def house_of(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house of a file and its rules; None where its style sheet cannot be used."""
        from proofhook.proofing.house import find_sheet

        folder = "" if path == STANDARD_INPUT else os.path.dirname(path)
        if folder not in self._sheets:
            self._sheets[folder] = find_sheet(folder)
        sheet = self._sheets[folder]
        if sheet not in self._houses:
            self._houses[sheet] = self._open_house(sheet)
        return self._houses[sheet]

    def _stets_of(self, path: str) -> tuple[Stet, ...] | None:
        """What the editor lets stand in a file; None where that cannot be read."""
        from proofhook.proofing.stet import find_book, of_file

        folder = "" if path == STANDARD_INPUT else os.path.dirname(path)
        if folder not in self._books:
            self._books[folder] = find_book(folder)
        book = self._books[folder]
        if book is None:
            return ()
        if book not in self._stets:
            self._stets[book] = self._open_book(book)
        stets = self._stets[book]
        return None if stets is None else of_file(stets, book, path)

    def _open_book(self, book: str) -> tuple[Stet, ...] | None:
        from proofhook.proofing.house import HouseError
        from proofhook.proofing.stet import read_book

        try:
            return read_book(book)
        except HouseError as error:
            self.tell(str(error))
            return None

    def _open_house(self, sheet: str | None) -> tuple[House, tuple[Rule, ...]] | None:
        from proofhook.proofing.house import House, HouseError, check_house, read_house
        from proofhook.proofing.plugins import PluginError, load_rules

        try:
            house = read_house(sheet) if sheet else House()
            rules = load_rules(house.plugins)
            check_house(house, rules)
        except (HouseError, PluginError) as error:
            self.tell(str(error))
            return None
        return house, rules


def _has_rows(pattern: Pattern) -> bool:
    return any(piece.rows for piece in pattern.pieces)


def _has_tallies(tallied: Tally) -> bool:
    return bool(tallied.rows)
