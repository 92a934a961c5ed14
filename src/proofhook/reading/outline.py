"""The outline of a pattern: title, sections, pieces and rows, from the lines of the text."""

from __future__ import annotations

import re

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.passages import passages
from proofhook.pattern import (
    NO_WORDS,
    Chain,
    Each,
    Evenly,
    Group,
    Join,
    Note,
    OwnWords,
    Pattern,
    Piece,
    Repeat,
    Ring,
    Row,
    RowsReference,
    Section,
    Skip,
    Step,
    Stitch,
    Total,
    Unit,
    Unread,
    Which,
    Work,
    every_stitch,
)
from proofhook.reading.glossary import chain_customs, definitions_of, local_stitches
from proofhook.reading.labels import RUN_ON, Found, free_label_at, label_at
from proofhook.reading.lexer import Vocabulary, make_room
from proofhook.reading.shapings import BEGINS as SHAPING_BEGINS
from proofhook.reading.shapings import begins_even
from proofhook.reading.sizes import fold_sizes, size_count, size_names
from proofhook.reading.structure import read_row
from proofhook.reading.words import LONGEST_LINE, SIZED_FILL, evened, sized
from proofhook.records import NamedTuple, dataclass, replace
from proofhook.text import Source, Span
from proofhook.trade.headings import NO_HEADINGS, OwnHeadings, heading_kind, leading_heading
from proofhook.trade.terms import evidence, statements

#: Sections in which a line is no row unless it is labelled as one.
QUIET = frozenset(
    "materials gauge abbreviations special notes size level terms caution care copyright contact "
    "chart description".split()
)
#: Sections in which bare numbers and unlabelled lines are never rows.
LISTS = QUIET | {"finishing", "title"}

#: A heading of Markdown, which may name a stitch: "## Stage 3: decreasing".
MARKED_HEADING = expression(r"\s*#{1,6}\s")

#: Lists after which, past a blank line, a chain or a ring begins the first piece.
_MAY_END_AT_A_BLANK = frozenset("abbreviations special terms materials gauge level size".split())

MAKE = expression(
    r"\b(?:make|work|crochet)\s*(?:x\s*)?(?P<a>\d+|one|two|three|four|five|six|seven|eight)\b|[(\[]\s*x?\s*(?P<b>\d+)\s*(?:x|pcs?|pieces?)?\s*[)\]]|\bx\s*(?P<c>\d+)\s*$|(?:-|\u2013|\u2014)\s*(?P<d>\w+)\s+of\s+them",
    re.I,
)
#: "Make 4 with Rose." on a line below the heading.
_MAKE_BELOW = expression(
    r"(?m)^[\s*_(>-]*make\s+(?:\d{1,2}|one|two|three|four|five|six|seven|eight)\b"
    r"(?=[ \t]*(?:[.:,;)*]|$)|[ \t]+(?:in|with|of|using|alike|the\s+same|pieces?|pcs)\b)",
    re.I,
)
_COUNT = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}


class Line(NamedTuple):
    """A physical line: where it stands in the text."""

    start: int
    end: int


class Heading(NamedTuple):
    """The heading of a piece: where it stands, its name, how many are made."""

    span: Span
    name: str
    make: int | None


@dataclass(slots=True)
class OpenRow:
    """A row that may go on in the next line.  ``absorb``: its label stands alone."""

    label: Found | None
    start: int
    body: int
    end: int
    absorb: bool
    indent: int
    sizes: tuple[int, ...] | None


def read(source: Source, terms: str = "", own: OwnWords = NO_WORDS) -> Pattern:
    """Read a text into a Pattern.  Never fails: what is not understood is marked unread.

    ``terms`` ("us", "uk") is for a text of which they are known; else they are looked for.
    ``own`` are the words of the house: stitches and headings over those of the trade.
    """
    make_room()
    flat = evened(source.text)
    lines = _lines(source)
    parts = [flat[start : start + len(words)] for start, words in passages(source.text)]
    sizes = size_count(parts, [line.end for line in lines])
    side, statement = _terms(source.text)
    side = terms or side
    plain = Vocabulary(side)
    definitions = definitions_of(flat, lines, own.headings)
    vocabulary = Vocabulary(side, local_stitches(definitions, plain, own))
    names = size_names(flat, sizes)
    text = fold_sizes(flat, sizes)
    outliner = Outliner(source, text, vocabulary, names, own.headings)
    outliner.walk()
    pieces, sections = tuple(outliner.pieces), tuple(outliner.sections)
    return Pattern(
        source,
        _title(source),
        side,
        statement,
        names,
        sections,
        pieces,
        definitions,
        chain_customs(text, lines, vocabulary, pieces),
        own,
    )


def _terms(text: str) -> tuple[str, Span | None]:
    """US or UK, and where it is said; weighed from the words where it is not."""
    said = statements(text)
    if len(said) == 1:
        return said[0].side, said[0].spans[0]
    found = evidence(text)
    where = next((s.spans[0] for s in found.signs if s.weight == "stated" and s.spans), None)
    return found.terms, where


def _title(source: Source) -> str:
    for line in range(1, min(len(source.line_starts()), 20) + 1):
        words = source.quote(source.line_span(line)).strip(" #*_=-\t")
        if words:
            return words
    return ""


