"""The houses of a run: which style sheet and which stets hold for a file, opened once each."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Generic, TypeAlias, TypeVar

from proofhook.files import BOOK, SHEET, STANDARD_INPUT, find_upward
from proofhook.showing.forms import PROOF_FORMS

if TYPE_CHECKING:
    from proofhook.pattern import OwnWords
    from proofhook.proofing.house import House
    from proofhook.proofing.pack import Pack
    from proofhook.proofing.rule import Rule
    from proofhook.proofing.stet import Stet

    Held: TypeAlias = tuple[House, Pack]

Made = TypeVar("Made")


class Opened(Generic[Made]):
    """A style sheet or a book of stets: what is in it, None where it cannot be used, and why."""

    __slots__ = ("troubles", "value")

    def __init__(self, value: Made | None, troubles: tuple[str, ...] = ()) -> None:
        self.value = value
        self.troubles = troubles


NO_STETS: Opened[tuple[Stet, ...]] = Opened(())


class Houses:
    """The houses of the files of one run; ``tell`` is called once for each thing wrong with one."""

    __slots__ = (
        "_books",
        "_houses",
        "_sheets",
        "_stets",
        "_tell",
        "_told",
        "_usual",
        "_with_plugins",
    )

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._tell = tell
        self._books: dict[str, str | None] = {}
        self._stets: dict[str, Opened[tuple[Stet, ...]]] = {}
        self._sheets: dict[str, str | None] = {}
        self._houses: dict[str | None, Opened[Held]] = {}
        self._told: set[int] = set()
        self._usual: House | None = None
        self._with_plugins: dict[str | None, bool] = {}

    def at_turn(self, path: str) -> tuple[House, tuple[Rule, ...]] | None:
        """The house as it is for one file, with what stands in it, and its rules.

        None where its style sheet or its stets cannot be used, which is told.
        """
        held = self.house_of(path)
        stets = self._said(self._stets_of(path)) if held else None
        if held is None or stets is None:
            return None
        house, rules = held
        return _in_place(house, stets, path), rules

    def ahead(self, path: str) -> House | None:
        """The house as it will be for a file whose turn has not come; nothing is told yet."""
        if self.stands_alone(path):
            return self.plain()
        held, stets = self._opened(path).value, self._stets_of(path).value
        return None if held is None or stets is None else _in_place(held[0], stets, path)

    def stands_alone(self, path: str) -> bool:
        """Whether nothing is said about a file but what holds for all, and no rules are there yet.

        They need not be, as long as the cache knows all files.
        """
        return None not in self._houses and not (self._sheet_of(path) or self._book_of(path))

    def plain(self) -> House:
        """The house of those who have no style sheet, always the same one."""
        if self._usual is None:
            from proofhook.proofing.house import House

            self._usual = House()
        return self._usual

    def leaves_out(self, path: str) -> bool:
        """Whether the house of a file leaves it out."""
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
                self._tell(trouble)
        return opened.value

    def all_there(self, path: str) -> bool:
        """Open the house of a file; whether it has all that it wants.  Nothing is told yet."""
        return not self._opened(path).troubles

    def _opened(self, path: str) -> Opened[Held]:
        sheet = self._sheet_of(path)
        if sheet not in self._houses:
            self._houses[sheet] = _open_house(sheet, self.plain())
        return self._houses[sheet]

    def _sheet_of(self, path: str) -> str | None:
        folder = "" if path == STANDARD_INPUT else os.path.dirname(path)
        if folder not in self._sheets:
            self._sheets[folder] = find_upward(folder, SHEET)
        return self._sheets[folder]

    def words_for(self, path: str) -> OwnWords:
        """The words of a file's house; plug-ins are loaded only where the house names some."""
        from proofhook.pattern import NO_WORDS

        pack = self.pack_of(path) if self._has_plugins(path) else None
        return pack.words if pack else NO_WORDS

    def words_from(self, path: str) -> tuple[str, ...]:
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
