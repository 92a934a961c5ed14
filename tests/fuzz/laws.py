"""What must hold for any bytes whatever, one law for each part of the program.

A law is a function of bytes.  It is silent where the part keeps its promises, which may be
to refuse the bytes in a sentence of its own; anything else is raised.  ``run.py`` tries the
laws on bytes that a fuzzer makes up, ``test_fuzz.py`` on the shipped patterns and on
whatever was found once.
"""

from __future__ import annotations

import os
import re
import tempfile
import time
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache

from proofhook.counting.result import Tally, Verdict
from proofhook.counting.tally import tally
from proofhook.pattern import Pattern, Row, Stitch
from proofhook.proofing.house import House, HouseError, check_house, read_house
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import Proof, proof
from proofhook.proofing.rule import Rule
from proofhook.proofing.stet import entry, read_book, standing, stet_for
from proofhook.reading import read
from proofhook.sameness import same_model
from proofhook.text import Source, Span, TextError, decode
from proofhook.tidying.settings import SETTINGS
from proofhook.tidying.tidy import tidied
from proofhook.translating.proved import Edition, Refusal, second_edition

#: Seconds that a law may compute for one input of a few thousand characters.
MOST_SECONDS = 8.0


class SlowError(AssertionError):
    """An input took more than its share of time."""


def source_of(data: bytes) -> Source | None:
    """The bytes as the text of a file; None where they are refused as one.

    Bytes that are no text are made one, so that a fuzzer need not know about encodings.
    """
    text = data.replace(b"\0", b" ").decode("utf-8", "replace").encode()
    for each in (data, text):
        try:
            return decode(each, "any.txt")
        except TextError as error:
            told = str(error)
        assert len(told.splitlines()) == 1
    return None


# --- reading --------------------------------------------------------------------------


def reading(data: bytes) -> None:
    """Every text is read, twice alike, and every place in the model lies in the text."""
    source = source_of(data)
    if source is None:
        return
    pattern = read(source)
    places_lie_inside(pattern)
    assert read(source) == pattern
    assert same_model(pattern, read(Source(source.path, source.text))) is None


def places_lie_inside(pattern: Pattern) -> None:
    """Every span of a model lies in the text, those of steps in the body of their row."""
    length = len(pattern.source.text)
    for part in (pattern.sections, pattern.definitions, pattern.customs, pattern.terms_stated):
        assert all(0 <= span.start <= span.end <= length for span in spans(part))
    for piece in pattern.pieces:
        assert all(0 <= s.start <= s.end <= length for s in spans((piece.span, piece.notes)))
        for row in piece.rows:
            assert 0 <= row.span.start <= row.body.start <= row.body.end <= row.span.end <= length
            assert all(0 <= s.start <= s.end <= length for s in spans(row.label))
            steps_lie_inside(row)


def steps_lie_inside(row: Row) -> None:
    """The steps of a row lie in its body."""
    length = row.body.end - row.body.start
    assert all(0 <= span.start <= span.end <= length for span in spans(row.steps))


def spans(value: object) -> Iterator[Span]:
    """Every span in a value of the model."""
    if isinstance(value, Span):
        yield value
    elif isinstance(value, tuple) and not isinstance(value, Stitch):
        for part in value:  # of a stitch the steps lie where it is defined
            yield from spans(part)


# --- counting -------------------------------------------------------------------------


def counting(data: bytes) -> None:
    """Every pattern is counted, and its tally keeps to its own rules."""
    source = source_of(data)
    if source is not None:
        keeps_its_rules(tally(read(source)))


def keeps_its_rules(tallied: Tally) -> None:
    """What holds for every tally: places in the text, and figures that fit the verdict."""
    length = len(tallied.pattern.source.text)
    sizes = max(1, len(tallied.pattern.sizes))
    rows = [row.row for row in tallied.rows]
    assert rows == [row for row in tallied.pattern.rows if row in rows]
    assert all(row in rows for row in tallied.pattern.rows if row.label)
    for row in tallied.rows:
        assert all(0 <= span.start <= span.end <= length for span in row.unread)
        assert all(0 <= p.span.start <= p.span.end <= length for p in row.problems)
        if row.verdict is Verdict.UNREAD:
            assert row.unread or row.reason
            assert row.worked is None
            assert not row.problems
        else:
            assert len(row.widths) == sizes
            assert all(width >= 0 for laid in row.widths for width in laid)
            # A row that some sizes leave out may be unknown in these.
            assert row.worked is not None or not all(row.widths)
        if row.worked is not None:
            assert len(row.worked) == sizes
            assert all(count >= 0 for count in row.worked)
        if row.verdict is Verdict.DIFFERS:
            assert row.problems
        if row.verdict is Verdict.AGREES:
            assert row.stated is not None
            assert not row.problems
            makes = zip(row.stated, row.worked or row.stated, row.widths, strict=True)
            assert all(stated == worked for stated, worked, laid in makes if laid)
        if row.verdict is Verdict.UNSTATED:
            assert row.stated is None


# --- tidying --------------------------------------------------------------------------


def tidying(data: bytes) -> None:
    """What is tidied says the same and is left alone the second time, or there is a reason."""
    source = source_of(data)
    if source is None:
        return
    house = House(tidy=layout(data))
    done = tidied(read(source), house)
    if done.reason:
        assert done.after is done.before
        assert "\n" not in done.reason
    if not done.changed:
        return
    again = read(Source(source.path, done.after.source.text, bom=source.bom))
    assert same_model(done.before, again) is None
    assert figures(tally(again)) == figures(tally(done.before))
    if not WRITES_WORDS & {name for name, choice in house.tidy.items() if choice != "as-written"}:
        assert letters(again.source.text) == letters(source.text)
    once_more = tidied(again, house)
    assert not once_more.changed, once_more.after.source.text
    assert not once_more.reason