def _lines(source: Source) -> list[Line]:
    starts = source.line_starts()
    ends = [*starts[1:], len(source.text)]
    return [
        Line(start, start + len(source.text[start:end].rstrip("\r\n")))
        for start, end in zip(starts, ends, strict=True)
    ]


def _indent(words: str) -> int:
    return len(words) - len(words.lstrip())


class Outliner:
    """Walks the lines once and gathers sections, pieces and rows."""

    def __init__(
        self,
        source: Source,
        text: str,
        vocabulary: Vocabulary,
        sizes: tuple[str, ...],
        own: OwnHeadings = NO_HEADINGS,
    ) -> None:
        self.own = own
        self.source = source
        self.text = text
        self.vocabulary = vocabulary
        self.size_names = sizes
        self.sections: list[Section] = []
        self.pieces: list[Piece] = []
        self._rows: list[Row] = []
        self._piece: Heading | None = None
        self._pending: Heading | None = None
        self._open: OpenRow | None = None
        self._number = 0
        self._kind = "title"
        self._kind_start = 0
        self._kind_heading: Span | None = None
        self._only: tuple[int, ...] | None = None
        self._last_words = ""
        self._detached = False
        self._width = 0

    # --- the walk -------------------------------------------------------------------

    def walk(self) -> None:
        """Read every line of the text."""
        blank_before = True
        lines = _lines(self.source)
        footers = _footers(self.text, lines)
        for number in footers:
            foot = lines[number]
            blank = " " * (foot.end - foot.start)
            self.text = self.text[: foot.start] + blank + self.text[foot.end :]
        self._width = wrap_width([self.text[line.start : line.end] for line in lines])
        for number, line in enumerate(lines):
            words = self.text[line.start : line.end].strip()
            if number in footers:
                if self._open is not None and not _ENDED.search(self._body()):
                    continue  # the row goes on, on the next page
                words = ""
            if not words.strip(" =-_*~#`|"):
                if self._open is not None and not (self._open.absorb and not self._body()):
                    self._close_row()
                blank_before = True
                self._only = None
                continue
            if not words.startswith(("```", "{%", "<!--")):
                self._line(line, blank_before)
            self._last_words = words
            blank_before = False
        self._close_row()
        self._close_piece()
        self._close_section(len(self.text))

    def _line(self, line: Line, blank_before: bool) -> None:
        if self._open is not None and line.end <= self._open.end:
            return  # it was taken up with the lines before
        line, sizes = self._for_sizes(line)
        words = self.text[line.start : line.end].strip()
        found = self._label(line, blank_before)
        if found is not None and found.bare and not blank_before and _unbalanced(self._body()):
            found = None
        if found is not None and not blank_before and self._breaks_before_rows(words):
            assert self._open is not None
            self._open.end = line.end
            return
        if found is None and self._continues(line, words, blank_before):
            assert self._open is not None
            self._open.end = line.end
            return
        if found is not None:
            self._start_row(line, found, sizes)
            return
        cut = RUN_ON.search(self.text, line.start, line.end)
        if cut is not None and label_at(self.text, cut.end(), line.end) is not None:
            self._line(Line(line.start, cut.start()), blank_before)
            self._close_row()
            self._line(Line(cut.end(), line.end), False)
            return
        inline = self._heading_before_label(line)
        if inline is not None:
            self._line(inline, False)
            return
        if self._heading(line, words, blank_before):
            return
        self._close_row()
        self._unlabelled(line, sizes, blank_before)

    def _breaks_before_rows(self, words: str) -> bool:
        """ "... on the next 14" at the end of a line, "rows. 25 sts." on the next: no label."""
        if self._open is None or not words.startswith(("rows", "rnds", "rounds")):
            return False
        return _SO_MANY.search(self._body()) is not None

    # --- rows -----------------------------------------------------------------------

    def _steps(self, start: int, end: int) -> tuple[Step, ...]:
        return read_row(self.text[start:end].strip(), self.vocabulary)

    def _label(self, line: Line, blank_before: bool) -> Found | None:
        """The label that begins the line, where it is one."""
        found = label_at(self.text, line.start, line.end)
        if found is None:
            return None
        body = self.text[found.body : line.end]
        if found.bare:
            return found if self._bare_is_label(found, line, blank_before) else None
        if re.match(r"[\s:.\u2013-]*(?:=|measures?\b)", body):
            return None
        if self._kind in QUIET and body.strip():
            steps = self._steps(found.body, line.end)
            if not works(steps):
                return None
            if self._kind == "gauge" and rx.search(r"=|\bmeasures?\b", body):
                return None
        if not body.strip() and not found.marked and found.label.first is None:
            return None
        return found

    def _bare_is_label(self, found: Found, line: Line, blank_before: bool) -> bool:
        """A bare number is a label where rows may stand and its body is an instruction."""
        steps = self._steps(found.body, line.end)
        if self._kind in QUIET:
            may_end = blank_before and self._kind in _MAY_END_AT_A_BLANK
            return found.label.first == (1,) and _begins(steps) and (may_end or _states(steps))
        if not works(steps) and not any(isinstance(step, Total) for step in steps):
            return False
        first = found.label.first
        stopped = rx.match(r"\s*\W|\s{3,}", self.text[found.label.span.end :])
        if not stopped and first is not None and first[0] != self._number + 1:
            return False  # "30 ch, ss into first ch to make a ring"
        unread = any(isinstance(step, Unread) for step in steps)
        if unread and not any(isinstance(step, Total) for step in steps):
            return first is not None and first[0] == self._number + 1
        return True

    def _start_row(self, line: Line, found: Found, sizes: tuple[int, ...] | None) -> None:
        self._close_row()
        if self._kind in LISTS:
            self._close_section(line.start)
            self._kind = "instructions"
        self._take_number(found)
        only = ONLY_IN_LABEL.search(found.label.text)
        if only is not None and len(self.size_names) > 1:
            sizes = self._named_sizes(only["names"]) or sizes
        empty = not self.text[found.body : line.end].strip()
        indent = _indent(self.text[line.start : line.end])
        self._open = OpenRow(
            found, found.label.span.start, found.body, line.end, empty, indent, sizes
        )

    def _take_number(self, found: Found) -> None:
        """Open a new piece under a new heading, or where the numbers begin again."""
        first = found.label.first
        again = first is not None and first[0] == 1 and self._number >= 1
        if first is not None and not again and self._pending is None and first[0] < self._number:
            self._detached = True  # the numbers go back: where this row stands is not said
        if self._pending is not None or again:
            self._close_piece()
        if first is not None:
            self._number = (found.label.last or first)[0]

    def _next_in_paragraph(self) -> OpenRow | None:
        """Where several rows stand in one paragraph, "... Join. 3rd rnd: ...", the row after."""
        opened = self._open
        if opened is None:
            return None
        cut = RUN_ON.search(self.text, opened.body, opened.end)
        if cut is None:
            return None
        found = label_at(self.text, cut.end(), opened.end)
        if found is None:
            return None
        end, opened.end = opened.end, cut.start()
        return OpenRow(found, found.label.span.start, found.body, end, False, opened.indent, None)

    def _body(self) -> str:
        """The words of the open row, of an overlong one the last."""
        opened = self._open
        if opened is None:
            return ""
        return self.text[max(opened.body, opened.end - LONGEST_LINE) : opened.end].strip()

    def _continues(self, line: Line, words: str, blank_before: bool) -> bool:
        """Whether the line goes on with the row that is open."""
        opened = self._open
        if opened is None or blank_before:
            return False
        if opened.absorb:
            return leading_heading(words, self.own) is None or bool(TOTAL_LINE.match(words))
        if heading_kind(words, self.own):
            return False
        body = self._body()
        bullet = rx.match(r"[-*\u2022]\s", words)
        if _indent(self.text[line.start : line.end]) > opened.indent + 1 and not bullet:
            return True
        if words[0] == SIZED_FILL or _unbalanced(body):
            return True
        if UNFINISHED.search(body, max(0, len(body) - 12)) and (
            not body[-1:].isdigit()
            or (len(self._last_words) > 48 and not _DASHED_TOTAL.search(body))
        ):
            return True
        if REPEATS_BODY.match(words) and rx.search(r"\*|\u2020", body):
            return True
        if opened.label is not None and COUNTS_ONLY.fullmatch(words):
            return True
        closed = body[-1:] in ")]}"
        if closed and AFTER_A_GROUP.match(words):
            return True
        total = TOTAL_LINE.match(words) and not _BRACKET_WORKED.match(words)
        if re.search(r"[.!?)\]}\"]$", body):
            if self._breaks_off(words):
                return True
            return bool(total and not (closed and re.search(r"\d\D{0,20}$", body)))
        if total:
            return True
        if leading_heading(words, self.own):
            return False
        if self._is_full(words):
            return True
        wrapped = len(self._last_words) > 48 and not _REMARK.match(words)
        return wrapped and (words[0].islower() or words[0].isdigit() or words[0] in "(*[")

    def _is_full(self, words: str) -> bool:
        """Whether the first of these words had no room at the end of the line before."""
        first = words.split(maxsplit=1)[0]
        return bool(self._width) and len(self._last_words) + 1 + len(first) > self._width

    def _breaks_off(self, words: str) -> bool:
        """Whether a row whose count is still to come goes on with a sentence on the next line."""
        opened = self._open
        if opened is None or opened.label is None or not self._is_full(words):
            return False
        return not _states(self._steps(opened.body, opened.end)) and works(
            read_row(words, self.vocabulary)
        )

    def _close_row(self) -> None:
        following = self._next_in_paragraph()
        self._close_one()
        while following is not None:
            assert following.label is not None
            self._take_number(following.label)
            self._open = following
            following = self._next_in_paragraph()
            self._close_one()

    def _close_one(self) -> None:
        opened, self._open = self._open, None
        if opened is None:
            return
        start, end = opened.body, opened.end
        while end > start and self.text[end - 1].isspace():
            end -= 1
        while start < end and self.text[start].isspace():
            start += 1
        body = Span(start, end)
        label = opened.label.label if opened.label else None
        if label is None and start == end:
            return
        steps = read_row(self._with_total_apart(start, end), self.vocabulary)
        if label is not None and ONE_FIGURE.fullmatch(self.text, start, end):
            figure = int(self.text[start:end].split()[0].rstrip("."))
            width = Span(0, end - start)
            steps = (Total(width, (Unit((figure,), "", None, width),)),)
        if label is not None and label.kind != "free" and _states(steps) and not _does(steps):
            steps = (_even(), *steps)
        span = Span(opened.start, max(end, label.span.end if label else end))
        self._add_row(Row(span, body, label, steps, opened.sizes))

    def _with_total_apart(self, start: int, end: int) -> str:
        """The words of a row; a last line that only counts is set apart as its total."""
        words = self.text[start:end]
        at = max(self.source.text.rfind("\n", start, end), self.source.text.rfind("\r", start, end))
        if at < 0 or not COUNTS_ONLY.fullmatch(self.text, at + 1, end):
            return words
        return words[: at - start] + "=" + words[at - start + 1 :]

    def _add_row(self, row: Row) -> None:
        self._rows.append(replace(row, detached=True) if self._detached else row)
        self._detached = False

    def _unlabelled(self, line: Line, sizes: tuple[int, ...] | None, blank_before: bool) -> None:
        """A line without a number: an instruction, a free label with one, or prose."""
        if MARKED_HEADING.match(self.text, line.start, line.end):
            return
        lists = self._kind in QUIET and self._kind not in ("notes", "description")
        ends = blank_before and self._kind in _MAY_END_AT_A_BLANK
        if lists and not ends and not self._lays_chain(line):
            return
        start = _content(self.text, line)
        even = None if lists or not self._rows else self._ends_even(start)
        if even is not None:
            indent = _indent(self.text[line.start : line.end])
            self._open = OpenRow(None, start, start, even, False, indent, sizes)
            return
        quiet = self._kind in LISTS and not self._rows
        free = None if quiet else free_label_at(self.text, line.start, line.end)
        later = (
            None if quiet and self._kind not in ("title", "terms") else self._chain_told_in(line)
        ) or start
        goes_on = False
        for found, begin in ((free, free.body if free else start), (None, start), (None, later)):
            stop = line.end
            steps = self._steps(begin, stop)
            if any(isinstance(s, Unread) for s in steps) and not _states(steps):
                stop, steps = self._first_sentence(begin, stop, steps)
            shapes = SHAPING_BEGINS.match(self.text, begin, line.end) is not None
            if not (works(steps) or shapes) or _is_remark(steps) or _only_slips(steps):
                self._detached |= any(isinstance(s, (Join, Skip)) for s in steps)
                goes_on |= bool(GOES_ON_IN_PROSE.search(self.text, begin, stop))
                continue
            if not shapes and any(isinstance(s, Unread) for s in steps) and not _states(steps):
                goes_on |= bool(GOES_ON_IN_PROSE.search(self.text, begin, stop))
                continue
            if not shapes and not _mostly_instruction(steps, stop - begin):
                continue
            if quiet and not _begins(steps):
                continue
            if self._kind == "finishing" and not _states(steps):
                continue
            if self._pending is not None and (not quiet or _begins(steps)):
                self._close_piece()
            if lists:
                self._close_section(line.start)
                self._kind = "instructions"
            self._open = OpenRow(
                found,
                found.label.span.start if found else begin,
                begin,
                stop,
                False,
                _indent(self.text[line.start : line.end]),
                sizes,
            )
            return
        if goes_on and not self._ends_at_a_count(Span(start, line.end)):
            self._detached = True

    def _ends_even(self, start: int) -> int | None:
        """Where "Cont in patt until ... 79 sts." ends, which may be a few lines on."""
        if not begins_even(self.text, start):
            return None
        ends = [
            found.end() for found in _TO_LINE_END.finditer(self.source.text, start, start + 400)
        ]
        for end in ends[:4]:
            line = self.source.text.rfind("\n", start, end) + 1 or start
            if line > start and (
                label_at(self.text, line, end) or _HEADED.match(self.text, line, end)
            ):
                return None
            if _states(self._steps(start, end)):
                return end
        return None

    def _ends_at_a_count(self, told: Span) -> bool:
        """ "Continue to increase in this way until you have 48 sts": what the next row stands on.

        It is taken for a row that is not read, and of which only the total is known.
        """
        found = _UNTIL_COUNT.search(self.text, told.start, told.end)
        if found is None or not self._rows:
            return False
        figure = found["figure"]
        at = Span(found.start("figure") - told.start, found.end("figure") - told.start)
        count = (int(figure),) if figure.isdigit() else sized(figure[0])
        total = Total(at, (Unit(count, "st", None, at, found["unit"]),))
        told_whole = Span(0, told.end - told.start)
        self._add_row(Row(told, told, None, (Unread(told_whole), total), self._only))
        return True

    def _lays_chain(self, line: Line) -> bool:
        """Whether a line in a list can only be the foundation chain: "Ch 15", nothing else."""
        steps = self._steps(_content(self.text, line), line.end)
        told = [s for s in steps if not isinstance(s, Note)]
        explains = self._kind in ("abbreviations", "special", "terms")
        if explains and not (len(told) == 1 and _CHAIN_LINE.match(self.text, line.start, line.end)):
            return False
        return (
            _begins(steps)
            and isinstance(told[0], Chain)
            and max(told[0].count) >= 8
            and _mostly_instruction(steps, line.end - line.start)
        )

    def _first_sentence(
        self, begin: int, end: int, steps: tuple[Step, ...]
    ) -> tuple[int, tuple[Step, ...]]:
        """ "Ch 20. Then it is all in one go": the sentence that lays the chain, by itself."""
        stop = re.compile(r"[.!]\s").search(self.text, begin, end)
        if stop is None:
            return end, steps
        alone = self._steps(begin, stop.start() + 1)
        return (stop.start() + 1, alone) if works(alone) and _begins(alone) else (end, steps)

    def _chain_told_in(self, line: Line) -> int | None:
        """ "First the mouth. Chain 48 and join.": where the words begin that lay the chain.

        "Leaving a 30 cm tail, ch 18" lays one as well.
        """
        for stop in rx.finditer(
            r"(?<=[.!?])\s+(?=(?:With|Using|In|Ch|Chain|Make|Begin|Start|Work|Foundation)\b)"
            r"|\A\s*Leav(?:e|ing)\b[^.;\n]{3,60}?,\s+(?=[Cc]h(?:ain)?\b)",
            self.text[line.start : line.end],
        ):
            begin = line.start + stop.end()
            steps = self._steps(begin, line.end)
            if works(steps) and _begins(steps) and len(steps) < 8:
                return begin
        return None

    # --- sizes ----------------------------------------------------------------------

    def _for_sizes(self, line: Line) -> tuple[Line, tuple[int, ...] | None]:
        """ "Size L only: Row 9: ...": the rest of the line, and the sizes it is for."""
        if len(self.size_names) < 2:
            return line, None
        found = FOR_SIZES.match(self.text, line.start, line.end)
        if found is None:
            return line, self._only
        words = found["named"] or found["names"] or "all"
        sizes = self._named_sizes(words)
        if sizes is None and found["names"] and "all" not in words.lower():
            return line, self._only  # "Front legs only:"
        rest = Line(found.end(), line.end)
        if not self.text[rest.start : rest.end].strip():
            self._only = sizes
            return line, sizes
        return rest, sizes

    def _named_sizes(self, words: str) -> tuple[int, ...] | None:
        names = [name.lower() for name in self.size_names]
        low = words.lower()
        if "all" in low:
            return None
        whole = [i for i, name in enumerate(names) if rx.search(r"[^\w/]", name) and name in low]
        for i in whole:  # "3-6 months" is one name, and no range
            low = low.replace(names[i], " ")
        parts = rx.findall(r"[\w/]+", low)
        chosen = [
            i for i, name in enumerate(names) if i in whole or name in parts or name == low.strip()
        ]
        if rx.search(r"\b(?:to|-|\u2013|\u2014)\b|-|\u2013|\u2014", low) and len(chosen) == 2:
            chosen = list(range(chosen[0], chosen[1] + 1))
        if not chosen:
            chosen = [int(p) - 1 for p in parts if p.isdigit() and 0 < int(p) <= len(names)]
        return tuple(chosen) or None

    # --- headings, pieces and sections ----------------------------------------------

    def _heading_before_label(self, line: Line) -> Line | None:
        """ "HEAD: Rnd 1: ...": take the heading, give back the rest."""
        found = HEADED_LABEL.match(self.text, line.start, line.end)
        if found is None or label_at(self.text, found.end(), line.end) is None:
            return None
        name = found["name"].strip(" *#_")
        if heading_kind(name, self.own) in QUIET:
            return None
        self._close_row()
        self._pending = Heading(Span(found.start("name"), found.end("name")), name, _make(name))
        return Line(found.end(), line.end)

    def _heading(self, line: Line, words: str, blank_before: bool) -> bool:
        """Whether the line is a heading, of a section or of a piece."""
        known = leading_heading(self.text[line.start : line.end], self.own)
        if known is not None and known.kind not in ("instructions", "edging"):
            if known.kind == "finishing" or known.kind in QUIET:
                rest = self.text[line.start + known.rest : line.end]
                if not (
                    known.kind == "title"
                    or (
                        rest.strip()
                        and works(self._steps(line.start, line.end))
                        and known.kind not in QUIET
                    )
                ):
                    self._open_section(line, known.kind)
                    return True
        if not _looks_like_heading(words, blank_before or self._open is None or bool(self._body())):
            return False
        bare = words.strip(" #*_=:-\u2013~")
        if known is None and self._names_a_colour(bare):
            return False
        if self._kind in QUIET and known is None and not _stands_out(words, blank_before):
            return False
        steps = self._steps(line.start, line.end)
        named = blank_before and _is_name(bare)
        if works(steps) and not named and not rx.search(r"\bmake\b|\bx\s*\d", words, re.I):
            return False
        self._close_row()
        if known is None or known.kind == "edging":
            start = line.start + self.text[line.start : line.end].index(words)
            self._pending = Heading(Span(start, start + len(words)), bare, _make(words))
        if self._kind in LISTS and (self._kind != "title" or not self._first_line(line)):
            self._open_section(line, "instructions")
        return True

    def _names_a_colour(self, words: str) -> bool:
        """Whether a line says no more than the yarn: "Change to Ink", under a heading "Ink"."""
        named = _COLOUR_LINE.fullmatch(words)
        if named is None:
            return False
        if named["changed"]:
            return True
        if self._pending is None:
            return False
        if named["taken"]:
            return True
        listed = (s.body for s in self.sections if s.kind == "materials")
        word = re.compile(rf"(?<!\w){re.escape(named['colour'])}(?!\w)")
        return any(word.search(self.text, span.start, span.end) for span in listed)

    def _first_line(self, line: Line) -> bool:
        return not self.text[: line.start].strip()

    def _open_section(self, line: Line, kind: str) -> None:
        self._close_row()
        self._close_section(line.start)
        self._kind = kind
        self._kind_start = line.start
        self._kind_heading = Span(line.start, line.end)

    def _close_section(self, end: int) -> None:
        if end > self._kind_start and self._kind != "instructions":
            start = self._kind_heading.start if self._kind_heading else self._kind_start
            self.sections.append(Section(self._kind, self._kind_heading, Span(start, end)))
        self._kind_start = end
        self._kind_heading = None

    def _close_piece(self) -> None:
        """Put the rows so far into a piece; the pending heading opens the next."""
        if self._rows:
            first = self._rows[0].span.start
            head = self._piece.span if self._piece else None
            start = min(first, head.start) if head else first
            make = self._piece.make if self._piece else None
            if head and make is None:
                said = _MAKE_BELOW.search(self.source.text[head.end : first])
                make = _make(said.group()) if said else None
            self.pieces.append(
                Piece(
                    self._piece.name if self._piece else "",
                    Span(start, self._rows[-1].span.end),
                    head,
                    tuple(self._rows),
                    make,
                )
            )
            self._rows = []
        if self._pending is not None:
            self._piece, self._pending = self._pending, None
            self._number = 0


