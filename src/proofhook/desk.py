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
from typing import TYPE_CHECKING, Generic, TypeAlias, TypeVar

from proofhook.catalogue.job import EndedError, FaultError
from proofhook.catalogue.pace import ALONE, Pace, processes
from proofhook.catalogue.rounds import Asked, ShownRound, WholeRound
from proofhook.faults import one_line, wants_traceback
from proofhook.files import (
    BOOK,
    SHEET,
    STANDARD_INPUT,
    FileError,
    Named,
    find_upward,
    named_files,
    read_source,
)
from proofhook.showing.forms import PROOF_FORMS, TALLY
from proofhook.showing.ink import end_of, paper_of, shown_path, tame
from proofhook.text import TextError

if TYPE_CHECKING:
    from proofhook.catalogue.job import Done
    from proofhook.counting.result import Tally
    from proofhook.pattern import OwnWords, Pattern
    from proofhook.proofing.finding import Grade
    from proofhook.proofing.house import House
    from proofhook.proofing.pack import Pack
    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule
    from proofhook.proofing.stet import Stet
    from proofhook.showing.forms import Form
    from proofhook.showing.sums import Shown

    Held: TypeAlias = tuple[House, Pack]
    Mender: TypeAlias = Callable[[Proof, tuple[Rule, ...]], Proof]


Made = TypeVar("Made")
#: Gives what is made of the next file, which is this one, and whether there is nothing in it.
Take: TypeAlias = "Callable[[Named], tuple[Made, bool]]"


class Opened(Generic[Made]):
    """A style sheet or a book of stets: what is in it, None where it cannot be used, and why."""

    __slots__ = ("troubles", "value")

    def __init__(self, value: Made | None, troubles: tuple[str, ...] = ()) -> None:
        self.value = value
        self.troubles = troubles


def _nothing(_: str) -> bool:
    return False


