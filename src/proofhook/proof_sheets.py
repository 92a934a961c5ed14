"""The command that makes proof sheets: one for a pattern, or one for each of a folder.

A page is written whole or not at all, and only where nothing stands or where an earlier
page stands that was made here.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from proofhook.desk import Desk
from proofhook.expressions import expression
from proofhook.faults import one_line, wants_traceback
from proofhook.files import STANDARD_INPUT, write_whole
from proofhook.showing.ink import counted, joined, shown_path
from proofhook.showing.page import WORDS
from proofhook.showing.sums import Sums

if TYPE_CHECKING:
    from proofhook.proofing.proof import Proof
    from proofhook.showing.sheet import Listed

INDEX = "index"
#: What a file may be called everywhere, and how long.
UNSAFE = expression(r"[^\w-]+")
LONGEST = 55
#: Names that one system or another keeps for its devices.
DEVICES = expression(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)


class WritingError(Exception):
    """A page that cannot be put where it was asked for; the message is one sentence."""


def make_sheet(path: str, out: str) -> bool:
    """Make the sheet of one pattern at ``out``, - for standard output; False where it cannot."""
    desk = Desk()
    if not _ready(desk):
        return False
    if os.path.isdir(path):
        desk.tell(f"{path}: this is a folder; ask for a sheet of each pattern in it with --all.")
        return False
    for proof in desk.proofs([path]):
        _make_one(desk, proof, out)
    return not desk.trouble


def _make_one(desk: Desk, proof: Proof, out: str) -> None:
    name = shown_path(os.path.basename(proof.pattern.source.path))
    try:
        page = _page(desk, proof, name)
        if out != STANDARD_INPUT:
            _write(out, page)
    except WritingError as error:
        desk.tell(str(error))
        return
    if out == STANDARD_INPUT:
        _print(page)
    else:
        print(f"{shown_path(out)}: {_summed(Sums().plus(proof))}")


def make_sheets(folder: str, out: str) -> bool:
    """Make a sheet for each pattern of ``folder`` and an index, in the folder ``out``."""
    from proofhook.showing.sheet import index

    desk = Desk()
    if not _ready(desk):
        return False
    if not os.path.isdir(folder):
        what = "it is no folder" if os.path.exists(folder) else "there is no such folder"
        desk.tell(f"{folder}: {what}; --all takes the folder that the patterns are in.")
        return False
    try:
        os.makedirs(out, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or one_line(error)
        desk.tell(f"{out}: this folder cannot be made ({reason.lower()}).")
        return False
    try:
        listed = list(_all_sheets(desk, folder, out))
        page = os.path.join(out, f"{INDEX}.html")
        if listed or desk.told:
            _write(page, index(listed, desk.told, date=_today()))
            fail = sum(1 for each in listed if each.sums.failing)
            sheets = counted(len(listed), "sheet")
            print(f"{shown_path(page)}: {sheets}, {fail} with what fails a run.")
    except WritingError as error:
        desk.tell(str(error))
    return not desk.trouble


def _ready(desk: Desk) -> bool:
    """Whether pages can be made at all; else says what is missing."""
    from proofhook.showing.sheet import ExtraError, ready

    try:
        ready()
    except ExtraError as error:
        desk.tell(str(error))
        return False
    return True


def _all_sheets(desk: Desk, folder: str, out: str) -> Iterator[Listed]:
    from urllib.parse import quote

    from proofhook.showing.sheet import Listed, title_of

    taken = {INDEX}
    for proof in desk.proofs([folder]):
        inside = os.path.relpath(proof.pattern.source.path, folder).replace(os.sep, "/")
        file = f"{_free_name(inside, taken)}.html"
        try:
            _write(os.path.join(out, file), _page(desk, proof, shown_path(inside), INDEX))
        except WritingError as error:
            desk.tell(str(error))
        else:
            yield Listed(title_of(proof) or inside, inside, quote(file), Sums().plus(proof))


def _free_name(inside: str, taken: set[str]) -> str:
    """A name that no other sheet has, whatever a file system makes of capitals and accents."""
    from unicodedata import normalize

    stem = UNSAFE.sub("-", inside.rpartition(".")[0] or inside).strip("-")[:LONGEST] or "pattern"
    stem = f"{stem}-sheet" if DEVICES.fullmatch(stem) else stem
    name, number = stem, 1
    while normalize("NFKC", name).casefold() in taken:
        number += 1
        name = f"{stem}-{number}"
    taken.add(normalize("NFKC", name).casefold())
    return name


def _page(desk: Desk, proof: Proof, name: str, back: str = "") -> str:
    """The sheet of a proof.  Raises WritingError where it cannot be made."""
    from proofhook.showing.sheet import sheet

    held = desk.house_of(proof.pattern.source.path)
    rules = held[1] if held else ()
    try:
        return sheet(proof, rules, name=name, date=_today(), back=back and f"{back}.html")
    except Exception as error:
        if wants_traceback():
            raise
        raise WritingError(
            f"{name}: proofhook could not make its sheet ({one_line(error)}); please report this."
        ) from None


def _write(path: str, page: str) -> None:
    """Put a page in its place.  Raises WritingError where that would cost another file."""
    from proofhook.showing.sheet import MARK

    data = page.encode("utf-8")
    try:
        if os.path.isdir(path):
            raise WritingError(f"{path}: this is a folder; name the page to write.")
        if os.path.exists(path):
            with open(path, "rb") as file:
                if MARK.encode() not in file.read(2000):
                    raise WritingError(
                        f"{path}: there is another file here, which is no proof sheet; "
                        "give the sheet another name."
                    )
        write_whole(path, data)
    except FileNotFoundError:
        raise WritingError(f"{path}: the folder it is to go into is not there.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or one_line(error)
        raise WritingError(f"{path}: it could not be written ({reason.lower()}).") from None


def _print(page: str) -> None:
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8")
    sys.stdout.write(page)


def _summed(sums: Sums) -> str:
    """What is in a sheet, in a few words."""
    differ = "differs" if sums.differ == 1 else "differ"
    rows = f"{counted(sums.rows, 'row')}, {sums.differ} {differ}, {sums.unread} unread"
    found = zip((sums.errors, sums.queries, sums.style), sorted(WORDS, reverse=True), strict=True)
    told = joined([counted(number, *WORDS[grade]) for number, grade in found if number])
    return f"{rows}; {told or 'nothing to mark'}."


def _today() -> str:
    """The day of the proof, or the day that SOURCE_DATE_EPOCH names.

    Source: reproducible-builds.org, "SOURCE_DATE_EPOCH Specification".
    """
    from datetime import datetime, timezone

    named = os.environ.get("SOURCE_DATE_EPOCH", "")
    if named.isdecimal() and len(named) < 12:
        day = datetime.fromtimestamp(int(named), timezone.utc)
    else:
        day = datetime.now(timezone.utc).astimezone()
    return f"{day.day} {day:%B %Y}"