_HEADED = expression(r"\s*[A-Z][A-Za-z ]{2,30}:")
_TO_LINE_END = expression(r"[^\r\n]+")
#: "... on the next 14", of rows.
_SO_MANY = expression(
    rf"\b(?:next|foll|following|last|every|these) (?:\d{{1,3}}|[\U000f0000-\U000ff000]{SIZED_FILL}*)\Z",
    re.I,
)
#: "(Try on! The foot should reach ...": a sentence in brackets, on a line of its own.
_REMARK = expression(r"\([A-Z][a-z]+(?: [a-z]+)*[ ,][^()]*?(?:[.!]|$)")
#: "... to end. \u2014 6": a row that ends in its total.
_DASHED_TOTAL = expression(r"[.;)*\]] ?[-\u2013\u2014]+ \d{1,4}$")
#: Where a row has come to its end.
_ENDED = expression(r"[.!?)\]}\"]$")
_FOOTER = expression(r"(?:^|\s{2,})(?:page|p\.?)\s+\d{1,3}(?:\s+(?:of|/)\s+\d{1,3})?$", re.I)
#: So many lines must come near the longest, a quarter of all, for them to be wrapped there.
_NEAR_THE_END, _WRAPPED_LINES, _WIDEST = 10, 8, 100


def wrap_width(lines: list[str]) -> int:
    """At how many characters the lines of a text are broken; 0 where they are not."""
    lengths = [len(line.rstrip()) for line in lines if line.strip()]
    longest = max(lengths, default=0)
    near = sum(length >= longest - _NEAR_THE_END for length in lengths)
    wrapped = near >= _WRAPPED_LINES and near * 4 >= len(lengths) and longest <= _WIDEST
    return longest if wrapped else 0