#: Choices that write words for figures or signs, or others than stood there.
WRITES_WORDS = {"inches", "range", "repeat-counts", "chains"}


def layout(data: bytes) -> dict[str, str | int]:
    """A choice of layout for every setting, which the bytes decide."""
    wishes: dict[str, str | int] = {}
    for number, (name, setting) in enumerate(SETTINGS.items()):
        choices = (setting.usual, "as-written", *setting.choices)
        wishes[name] = choices[(len(data) >> number % 7) % len(choices)]
    return wishes


def figures(tallied: Tally) -> list[tuple[object, ...]]:
    """What a tally says, without the places in the text."""
    return [(row.verdict, row.stated, row.worked, row.widths) for row in tallied.rows]


def letters(text: str) -> list[str]:
    """The letters of a text, however they are set and in whatever order; "x" may become "×"."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    return sorted(re.sub(r"[\W\d_x]+", "", plain))


# --- translating ----------------------------------------------------------------------


def translating(data: bytes) -> None:
    """A second edition makes the same stitches, or there is a reason in a sentence."""
    source = source_of(data)
    if source is None:
        return
    for to, side in (("uk", "us"), ("us", "uk"), ("uk" if len(data) % 2 else "us", "")):
        made = second_edition(source, to, side)
        if isinstance(made, Refusal):
            assert made.why
            assert "\n" not in made.why or made.at >= 0
            assert -1 <= made.at <= len(source.text)
        elif made.changed:
            makes_the_same(source, made, to)
        else:
            assert made.text == source.text


def makes_the_same(source: Source, made: Edition, to: str) -> None:
    """The edition has the rows and figures of the pattern, and is in its new terms now."""
    before = read(source, "us" if to == "uk" else "uk")
    after = read(Source(source.path, made.text), to)
    assert figures(tally(after)) == figures(tally(before))
    assert all(0 <= left.span.start <= left.span.end <= len(source.text) for left in made.left)
    assert second_edition(after.source, to, to) == Edition(made.text, changed=False)


# --- the style sheet ------------------------------------------------------------------

A_PATTERN = """\
TEA COSY

Materials
Hook: 4 mm

Abbreviations
sc = single crochet

COSY
Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around – 12 sts
Rnd 3: *Sc in next st, inc; rep from * around, join. [18]
Finish off and weave in ends.
"""


def style_sheet(data: bytes) -> None:
    """A style sheet is used, or refused in one sentence; no rule of ours falls over it."""
    if reaches_out(data):
        return
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "housestyle.toml")
        write(path, data)
        try:
            house = read_house(path)
            check_house(house, rules())
        except HouseError as error:
            assert_one_sentence(error)
            return
        house.leaves_out(os.path.join(folder, "any.txt"))
        house = house.in_folder_of(os.path.join(folder, "any.txt"))
    pattern = read(Source("any.txt", A_PATTERN))
    assert not proofed(pattern, house).failures
    tidied(pattern, house)


def reaches_out(data: bytes) -> bool:
    """Whether a sheet may name files elsewhere on this machine, which a fuzzer must not open."""
    return b"extends" in data or (b"folders" in data and (b"/" in data or b".." in data))


def assert_one_sentence(error: Exception) -> None:
    """What is told of a fault is for people: one line, with the file that it is about."""
    assert "housestyle.toml" in str(error) or "stet.toml" in str(error)
    assert len(str(error).splitlines()) == 1


def write(path: str, data: bytes) -> None:
    """Write a file that the law is about."""
    with open(path, "wb") as file:
        file.write(data)


@cache
def rules() -> tuple[Rule, ...]:
    """The built-in rules."""
    return load_rules()


def proofed(pattern: Pattern, house: House | None = None) -> Proof:
    """What the built-in rules find in a pattern."""
    return proof(pattern, tally(pattern), house or House(), rules())


# --- stet -----------------------------------------------------------------------------


def stet(data: bytes) -> None:
    """A stet.toml is used or refused; what is let stand in a text stands in it afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        book = os.path.join(folder, "stet.toml")
        write(book, data)
        try:
            entries = read_book(book)
        except HouseError as error:
            assert_one_sentence(error)
        else:
            pattern = read(Source("any.txt", A_PATTERN))
            assert not proofed(pattern, House(stets=entries)).failures
        source = source_of(data)
        if source is not None:
            stands(read(source), book)


def stands(pattern: Pattern, book: str) -> None:
    """Every finding, written into a book, is let stand by it."""
    found = proofed(pattern)
    assert not found.failures, found.failures
    entries = [stet_for(f, found.tally, book, "kept", "2024-05-04") for f in found.findings]
    write(book, "".join(map(entry, entries)).encode())
    assert read_book(book) == tuple(entries)
    assert {*standing(found.findings, found.tally, entries)} == {*found.findings}


LAWS: dict[str, Callable[[bytes], None]] = {
    "reading": reading,
    "counting": counting,
    "tidying": tidying,
    "translating": translating,
    "style-sheet": style_sheet,
    "stet": stet,
}


def held(name: str, data: bytes, seconds: float = MOST_SECONDS) -> None:
    """Try a law on an input, within its time.  Raises what the law raises, or SlowError."""
    began = time.process_time()
    LAWS[name](data)
    took = time.process_time() - began
    if took > seconds:
        raise SlowError(f"{name} took {took:.1f} s for {len(data)} bytes")
