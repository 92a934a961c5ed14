"""The house of a document: the style sheet and the stets found upward from its file."""

from __future__ import annotations

import os

from proofhook.pattern import NO_WORDS, OwnWords
from proofhook.proofing.house import House, HouseError, check_house, find_sheet, read_house
from proofhook.proofing.plugins import FILE, load
from proofhook.proofing.rule import Rule
from proofhook.proofing.stet import Stet, find_book, of_file, read_book
from proofhook.records import NamedTuple

Stamp = tuple[str, int, int]


class Held(NamedTuple):
    """A house, its rules and its words.

    ``troubles`` are sentences on what of it cannot be used; there are no rules where that is
    the style sheet or the stets.
    """

    house: House
    rules: tuple[Rule, ...] = ()
    words: OwnWords = NO_WORDS
    troubles: tuple[str, ...] = ()


class Houses:
    """The houses of all open documents, read again when one of their files has changed."""

    def __init__(self) -> None:
        self._houses: dict[str, tuple[list[Stamp], Held]] = {}
        self._books: dict[str, tuple[list[Stamp], tuple[Stet, ...]]] = {}

    def of(self, path: str) -> Held:
        """The house for the file at ``path``, whether or not that is on the disk."""
        folder = os.path.dirname(os.path.abspath(path))
        held = self._house(find_sheet(folder) or "")
        house = held.house.in_folder_of(path)
        book = find_book(folder)
        try:
            stets = of_file(self._book(book), book, path) if book else ()
        except HouseError as error:
            return Held(House(), (), held.words, (*held.troubles, str(error)))
        return held._replace(house=house._replace(stets=(*house.stets, *stets)))

    def _house(self, sheet: str) -> Held:
        known = self._houses.get(sheet)
        if known and [_stamp(path) for path, *_ in known[0]] == known[0]:
            return known[1]
        try:
            house = read_house(sheet) if sheet else House()
            pack = load(house.plugins)
            check_house(house, pack.rules, all_there=not pack.troubles)
        except HouseError as error:
            return Held(House(), (), NO_WORDS, (str(error),))
        held = Held(house, pack.rules, pack.words, pack.troubles)
        files = (*house.sheets, *(name for name in house.plugins if name.endswith(FILE)))
        self._houses[sheet] = [_stamp(path) for path in files], held
        return held

    def _book(self, book: str) -> tuple[Stet, ...]:
        known = self._books.get(book)
        if known and known[0] == [_stamp(book)]:
            return known[1]
        stamps = [_stamp(book)]
        stets = read_book(book)
        self._books[book] = stamps, stets
        return stets


def _stamp(path: str) -> Stamp:
    """What tells whether a file is still as it was."""
    try:
        status = os.stat(path)
    except OSError:
        return path, -1, -1
    return path, status.st_mtime_ns, status.st_size