def _footers(text: str, lines: list[Line]) -> frozenset[int]:
    """The feet of pages ("... page 2 of 3"), with the blank lines around them."""
    found: set[int] = set()
    for number, line in enumerate(lines):
        if _FOOTER.search(text[line.start : line.end].strip()):
            found.add(number)
            for beside in (number - 1, number + 1):
                if 0 <= beside < len(lines):
                    blank = not text[lines[beside].start : lines[beside].end].strip()
                    found |= {beside} if blank else set()
    return frozenset(found)


TOTAL_LINE = expression(
    r"[(\[{\u2013\u2014=<-]\s*(?:=\s*)?(?:\d|[\U000f0000-\U000ff000])|(?:total|stitch count|st count|you should|"
    r"you will have|there (?:are|should|will)|join\b|turn\b|count:)",
    re.I,
)
#: "(2 sc, inc) x6 = 24": a bracket that is worked, and no total.
_BRACKET_WORKED = expression(
    r"[(\[{][^()\[\]{}]*[a-z][^()\[\]{}]*[)\]}]\s*(?:x|\*|\d|rep|times|in\b|around|all\b)", re.I
)
#: A line that can only go on with the row above: what it repeats stands there.
REPEATS_BODY = expression(r"rep(?:eat)?\.?\s+(?:from|between|the\s+last\s+rep)\b", re.I)
#: What a bracket at the end of a line is: a group that goes somewhere, or so often.
AFTER_A_GROUP = expression(
    r"(?:in|into|all\s+in|around|twice|\d{1,2}\s+(?:more\s+)?times|x\s?\d{1,2})\b(?!\s*[:=])"
)
UNFINISHED = expression(
    r"(?:[,\u2013\u2014;+&*]|\b(?:and|in|of|to|the|next|each|work|from|with|or|a|then|last|first|skip|sk|ch)|\s-|\d)$",
    re.I,
)
#: What is said in few words: up to forty characters, no blank at the ends.
_SAID = r"[^\s:.](?:[^:.]{0,38}?[^\s:.])??"
FOR_SIZES = expression(
    rf"\s*(?:[-*\u2022]\s+)?\**(?:for\s+)?(?:the\s+)?(?P<named>sizes?\s+{_SAID})(?:\s+only)?\**\s*[:.]\**\s*"
    rf"|\s*(?:[-*\u2022]\s+)?\**(?:for\s+)?(?P<names>(?:the\s+)?(?:\w+\s+)?sizes?\s+{_SAID}|(?:[\w/]+(?:(?:\s*[,&-]\s*|\s+(?:and|to)\s+)[\w/]+){{0,4}})|[\w/]+(?:[ \t]+[\w/]+){{1,2}})(?:\s+sizes?)?(?:\s+only)\**\s*[:.\u2013-]\**\s*"
    r"|\s*(?:for\s+)?(?P<all>all\s+sizes)\s*[:.]\s*",
    re.I,
)
#: A line that says how many there are and nothing else: "20 sc, 19 ch-1 sps".
_ONE_COUNT = r"(?:\d{1,4}|[\U000f0000-\U000ff000]\U0010fffd*) (?:[a-zA-Z]{1,12}|ch-\d{1,2} ?sps?)(?: (?:sts?|sps?|stitches|spaces|crochet|crochets|chs?|chains?))?"
COUNTS_ONLY = expression(rf"\s*{_ONE_COUNT}(?:(?:,|;| and| \+| &) {_ONE_COUNT})*[.]?\s*", re.I)
#: "Rounds 7-11: 30": a row of which only the count is told.
ONE_FIGURE = expression(r"\d{1,4}(?: st(?:s|itches)?)?\.?", re.I)
#: "Rnd 6 (M and L only)".
ONLY_IN_LABEL = expression(
    r"[(\[]\s*(?:for\s+)?(?:sizes?\s+)?(?P<names>[^()\[\]]{1,30}?)\s+(?:sizes?\s+)?only\s*[)\]]",
    re.I,
)
#: Prose that works on without a label: what it leaves is not known.
GOES_ON_IN_PROSE = expression(
    r"\b(?:until|continu\w+(?! (?:to )?(?:stuff|fill))|repeat|rep|decreas\w+|increas\w+|go back)\b",
    re.I,
)
#: "... until there are 48 sts", "until 12 sts remain".
_UNTIL_COUNT = expression(
    rf"\b(?:until|till|til)\b[^.;:]{{0,30}}?(?<![\w.])(?P<figure>\d{{1,4}}|[\U000f0000-\U000ff000]{SIZED_FILL}*) (?:more )?(?P<unit>sts?|stitches)\b",
    re.I,
)
HEADED_LABEL = expression(
    r"\s*(?:[#*_]+\s*)?(?P<name>[A-Z][A-Za-z' ]{1,30}(?:\d{1,2})?(?:\s*\([^()]{1,20}\))?)\s*(?:\*\*\s*)?(?:[:\u2013\u2014]|\.(?:\s*\.){0,3}|,(?=\s*(?:[Rr]ow|[Rr]nd|[Rr]ound)\s*\d))\s*(?:\*\*\s*)?(?=(?:R\d|[Nn]ext (?:row|rnd|round)\b|[Rr]ow|[Rr]nd|[Rr]ound|Row|Rnd|Round|RND|ROW|ROUND|\d+(?:st|nd|rd|th)))"
)


