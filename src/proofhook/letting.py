"""The command that lets findings stand, and lists those that do."""

from __future__ import annotations

import os
from collections.abc import Iterable

from proofhook.desk import Desk
from proofhook.expressions import expression
from proofhook.files import BOOK, write_whole
from proofhook.proofing.house import HouseError, find_sheet, nearest
from proofhook.proofing.proof import Proof
from proofhook.proofing.stet import (
    Stet,
    entry,
    find_book,
    identities,
    lets_stand,
    read_book,
    stet_for,
)

PLACE = expression(r"(?P<file>.+):(?P<line>\d+)")
TAKEN_IN = "taken in as it was"
HEAD = "# Findings that stand as they are: `proofhook stet` adds to them.\n"


def let_stand(place: str, rule: str, because: str) -> bool:
    """Let the finding of a rule on a line stand; False after saying why it cannot."""
    desk = Desk()
    found = PLACE.fullmatch(place)
    if not found:
        desk.tell(f"{place}: say the line as well, as in {place}:12.")
        return False
    path, line = found["file"], int(found["line"])
    for proof in desk.proofs([path]):
        source = proof.pattern.source
        here = [f for f in proof.findings if source.line_of(f.span.start) == line]
        about = [finding for finding in here if finding.rule == rule]
        if not about:
            desk.tell(f"{place}: {_why_not(desk, proof, rule, line)}")
            return False
        book = _book_for(path)
        entries = [stet_for(f, proof.tally, book, because, _today()) for f in about]
        return _write(desk, book, entries)
    return False


def _why_not(desk: Desk, proof: Proof, rule: str, line: int) -> str:
    """Why nothing of a rule can be let stand on a line."""
    source = proof.pattern.source
    standing = {f.rule for f in proof.let_stand if source.line_of(f.span.start) == line}
    if rule in standing:
        return f"what {rule} has found on this line stands already."
    held = desk.house_of(source.path)
    known = [each.name for each in held[1]] if held else []
    if rule not in known:
        return f"there is no rule {rule!r}{nearest(rule, known)}"
    here = sorted({f.rule for f in proof.findings if source.line_of(f.span.start) == line})
    there = f"; there is {', '.join(here)}" if here else ""
    return f"the rule {rule} has found nothing on this line{there}."


def let_all_stand(names: list[str], because: str) -> bool:
    """Let everything stand that is found now, as a back catalogue is taken in."""
    desk = Desk()
    books: dict[str, list[Stet]] = {}
    for proof in desk.proofs(names, pass_over=True):
        book = _book_for(proof.pattern.source.path)
        books.setdefault(book, []).extend(_entries(proof, book, because))
    done = [_write(desk, book, entries) for book, entries in sorted(books.items())]
    return all(done) and not desk.trouble


def _entries(proof: Proof, book: str, because: str) -> Iterable[Stet]:
    found = (f for f in proof.findings if f.rule != "stet-stale")
    return [stet_for(f, proof.tally, book, because, _today()) for f in found]


def _book_for(path: str) -> str:
    """The book a pattern's entries go into: the nearest, else one beside the style sheet."""
    folder = os.path.dirname(path)
    sheet = find_sheet(folder)
    beside = os.path.dirname(sheet) if sheet else folder
    book = find_book(folder) or os.path.join(beside, BOOK)
    return os.path.relpath(book) if os.path.isabs(book) and not os.path.isabs(path) else book


def _write(desk: Desk, book: str, entries: list[Stet]) -> bool:
    there: tuple[Stet, ...] = ()
    text = HEAD
    try:
        if os.path.exists(book):
            there = read_book(book)
            with open(book, encoding="utf-8-sig") as file:
                text = file.read().rstrip("\n") + "\n"
        known = {_bare(stet) for stet in there}
        new = [stet for stet in dict.fromkeys(entries) if _bare(stet) not in known]
        if new:
            write_whole(book, (text + "".join(map(entry, new))).encode("utf-8"))
    except (HouseError, OSError) as error:
        desk.tell(str(error) if isinstance(error, HouseError) else f"{book}: {error.strerror}.")
        return False
    print(f"{book}: {len(new)} let stand, {len(there) + len(new)} in all.")
    return True


def _bare(stet: Stet) -> Stet:
    return stet._replace(because="", date="")


def list_stets(names: list[str]) -> bool:
    """List what stands in the books of these folders, and say which entries are stale."""
    desk = Desk()
    books = dict.fromkeys(_book_for(os.path.join(name, "x")) if os.path.isdir(name)
                          else _book_for(name) for name in names or ["."])  # fmt: skip
    for book in books:
        if not os.path.exists(book):
            print(f"{book}: nothing stands here.")
            continue
        try:
            stets = read_book(book)
        except HouseError as error:
            desk.tell(str(error))
            continue
        used = _in_use(desk, book, stets)
        for stet in stets:
            stale = "" if stet in used else "  (stale: it lets nothing stand any more)"
            date = f" ({stet.date})" if stet.date else ""
            where = f"{stet.file}, {stet.piece}" if stet.piece else stet.file
            print(f"{where}: {stet.rule}: “{stet.quote}”\n    {stet.because}{date}{stale}")
    return not desk.trouble


def _in_use(desk: Desk, book: str, stets: tuple[Stet, ...]) -> set[Stet]:
    """The entries that a finding still needs."""
    folder = os.path.dirname(book)
    files = [os.path.join(folder, name) for name in dict.fromkeys(s.file for s in stets)]
    used: set[Stet] = set()
    for proof in desk.proofs([file for file in files if os.path.isfile(file)]):
        for known in identities(proof.let_stand, proof.tally):
            used.update(stet for stet in stets if lets_stand(stet, known))
    return used


def _today() -> str:
    from datetime import datetime, timezone

    return datetime.now(timezone.utc).date().isoformat()
