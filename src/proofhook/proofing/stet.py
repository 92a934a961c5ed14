"""Stet, "let it stand": findings that the editor has looked at and keeps as they are.

They are kept in ``stet.toml`` beside the patterns, by quotation and not by line, so that
they hold when rows are put in above or numbered anew.
"""

from __future__ import annotations

import os
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from proofhook import expressions as rx
from proofhook.files import BOOK, find_upward
from proofhook.proofing.house import HouseError, nearest
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from proofhook.counting.result import Tally
    from proofhook.proofing.finding import Finding
    from proofhook.text import Source

NEEDED = ("rule", "quote", "because")
KEYS = (*NEEDED, "file", "piece", "date")


class Stet(NamedTuple):
    """One finding that stands: its rule, the words it is about, and the reason.

    ``file`` is relative to the folder of ``stet.toml``, "" for any file; ``piece`` is the
    part of the pattern the words stand in.
    """

    rule: str
    quote: str
    because: str
    file: str = ""
    piece: str = ""
    date: str = ""


def find_book(folder: str) -> str | None:
    """The nearest ``stet.toml`` in ``folder`` or above it, None without one."""
    return find_upward(folder, BOOK)


def read_book(path: str) -> tuple[Stet, ...]:
    """The entries of a ``stet.toml``.

    Raises HouseError with the place where it cannot be used.
    """
    import tomli

    try:
        with open(path, "rb") as file:
            table = tomli.loads(file.read().decode("utf-8-sig"))
    except OSError as error:
        raise HouseError(f"{path}: it cannot be read ({error.strerror or error}).") from None
    except UnicodeDecodeError:
        raise HouseError(f"{path}: not UTF-8; save it as UTF-8 text.") from None
    except tomli.TOMLDecodeError as error:
        raise HouseError(f"{path}:{error.lineno}:{error.colno}: not TOML: {error.msg}.") from None
    except RecursionError:
        raise HouseError(f"{path}: nested too deeply to be a list of what stands.") from None
    for key in table:
        if key != "stet":
            raise HouseError(f"{path}: there is no setting {key!r}{nearest(key, ['stet'])}")
    return stets_of(table.get("stet", []), path)


def stets_of(value: Any, place: str) -> tuple[Stet, ...]:
    """The entries [[stet]] of a table.

    Raises HouseError where one is not as it must be.
    """
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        raise HouseError(f"{place}: 'stet' is written as tables, [[stet]].")
    return tuple(_stet(each, f"{place}: stet {n}") for n, each in enumerate(value, 1))


def _stet(table: dict[str, Any], place: str) -> Stet:
    for key in table:
        if key not in KEYS:
            raise HouseError(f"{place} has no {key!r}{nearest(key, KEYS)}")
    given = {key: str(value) if key == "date" else value for key, value in table.items()}
    for key in KEYS:
        if key in NEEDED and not given.get(key):
            raise HouseError(f"{place} needs {key!r}.")
        if not isinstance(given.get(key, ""), str):
            raise HouseError(f"{place}: {key!r} takes a text in quotes.")
    return Stet(**given)


def of_file(stets: Iterable[Stet], book: str, path: str) -> tuple[Stet, ...]:
    """The entries that are about the file at ``path``."""
    inside = file_in(book, path)
    return tuple(stet for stet in stets if stet.file in ("", inside))


def file_in(book: str, path: str) -> str:
    """The name of a pattern as the book writes it: relative to the book."""
    folder = os.path.dirname(os.path.abspath(book))
    return os.path.relpath(os.path.abspath(path), folder).replace(os.sep, "/")


class Identity(NamedTuple):
    """What a finding is known by wherever its line has moved to: rule, words and part."""

    rule: str
    quote: str
    piece: str


def reason_of(finding: Finding, tally: Tally, stets: Iterable[Stet]) -> str:
    """Why a finding stands, "" where it does not."""
    identity = next(identities([finding], tally))
    return next((stet.because for stet in stets if lets_stand(stet, identity)), "")


def identities(findings: Iterable[Finding], tally: Tally) -> Iterator[Identity]:
    """What each of the findings in a pattern is known by.

    The words are those of its row without the label; of its line where there are none, and of
    the next line that has any where that is blank.
    """
    source = tally.pattern.source
    rows = sorted((row.row for row in tally.rows), key=lambda row: row.span)
    starts = [row.span.start for row in rows]
    for finding in findings:
        at = finding.span.start
        place = bisect_right(starts, at) - 1
        words = ""
        if place >= 0 and at < rows[place].span.end:
            words = _even(source.quote(rows[place].body))
        yield Identity(finding.rule, words or _line_from(source, at), finding.piece)


def _line_from(source: Source, at: int) -> str:
    """The words of the line that holds an offset; of the next that has any, where it is blank."""
    for line in range(source.line_of(at), len(source.line_starts()) + 1):
        words = _even(source.quote(source.line_span(line)))
        if words:
            return words
    return ""


def fingerprints(findings: Iterable[Finding], tally: Tally) -> Iterator[str]:
    """A short word for each finding that no other in the pattern has.

    It stays the same while what the finding is known by does, whatever the lines and
    numbers of the rows become; of findings that are known by the same, the first, the
    second and so on have words of their own.
    """
    from hashlib import sha256

    seen: dict[Identity, int] = {}
    for identity in identities(findings, tally):
        seen[identity] = seen.get(identity, 0) + 1
        known_by = "\0".join((*identity, str(seen[identity])))
        yield sha256(known_by.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def lets_stand(stet: Stet, identity: Identity) -> bool:
    """Whether an entry is about a finding."""
    return (
        stet.rule == identity.rule
        and stet.quote == identity.quote
        and stet.piece in ("", identity.piece)
    )


def standing(
    findings: Iterable[Finding], tally: Tally, stets: Iterable[Stet]
) -> dict[Finding, None]:
    """The findings that the editor lets stand."""
    by_rule: dict[str, list[Stet]] = {}
    for stet in stets:
        by_rule.setdefault(stet.rule, []).append(stet)
    about = [finding for finding in findings if finding.rule in by_rule]
    return {
        finding: None
        for finding, identity in zip(about, identities(about, tally), strict=True)
        if any(lets_stand(stet, identity) for stet in by_rule[finding.rule])
    }


def quotations(tally: Tally) -> Iterator[str]:
    """Everything in a pattern that can be quoted."""
    source = tally.pattern.source
    for row in tally.rows:
        yield _even(source.quote(row.row.body))
    for line in range(1, len(source.line_starts()) + 1):
        yield _even(source.quote(source.line_span(line)))


def _even(words: str) -> str:
    return " ".join(words.split())


def stet_for(finding: Finding, tally: Tally, book: str, because: str, date: str) -> Stet:
    """The entry that lets a finding stand."""
    [known] = identities([finding], tally)
    file = file_in(book, tally.pattern.source.path)
    return Stet(known.rule, known.quote, because, file, known.piece, date)


def entry(stet: Stet) -> str:
    """An entry as ``stet.toml`` writes it, with an empty line before it."""
    lines = [f"{key} = {_quoted(value)}" for key, value in stet._asdict().items() if value]
    return "\n".join(("", "[[stet]]", *lines, ""))


def _quoted(words: str) -> str:
    words = words.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + rx.sub(r"[\x00-\x1f\x7f]", lambda m: f"\\u{ord(m[0]):04x}", words) + '"'