#: "Ch 26.": a line that says no more, in whatever list it stands.
_CHAIN_LINE = expression(
    r"\s*(?:(?:start|foundation)(?:ing)?(?: chain| ch)?\s*[:\u2013-]\s*)?"
    r"(?:(?:ch|chain|make|work)\b ?\S|\d{1,3} ?ch\b)",
    re.I,
)
#: A line that says which yarn a piece begins with, or goes on with.
_COLOUR_LINE = expression(
    r"(?P<taken>(?:[Ii]n|[Ww]ith|[Uu]sing|(?:[Ss]tart|[Bb]egin)(?:n?ing)? (?:with|in)|(?P<changed>[Cc]hange|[Ss]witch) to) )?"
    r"(?P<colour>(?:(?:colou?r|yarn|shade) )?[A-Z][\w'-]*(?: [A-Z][\w'-]*)?)",
)
_BULLET = expression(r"\s*(?:(?:[-\u2022>\u00b7]|\*(?=\s)|\d{1,2}[.)](?=\s))\s*)?(?:\*\*(?=\w))?")


def _content(text: str, line: Line) -> int:
    """Where the words of a line begin, bullets and marks left out."""
    found = _BULLET.match(text, line.start, line.end)
    return found.end() if found else line.start


def works(steps: tuple[Step, ...]) -> bool:
    """Whether the steps hold an instruction that makes or uses stitches."""
    return any(
        isinstance(step, (Work, Chain, Repeat, Each, RowsReference, Ring, Group)) for step in steps
    )