NO_STETS: Opened[tuple[Stet, ...]] = Opened(())


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
        "_books",
        "_houses",
        "_pace",
        "_recalled",
        "_sheets",
        "_stets",
        "_told",
        "_usual",
        "_with_plugins",
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
        self._books: dict[str, str | None] = {}
        self._stets: dict[str, Opened[tuple[Stet, ...]]] = {}
        self._sheets: dict[str, str | None] = {}
        self._houses: dict[str | None, Opened[Held]] = {}
        self._told: set[int] = set()
        self._recalled = False
        self._usual: House | None = None
        self._with_plugins: dict[str | None, bool] = {}

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
        return self._each(names, pass_over, self._leaves_out, lambda _: hands, _has_rows)

    def _read(self, file: Named) -> tuple[Pattern, bool]:
        """Read a file with the words of its house."""
        from proofhook.pattern import NO_WORDS
        from proofhook.reading import read

        source = read_source(file.path)
        own = self._words_for(source.path)
        pattern = read(source) if own is NO_WORDS else read(source, own=own)
        return pattern, not source.text.strip()

    def shown(self, names: list[str], form: Form, pass_over: bool = False) -> Iterator[Shown]:
        """What a form shows of each file that has rows, as soon as it is there.

        Nothing else is made of a file that the cache knows.
        """
        proofs = form.what != TALLY
        house_for = self._house_ahead if proofs else None

        def hands(files: list[Named]) -> ShownRound:
            jobs, cached = self._jobs(files, self._pace)
            return ShownRound(files, self._asked(house_for), jobs, cached, form)

        leaves_out = self._leaves_out if proofs else _nothing
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
            self._words_from, house_for or _no_house, self._words_for, self._remark, before_work
        )

    def _before_tally(self, _: str) -> bool:
        self._recall()
        return True

    def _before_proof(self, path: str) -> bool:
        """Make ready to proof a file; whether all that its house wants is there."""
        self._recall()
        return not self._opened(path).troubles

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
            names, pass_over, self._leaves_out, pace, self._house_ahead
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
        held = self.house_of(path)
        stets = self._said(self._stets_of(path)) if held else None
        if held is None or stets is None:
            self.not_done += 1
            return None
        house, rules = held
        return _in_place(house, stets, path), rules

    def _house_at_turn(self, path: str) -> House | None:
        """The house for one file whose turn has come, as :meth:`house_for` gives it."""
        if self._stands_alone(path):
            return self._plain()
        held = self.house_for(path)
        return held[0] if held else None

    def _house_ahead(self, path: str) -> House | None:
        """The house as it will be for a file whose turn has not come; nothing is told yet."""
        if self._stands_alone(path):
            return self._plain()
        held, stets = self._opened(path).value, self._stets_of(path).value
        return None if held is None or stets is None else _in_place(held[0], stets, path)

    def _stands_alone(self, path: str) -> bool:
        """Whether nothing is said about a file but what holds for all, and no rules are there yet.

        They need not be, as long as the cache knows all files.
        """
        return None not in self._houses and not (self._sheet_of(path) or self._book_of(path))

    def _plain(self) -> House:
        """The house of those who have no style sheet, always the same one."""
        if self._usual is None:
            from proofhook.proofing.house import House

            self._usual = House()
        return self._usual

    def _leaves_out(self, path: str) -> bool:
        if path == STANDARD_INPUT or self._sheet_of(path) is None:
            return False
        held = self.house_of(path)
        return held is not None and held[0].leaves_out(path)

    def house_of(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house of a file and its rules; None where its style sheet cannot be used."""
        held = self._held(path)
        return (held[0], held[1].rules) if held else None

    def pack_of(self, path: str) -> Pack | None:
        """All that the plug-ins of a file's house bring; None where its sheet cannot be used."""
        held = self._held(path)
        return held[1] if held else None

    def _held(self, path: str) -> Held | None:
        return self._said(self._opened(path))

    def _said(self, opened: Opened[Made]) -> Made | None:
        """What was opened, after telling once what was wrong with it."""
        if opened.troubles and id(opened) not in self._told:
            self._told.add(id(opened))
            for trouble in opened.troubles:
                self.tell(trouble)
        return opened.value

    def _opened(self, path: str) -> Opened[Held]:
        sheet = self._sheet_of(path)
        if sheet not in self._houses:
            self._houses[sheet] = _open_house(sheet, self._plain())
        return self._houses[sheet]

    def _sheet_of(self, path: str) -> str | None:
        folder = "" if path == STANDARD_INPUT else os.path.dirname(path)
        if folder not in self._sheets:
            self._sheets[folder] = find_upward(folder, SHEET)
        return self._sheets[folder]

    def _words_for(self, path: str) -> OwnWords:
        """The words of a file's house; plug-ins are loaded only where the house names some."""
        from proofhook.pattern import NO_WORDS

        pack = self.pack_of(path) if self._has_plugins(path) else None
        return pack.words if pack else NO_WORDS

    def _words_from(self, path: str) -> tuple[str, ...]:
        """The plug-ins that the words of a file's house come from; nothing is told yet."""
        held = self._opened(path).value if self._has_plugins(path) else None
        return held[0].plugins if held else ()

    def _has_plugins(self, path: str) -> bool:
        sheet = self._sheet_of(path)
        if sheet is not None and sheet not in self._with_plugins:
            self._with_plugins[sheet] = self._names_plugins(sheet)
        return sheet is not None and self._with_plugins[sheet]

    def _names_plugins(self, sheet: str) -> bool:
        from proofhook.proofing.house import HouseError, read_house

        try:
            return bool(read_house(sheet).plugins)
        except HouseError:
            return False  # told once it is needed: a tally goes by no style sheet

    def _stets_of(self, path: str) -> Opened[tuple[Stet, ...]]:
        """What the editor lets stand in a file, or why that cannot be read."""
        book = self._book_of(path)
        if book is None:
            return NO_STETS
        from proofhook.proofing.stet import of_file

        if book not in self._stets:
            self._stets[book] = _open_book(book)
        opened = self._stets[book]
        return opened if opened.value is None else Opened(of_file(opened.value, book, path))

    def _book_of(self, path: str) -> str | None:
        folder = "" if path == STANDARD_INPUT else os.path.dirname(path)
        if folder not in self._books:
            self._books[folder] = find_upward(folder, BOOK)
        return self._books[folder]

    def _remark(self, sentence: str) -> None:
        """Say on standard error what makes no difference to what was found."""
        self.progress.clear()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)


def _open_book(book: str) -> Opened[tuple[Stet, ...]]:
    from proofhook.proofing.house import HouseError
    from proofhook.proofing.stet import read_book

    try:
        return Opened(read_book(book))
    except HouseError as error:
        return Opened(None, (str(error),))


def _open_house(sheet: str | None, usual: House) -> Opened[Held]:
    from proofhook.proofing.house import HouseError, check_house, read_house
    from proofhook.proofing.plugins import load

    troubles: tuple[str, ...] = ()
    try:
        house = read_house(sheet) if sheet else usual
        pack = load(house.plugins)
        pack, troubles = _without_our_forms(pack)
        check_house(house, pack.rules, all_there=not troubles)
    except HouseError as error:
        return Opened(None, (*troubles, str(error)))
    return Opened((house, pack), troubles)


def _without_our_forms(pack: Pack) -> tuple[Pack, tuple[str, ...]]:
    """The pack without forms that would hide our own, and all that is wrong with it."""
    if not pack.forms:
        return pack, pack.troubles
    hidden = [
        f"The plug-in {pack.form_owners[name]} brings a form {name}, which proofhook has "
        "already; rename it."
        for name in pack.forms
        if name in PROOF_FORMS
    ]
    forms = {name: each for name, each in pack.forms.items() if name not in PROOF_FORMS}
    return pack._replace(forms=forms), (*pack.troubles, *hidden)


def _in_place(house: House, stets: tuple[Stet, ...], path: str) -> House:
    house = house.in_folder_of(path)
    return house._replace(stets=(*house.stets, *stets)) if stets else house


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