def _does(steps: tuple[Step, ...]) -> bool:
    """Whether anything is said to be done, or is not understood."""
    return works(steps) or any(isinstance(step, (Unread, Skip, Evenly)) for step in steps)


def _even() -> Work:
    """ "Rows 2-4: (12)": a label and a total mean that the work goes on even."""
    return every_stitch(Span(0, 0), Stitch("st", "", 1, 1))


def _mostly_instruction(steps: tuple[Step, ...], length: int) -> bool:
    """Whether a line without a label is an instruction and not prose that names stitches."""
    if any(isinstance(s, Chain) and max(s.count) > 4 for s in steps) and (
        length < 70 or isinstance([s for s in steps if not isinstance(s, Note)][-1], Join)
    ):
        return True
    covered = 0
    for step in steps:
        width = step.span.end - step.span.start
        if isinstance(step, Note) and step.kind in ("colour", "made"):
            length -= width
        elif not isinstance(step, (Note, Unread)):
            covered += width
    return covered >= (0.35 if _states(steps) else 0.5) * length


def _only_slips(steps: tuple[Step, ...]) -> bool:
    """ "Sl st, cut yarn.": the end of a row above, no row."""
    made = [s for s in steps if isinstance(s, (Work, Chain, Group, Repeat, Each, RowsReference))]
    slips = [isinstance(s, Work) and s.stitch.role == "slip" and not s.count for s in made]
    return bool(slips) and all(slips)


def _is_remark(steps: tuple[Step, ...]) -> bool:
    """ "Put the eyes between Rounds 8 and 9, with 9 dc between them." is no row."""
    first = steps[0] if steps else None
    return isinstance(first, Note) and first.kind == "note" and not _states(steps)


def _states(steps: tuple[Step, ...]) -> bool:
    return any(isinstance(step, Total) for step in steps)


def _begins(steps: tuple[Step, ...]) -> bool:
    """Whether a line begins a piece: a chain or a ring, and little else unread."""
    if any(isinstance(step, Unread) for step in steps):
        return False
    steps = tuple(s for s in steps if not isinstance(s, Note))
    if len(steps) == 1 and isinstance(steps[0], Chain):
        return max(steps[0].count) > 1  # "Ch 3.", and the first row goes into it
    if any(isinstance(s, Work) and _into_ring(s) for s in steps[:2]):
        return True
    first = steps[0] if steps else None
    if isinstance(first, Work) and first.stitch.role == "foundation" and first.place is None:
        return first.count is not None  # "Fsc 80, join in rnd"
    return any(
        isinstance(step, (Ring, Join)) or (isinstance(step, Chain) and max(step.count) > 3)
        for step in steps[:3]
    ) and any(isinstance(step, (Ring, Chain)) for step in steps)


def _into_ring(work: Work) -> bool:
    """ "6 sc in magic ring", "7 sc in loop"."""
    place = work.place
    if place is None:
        return False
    if place.which is Which.RING:
        return True
    return (
        place.which in (Which.NEXT, Which.ANY)
        and [w.name for w in place.whats] == ["sp"]
        and place.whats[0].length is None
    )


def _make(words: str) -> int | None:
    found = MAKE.search(words)
    if found is None:
        return None
    number = next(group for group in found.groups() if group)
    return int(number) if number.isdigit() else _COUNT.get(number.lower())


def _looks_like_heading(words: str, fresh: bool) -> bool:
    plain = words.strip(" #*_=~")
    if not plain or len(plain) > 70 or not fresh:
        return False
    if words.startswith("#"):
        return True
    if plain[-1] in ".;,!?" or not (plain[0].isupper() or plain[0].isdigit()):
        return False
    return len(plain.split()) <= 9


#: Words that only an instruction has, however it is written.
_INSTRUCTS = expression(
    r"\b(?:in|next|each|around|across|rep|repeat|turn|join|ch|chain|work|skip)\b", re.I
)


#: "Increase section", which increases nothing.
_NAMED_PART = expression(
    r"[A-Z][a-z]+(?: [a-z]+)? (?:section|part|half|shaping|panel|band|border|edging|rounds|rows)"
)


def _is_name(words: str) -> bool:
    """ "SHELL BLANKET", "Circle": a line of capitalised words without figures names a piece."""
    if _NAMED_PART.fullmatch(words):
        return True
    parts = words.split()
    return (
        0 < len(parts) <= 6
        and not rx.search(r"\d|[,;.]", words)
        and not _INSTRUCTS.search(words)
        and all(part[0].isupper() or len(part) <= 3 for part in parts)
        and (len(parts) > 1 or words.isupper() or len(words) > 4)
    )


def _stands_out(words: str, blank_before: bool) -> bool:
    """Capitals, a heading mark or a line of its own: a heading even inside a section."""
    plain = words.strip(" #*_=~:")
    letters = rx.sub(r"\([^)]*\)", "", plain)
    bullet = rx.match(r"[-*\u2022\u00b7]\s", words) is not None
    return (
        words.startswith("#")
        or _ALL_BOLD.fullmatch(words) is not None
        or (letters.isupper() and rx.search(r"[^\W\d_]{3}", letters) is not None)
        or (
            blank_before
            and not bullet
            and ":" not in words.rstrip(":")
            and len(plain.split()) <= 5
            and not rx.search(r"\d", letters)
        )
    )


#: Bold from one end of the line to the other; "**sc** - single crochet" is an entry.
_ALL_BOLD = expression(r"\*\*[^*]+(?:\*\*\W*|\*\*\s*[(\[][^()\[\]]*[)\]]\W*)")


def _unbalanced(body: str) -> bool:
    opened = body.count("(") + body.count("[") + body.count("{")
    return opened > body.count(")") + body.count("]") + body.count("}")
