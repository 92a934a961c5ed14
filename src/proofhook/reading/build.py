"""Shapes of the grammar -> steps of the model, with the figures and stitches of the tokens."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

from proofhook.pattern import (
    IN_PATTERN,
    SPACES_AS_STITCHES,
    Amount,
    Chain,
    Evenly,
    FastenOff,
    Group,
    Join,
    Loops,
    Note,
    OtherSide,
    Place,
    Repeat,
    Ring,
    RowsReference,
    Skip,
    Step,
    Stitch,
    Turn,
    Unread,
    Until,
    What,
    Which,
    Work,
    every_stitch,
)
from proofhook.reading.lexer import ROUND_BEFORE, Token, Vocabulary
from proofhook.reading.shapes import Part, Phrase, Shape, canonical, shape_of
from proofhook.records import NamedTuple, replace
from proofhook.text import Span


class Ahead(NamedTuple):
    """A place named before its stitches."""

    span: Span
    place: Place


class Often(NamedTuple):
    """How often: "x 6", "5 more times", "around" (times None)."""

    span: Span
    times: Amount | None
    more: bool
    until: Until | None
    exact: bool = False


class Suffix(NamedTuple):
    """What follows a bracket or a closed star."""

    span: Span
    place: Place | None
    often: Often | None
    repeats: bool = False


class Further(NamedTuple):
    """ "... in same sp and in each sp around": one more place for the group before."""

    span: Span
    place: Place


class RepeatAll(NamedTuple):
    """ "Repeat around" without a mark: what has been said so far in the row."""

    span: Span
    often: Often | None


class Fill(NamedTuple):
    """ "... all the way round", apart: of all that is worked before it, or of plain stitches."""

    span: Span
    even: Work


class CountsAs(NamedTuple):
    """What the chain before counts as; ``counts`` False where it does not."""

    span: Span
    counts: bool
    stitch: str
    space: int


class Altered(NamedTuple):
    """The last pass of a repeat is altered: what follows is left off, or ends it.

    ``replaces`` tells that it stands for the last step of the pass.
    """

    span: Span
    omits: bool
    replaces: bool = False


class Instead(NamedTuple):
    """ "... instead of ...": what stands before it takes the place of what follows."""

    span: Span


class Bare(NamedTuple):
    """A number alone."""

    span: Span
    number: Amount


Item = Step | Ahead | Suffix | Further | RepeatAll | Fill | CountsAs | Bare | Altered | Instead

#: Tokens that may stand unread without changing a count.
HARMLESS = frozenset(
    "? measure apart marker yarn with edge noun note in to from a hook base and then do as top counts "
    "pattern again row countsyes manner along foundation .".split()
)


class _Reader(NamedTuple):
    tokens: Sequence[Token]
    vocabulary: Vocabulary

    def span(self, first: int, last: int) -> Span:
        return Span(self.tokens[first].start, self.tokens[max(first, last - 1)].end)

    def number(self, part: Part, slot: str = "n") -> Amount | None:
        where = part.slots.get(slot)
        if where is None:
            return None
        for token in self.tokens[where[0] : where[1]]:
            if token.number is not None:
                return token.number
        return None

    def stitch(self, part: Part) -> Stitch | None:
        where = part.slots.get("s")
        if where is None:
            return None
        return self.named(self.tokens[where[0]])

    def named(self, token: Token) -> Stitch:
        plain = self.vocabulary.plain
        if token.stitch is not None:
            return token.stitch
        if token.kind in ("inc", "dec"):
            own = self.vocabulary.local.get(token.kind)
            if own is not None:
                return own
            if token.kind == "inc":
                return Stitch("inc", plain.base, 1, 2, role="inc")
            return Stitch("dec", plain.base, 2, 1, role="dec")
        if token.kind == "slst":
            return Stitch("sl st", "sl st", 1, 1, role="slip")
        return plain

    def whats(self, part: Part, slot: str = "what") -> tuple[What, ...]:
        where = part.slots.get(slot)
        found = (self.what(where),) if where else (What("st"),)
        group = part.slots.get("of")
        if group is not None and part.name != "middle":
            found = (What(found[0].name, found[0].length, self.what(group).name),)
        return found

    def what(self, where: tuple[int, int]) -> What:
        tokens = self.tokens[where[0] : where[1]]
        kinds = [token.kind for token in tokens]
        before = self.tokens[where[0] - 1] if where[0] else None
        if kinds == ["#", "ch"] and before is not None and before.text == "each of the":
            return What("ch")  # "in each of the 3ch": chain by chain
        length = next((t.number[0] for t in tokens if t.kind == "#" and t.number), None)
        if "marked" in kinds or kinds[0] == "marker":
            return What("marked st")
        if "sp" in kinds or ("ch" in kinds and length is not None):
            prefix = "corner " if "corner" in kinds else "center " if "centre" in kinds else ""
            stitch = next((t.stitch for t in tokens if t.stitch), None)
            return What(f"{prefix}sp", length, stitch.name if stitch else "")
        if kinds[-1] == "ch" and "noun" in kinds:
            return What("sp")  # "each handle chain"
        if kinds[-1] in ("corner", "centre"):
            return What("corner" if kinds[-1] == "corner" else "center")
        if kinds[-1] == "blo":
            return What("st")
        if kinds[0] == "corner" and len(kinds) > 1 and kinds[-1] in ("st", "S"):
            return What("corner st")
        for token in reversed(tokens):
            if token.stitch is not None:
                stitch = token.stitch
                own = stitch.role in ("named", "group", "picot") or bool(stitch.steps)
                return What(stitch.name if own else stitch.base)
            if token.kind in ("ch", "foundation", "tch"):
                return What("ch")
            if token.kind == "rowend":
                return What("row end")
            if token.kind == "slst":
                return What("sl st")
            if token.kind in ("inc", "dec"):
                return What("st")
            if token.kind == "noun":
                return What("group")
        return What("st")


def items(
    tokens: Sequence[Token],
    vocabulary: Vocabulary,
    after_group: bool,
    before: Work | None = None,
) -> list[Item]:
    """The steps (and what belongs to brackets around them) that a segment says.

    ``before`` is the last work of the segment before, for "and in each ch across".
    """
    if not tokens:
        return []
    each = before is not None and (
        tokens[0].kind == "and" or (before.place is not None and before.place.which is Which.EACH)
    )
    found = shape_of(canonical([token.kind for token in tokens]), after_group, each)
    reader = _Reader(tokens, vocabulary)
    out: list[Item] = []
    if found.ahead is not None:
        place = _place(reader, found.ahead)
        if place is not None:
            if found.suffix:
                place = replace(place, each=True, until=_until(reader, found.suffix[0]))
            out.append(_ahead(reader, found.ahead, place))
    elif found.suffix:
        out.append(_suffix(reader, found))
    for phrase in found.phrases:
        after_group_placed = bool(out) and isinstance(out[-1], (Suffix, Further))
        if isinstance(phrase, Phrase) and phrase.head.name == "onward" and after_group_placed:
            out.append(_further(reader, phrase))
        elif isinstance(phrase, Phrase) and phrase.head.name == "onward":
            out.append(_onward(reader, phrase, out[-1] if out else before))
        elif isinstance(phrase, Phrase):
            out += _phrase(reader, phrase)
        else:
            out.append(_left_over(reader, *phrase))
    return _sides_first(out)


def _sides_first(out: list[Item]) -> list[Item]:
    """ "Sc in the 8 ch along the other side": one turns to the other side before."""
    for at in range(len(out) - 1):
        work, side = out[at], out[at + 1]
        if isinstance(work, Work) and isinstance(side, OtherSide):
            if work.place is None or work.place.which in (Which.NEXT, Which.EACH):
                out[at : at + 2] = [side, work]
    return out


def _ahead(reader: _Reader, part: Part, place: Place) -> Item:
    """A place before its stitches; "starting in 2nd ch from hook" only says where they begin."""
    span = reader.span(0, part.end)
    lead = reader.tokens[: part.start + 1]
    starts = any(t.kind in ("from", "with") or t.text.startswith(("start", "begin")) for t in lead)
    if place.which is Which.HOOK and starts:
        return Skip(span, place)
    if place.which is Which.NTH and place.whats[0].name == "ch" and starts:
        return Skip(span, Place(Which.HOOK, nth=place.nth))
    return Ahead(span, place)


def _left_over(reader: _Reader, first: int, last: int) -> Item:
    """Words that no phrase took: prose where they cannot change a count, else unread."""
    kinds = {token.kind for token in reader.tokens[first:last]}
    span = reader.span(first, last)
    if kinds <= {"do", "centre", "edge", "in", "from"} and "do" in kinds:
        return Note(span)  # "Starting at center"
    if reader.tokens[first].kind == "until" and kinds <= HARMLESS | {"until"} and last - first > 2:
        return Note(span, "open")
    return Note(span) if kinds <= HARMLESS else Unread(span)


def _suffix(reader: _Reader, found: Shape) -> Item:
    place: Place | None = None
    until: Until | None = None
    times: Amount | None = None
    more = repeats = often = False
    first, last = found.suffix[0].start, found.suffix[-1].end
    for part in found.suffix:
        if part.name == "times":
            times, more = _times(reader, part)
            repeats |= "rep" in {t.kind for t in reader.tokens[part.start : part.end]}
            often = True
        elif part.name == "number":
            times, often = reader.number(part), True
        elif part.name == "rep":
            repeats = True
        elif _is_until_part(part):
            until, often = _until(reader, part), True
        else:
            place = _place(reader, part)
    span = reader.span(first, last)
    return Suffix(span, place, Often(span, times, more, until) if often else None, repeats)


def _is_until_part(part: Part) -> bool:
    return part.name.startswith("to ")


def _in_all(reader: _Reader, part: Part | None) -> bool:
    """Whether it is said that the number is of all passes."""
    return part is not None and any(
        t.kind == "total" or "total" in t.text for t in reader.tokens[part.start : part.end]
    )


def _times(reader: _Reader, part: Part) -> tuple[Amount | None, bool]:
    more = "more" in part.slots
    if "twice" in part.slots:
        return (2,), more
    if "once" in part.slots:
        return (1,), more
    return reader.number(part, "n") or reader.number(part, "x"), more


def _until(reader: _Reader, part: Part) -> Until:
    if part.name == "to end":
        return Until("end")
    if part.name in ("to last", "to remain"):
        kind = "last" if part.name == "to last" else "remain"
        what = reader.what(part.slots["what"]) if "what" in part.slots else None
        return Until(kind, reader.number(part) or (1,), what)
    if part.name == "to second":
        nth = reader.number(part, "nth")
        return Until("last", nth or (2,), What("st"))
    where = part.slots.get("what")
    return Until("place", (1,), reader.what(where) if where else What("st"))


def _place(reader: _Reader, part: Part) -> Place | None:
    """The Place of a place part."""
    part = _length_not_count(reader, part)
    count = reader.number(part) or (1,)
    kinds = [token.kind for token in reader.tokens[part.start : part.end]]
    row = _row_named(reader, part)
    name = part.name
    if name == "some" and set(kinds) <= {"in", "blo", "around"}:
        return None  # "10 sc in front loops only"
    if name == "both":
        return Place(Which.NEXT, (2,), (What("st"),), each=True)
    if "both" in kinds and name in ("next", "each", "some", "last", "first"):
        return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
    if name == "hook":
        nth = reader.number(part, "nth")
        return Place(Which.HOOK, nth=nth[0] if nth else 1)
    if name == "same":
        return Place(Which.SAME, whats=reader.whats(part))
    if name == "turning":
        return Place(Which.TURNING_CHAIN)
    if name == "joined":
        return Place(Which.FIRST, whats=(What("st"),))
    if name == "ring":
        return Place(Which.RING)
    if name == "any":
        return Place(Which.ANY, whats=reader.whats(part))
    if name in ("edge", "noun", "evenly"):
        if "n" in part.slots:
            return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
        said_each = "each" in kinds or any(
            t.kind == "rowend" and "each" in t.text for t in reader.tokens[part.start : part.end]
        )
        if said_each and "S" not in kinds and "both" not in kinds and _of_rows(kinds):
            return Place(Which.EACH, (1,), (What("row end"),), True, Until("end"))
        return Place(Which.EDGE)
    if name == "middle":
        return _middle(reader, part)
    if name == "between":
        if "edge" in part.slots:
            return Place(Which.BETWEEN, nth=-1)
        each = "each" in part.slots
        several = reader.number(part, "many") if each else None
        return Place(
            Which.BETWEEN,
            several or count,  # "in each of next 3 sps between groups"
            reader.whats(part),
            each=each,
            until=Until("end") if each and not several else None,
        )
    if name == "corner":
        return _corner(reader, part, kinds)
    if name == "each":
        return _each(reader, part, row)
    if name == "ofeach":
        return Place(Which.EACH, whats=reader.whats(part), each=True, until=Until("end"))
    if name == "some" and any(w.of == "group" for w in reader.whats(part)) and "n" in part.slots:
        return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
    if name in ("next", "some") and "n" in part.slots and "row" in part.slots:
        tail = {t.kind for t in reader.tokens[part.slots["row"][0] : part.slots["row"][1]]}
        if tail & {"noun", "edge"}:
            return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
    if name == "nth" and _of_another_piece(reader, part):
        return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
    if name in ("next", "some", "counted", "one"):
        return Place(Which.NEXT, count, reader.whats(part), row=row)
    if name == "rest":
        return Place(Which.NEXT, count, reader.whats(part), each=True, row=row)
    if name == "first":
        if _of_another_piece(reader, part):
            return Place(Which.ELSEWHERE, count, (What("st"),), each=True)
        return Place(Which.FIRST, count, reader.whats(part), row=row)
    if name == "last":
        ends = reader.tokens[part.end - 1]
        if "rem" in kinds and "n" not in part.slots and (_many(ends) or ends.kind == "ch"):
            return Place(
                Which.EACH, whats=reader.whats(part), each=True, until=Until("end"), row=row
            )
        return Place(Which.LAST, count, reader.whats(part), row=row)
    if name == "nth":
        nth = reader.number(part, "nth")
        if nth == (1,):
            return Place(Which.FIRST, (1,), reader.whats(part), row=row)
        return Place(Which.NTH, whats=reader.whats(part), nth=nth[0] if nth else 1, row=row)
    return None


def _of_another_piece(reader: _Reader, part: Part) -> bool:
    """ "9 sc on the first fluke": in something that is no stitch."""
    where = part.slots.get("what")
    return where is not None and all(t.kind == "?" for t in reader.tokens[where[0] : where[1]])


def _many(token: Token) -> bool:
    """Whether the word for a place stands for more than one: "in the remaining stitches"."""
    return token.text.endswith("s") and not token.text.endswith("ss")


def _of_rows(kinds: list[str]) -> bool:
    """ "Each row end", "the end of each row"."""
    return "rowend" in kinds or ("end" in kinds and "row" in kinds)


def _length_not_count(reader: _Reader, part: Part) -> Part:
    """ "Next 5ch-sp" is one space of five chains; "next 5 ch-sps" are five spaces."""
    number, what = part.slots.get("n"), part.slots.get("what")
    if number is None or what is None or number[1] != what[0]:
        return part
    words = reader.tokens[what[0] : what[1]]
    if [w.kind for w in words] != ["ch", "sp"] or words[1].text.endswith("s"):
        return part
    joined = reader.tokens[number[0]].end == words[0].start  # "1ch-sp", and not "1 ch-sp"
    if reader.number(part) in (None, (1,)) and not joined:
        return part
    slots = {k: v for k, v in part.slots.items() if k != "n"}
    slots["what"] = (number[0], what[1])
    return part._replace(slots=slots)


def _row_named(reader: _Reader, part: Part) -> int | None:
    where = part.slots.get("row")
    if where is None:
        return None
    tokens = reader.tokens[where[0] : where[1]]
    for before, token in itertools.pairwise(tokens):
        if before.kind == "row" and token.number:
            return token.number[0]
        if before.kind == "#th" and token.kind == "row" and before.number:
            return before.number[0]
    return None


def _middle(reader: _Reader, part: Part) -> Place:
    which = part.slots.get("which")
    word = reader.tokens[which[0]].kind if which else ""
    nth = reader.number(part, "nth")
    what = reader.whats(part)[0]
    group = reader.what(part.slots["of"]) if "of" in part.slots else What("group")
    if word == "same":
        return Place(Which.SAME)
    each = word == "each"
    kind = reader.tokens[part.slots["nth"][0]].kind if "nth" in part.slots else "centre"
    if kind in ("first", "last"):
        nth = (1,) if kind == "first" else (-1,)
    return Place(
        Which.MIDDLE,
        whats=(What(what.name, group.length, group.name),),
        nth=nth[0] if nth else 0,
        each=each,
        until=Until("end") if each else None,
    )


def _corner(reader: _Reader, part: Part, kinds: list[str]) -> Place:
    what = reader.what(part.slots["what"])
    if "any" in kinds:
        return Place(Which.ANY, whats=(what,))
    every = "each" in kinds or "all" in kinds
    return Place(Which.CORNER, whats=(what,), each=every, until=Until("end") if every else None)


def _each(reader: _Reader, part: Part, row: int | None) -> Place | None:
    which = part.slots.get("which")
    word = reader.tokens[which[0]].kind if which else ""
    whats = reader.whats(part)
    if "more" in part.slots:
        whats += _more_whats(reader, *part.slots["more"])
    count = reader.number(part)
    kind = part.slots.get("kind")
    if kind is not None or word == "other":
        token = reader.tokens[kind[0]] if kind else None
        nth = token.number[0] if token is not None and token.number else 2
        return Place(Which.EACH, whats=whats, each=True, nth=nth, until=Until("end"), row=row)
    ways = {"next": Which.NEXT, "first": Which.FIRST, "last": Which.LAST, "rem": Which.LAST}
    if count is not None:
        if word in ways:
            return Place(ways[word], count, whats, each=True, row=row)
        return Place(Which.ELSEWHERE, count, whats, each=True, row=row)
    if word in ("next", "first", "last"):
        return Place(ways[word], (1,), whats, each=True, row=row)
    if word == "same":
        return Place(Which.SAME)
    return Place(Which.EACH, whats=whats, each=True, until=Until("end"), row=row)


#: What is named by no word that is known: "each dc and each wurble".
_UNKNOWN = What("?")


def _more_whats(reader: _Reader, first: int, last: int) -> tuple[What, ...]:
    """The further things of "each dc and each ch-1 sp"."""
    whats: tuple[What, ...] = ()
    group: list[int] = []
    for index in range(first, last + 1):
        kind = reader.tokens[index].kind if index < last else "and"
        if kind in ("and", "in", "each", "all", "next", "also", "blo", ","):
            if group:
                known = any(reader.tokens[at].kind != "?" for at in group)
                whats += (reader.what((group[0], group[-1] + 1)) if known else _UNKNOWN,)
            group = []
        else:
            group.append(index)
    return whats


def _phrase(reader: _Reader, phrase: Phrase) -> list[Item]:
    head = phrase.head
    last = max(part.end for part in phrase if part is not None)
    span = reader.span(head.start, last)
    maker = _MAKERS[head.name]
    made = maker(reader, phrase, span)
    return made if isinstance(made, list) else [made]


def _often(reader: _Reader, phrase: Phrase, span: Span) -> Often | None:
    if phrase.until is None and phrase.times is None:
        return None
    times, more = _times(reader, phrase.times) if phrase.times else (None, False)
    until = _until(reader, phrase.until) if phrase.until else None
    return Often(span, times, more, until, _in_all(reader, phrase.times))


def _all_times(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    """ "..., 6 times": all the times there are."""
    times, more = _times(reader, phrase.head)
    if times is None or more:
        return Unread(span)
    return RepeatAll(span, Often(span, times, False, None, True))


def _work(reader: _Reader, phrase: Phrase, span: Span) -> list[Item] | Item:
    head = phrase.head
    stitch = reader.stitch(head) or reader.vocabulary.plain
    count = reader.number(head)
    after = reader.number(head, "after")
    if "twice" in head.slots:
        count = (2,)
    place = _place(reader, phrase.place) if phrase.place else None
    if place is not None and _UNKNOWN in place.whats:
        return [Unread(span)]
    if place is not None and phrase.place is not None and count is not None:
        along = reader.tokens[phrase.place.start].kind == "along" and place.which is Which.NEXT
        if along and count not in ((1,), place.count):
            place = Place(Which.EDGE)  # "..., 2 sc along the 10 ch": all of them, one by one
    if place is None and "each" in head.slots:
        place = Place(Which.EACH, whats=(What("st"),), each=True, until=Until("end"))
    until = _until(reader, phrase.until) if phrase.until else None
    if until is not None:
        if place is None:
            each = count in (None, (1,)) and after is None
            place = Place(Which.EACH, whats=(What("st"),), each=each, until=until)
        elif place.which in (Which.EACH, Which.CORNER) or (
            place.each and (place.which is Which.MIDDLE or place.which is Which.BETWEEN)
        ):
            place = _with_until(place, until)
        elif place.which is Which.NEXT and until.kind == "end" and place.count == (1,):
            place = Place(Which.EACH, whats=place.whats, each=True, until=until, row=place.row)
        elif place.which not in (Which.RING, Which.EDGE, Which.SAME, Which.ELSEWHERE):
            return [Unread(span)]
    times, more = _times(reader, phrase.times) if phrase.times else ((1,), False)
    if times is None or more:
        return [Unread(span)]
    if (
        place is not None
        and phrase.place is not None
        and _starts_in_chain(reader, phrase.place, place)
    ):
        start = reader.span(phrase.place.start, phrase.place.end)
        return [
            Skip(start, Place(Which.HOOK, nth=place.nth)),
            Work(span, stitch, count, None, times),
        ]
    layered = place is None or place.which in (Which.EDGE, Which.EACH)
    if stitch.role == "" and layered and _through_layers(reader, head.start, span):
        stitch = replace(stitch, role="layers")
        if place is None or place.which is Which.EDGE:
            whole = until or Until("end")
            place = Place(Which.EACH, whats=(What("st"),), each=True, until=whole)
    if stitch.role == "method":
        return _by_method(stitch, after or count, place, times, span)
    work = Work(
        span,
        stitch,
        after if after is not None else count,
        place,
        times,
        after is not None,
    )
    if "together" in head.slots:
        return [work, Note(span, "together")]
    if phrase.place is not None and "also" in phrase.place.slots:  # "in 2nd and 3rd st"
        if stitch.role == "tog":
            return work  # "2trtog over the 3rd and 4th ch from hook"
        also = Work(span, stitch, count, Place(Which.NEXT, whats=reader.whats(phrase.place)))
        return [work, also]
    if phrase.place is not None and "then" in phrase.place.slots:
        space = Place(Which.NEXT, whats=reader.whats(phrase.place, "then"))
        return [work, Work(span, stitch, count, space)]
    if phrase.until is not None and until is not None and until.kind == "last":
        said = reader.tokens[phrase.until.start].kind
        if said == "but":  # "in each st except the last"
            return [work, Skip(span, Place(Which.LAST, until.count), unworked=True)]
    return work


def _by_method(
    stitch: Stitch, count: Amount | None, place: Place | None, times: Amount, span: Span
) -> list[Item]:
    """What the pattern says of a stitch that goes over several places, word for word."""
    inside = tuple(replace(step, span=span) for step in stitch.steps)  # told of where it is called
    steps: tuple[Step, ...] = (Group(span, inside, name=stitch.name),)
    often = count if count not in (None, (1,)) else times
    if place is None:
        return list(steps) if often == (1,) else [Repeat(span, steps, often)]
    if place.each and place.until is not None and often == (1,):
        return [Repeat(span, steps, None, until=place.until)]
    uses = _places_used(inside)
    if place.which is Which.NEXT and uses > 1 and often == (1,) and place.count == (uses,):
        return list(steps)  # "cable over next 4 sts"
    of_its_kind = all(what.name in ("group", stitch.name) for what in place.whats)
    if place.which is Which.NEXT and of_its_kind and often == (1,):
        return list(steps) if place.count == (1,) else [Repeat(span, steps, place.count)]
    return [Unread(span)]


def _places_used(steps: tuple[Step, ...]) -> int:
    """How many places the steps go over; those that go back to skipped ones use none."""
    used = 0
    for step in steps:
        if isinstance(step, Skip):
            used += step.place.count[0]
        elif isinstance(step, Work) and (step.place is None or step.place.which is Which.NEXT):
            several = step.place.count if step.place else step.count or (1,)
            used += several[0] * step.stitch.uses
    return used


def _starts_in_chain(reader: _Reader, part: Part, place: Place) -> bool:
    """ "11 sc from 2nd ch": where they begin, and not where all of them go."""
    in_chain = place.which is Which.HOOK or (
        place.which is Which.NTH and place.whats[0].name == "ch"
    )
    first = reader.tokens[part.start]
    return in_chain and (first.kind == "from" or first.text.startswith(("start", "begin")))


def _through_layers(reader: _Reader, first: int, span: Span) -> bool:
    """ "Sc through both layers": every stitch takes one of each layer."""
    for at in range(first + 1, len(reader.tokens)):
        token = reader.tokens[at]
        if token.start >= span.end:
            return False
        if (
            token.text in ("layer", "layers", "thicknesses", "sides", "edges", "pieces")
            and reader.tokens[at - 1].kind == "both"
        ):
            return True
    return False


def _onward(reader: _Reader, phrase: Phrase, last: Item | None) -> Item:
    """The stitch of the work before, in a further place."""
    first = phrase.place or phrase.until
    assert first is not None
    span = reader.span(first.start, max(p.end for p in phrase if p is not None))
    if not isinstance(last, Work):
        if "n" not in phrase.head.slots:
            return Unread(span)
        last = Work(span, reader.vocabulary.plain, None)  # "one in each of the next 3"
    filled = last.place is not None and last.place.until is not None
    if filled and phrase.place is not None and phrase.place.name == "any":
        return Note(span)  # "... around over a loop of wire"
    head = phrase.head._replace(name="work")
    made = _work(reader, Phrase(head, phrase.place, phrase.until, phrase.times), span)
    if not isinstance(made, Work):
        return Unread(span)
    each = (
        last.place is not None and last.place.which in (Which.HOOK, Which.EACH)
    ) or last.count == (1,)
    count = last.count if last.count is not None and not (each and last.count == (1,)) else None
    if "n" in head.slots:
        count = reader.number(head)
    return replace(made, stitch=last.stitch, count=count)


def _further(reader: _Reader, phrase: Phrase) -> Item:
    """One more place for a group, with how far it goes."""
    parts = [part for part in phrase[1:] if isinstance(part, Part)]
    place = _place(reader, phrase.place) if phrase.place else None
    span = reader.span(phrase.head.start, max((p.end for p in parts), default=phrase.head.end))
    if place is None or phrase.times is not None or "n" in phrase.head.slots:
        return Unread(span)
    if phrase.until is not None:
        place = _with_until(place, _until(reader, phrase.until))
    return Further(span, place)


def _with_until(place: Place, until: Until) -> Place:
    return Place(place.which, place.count, place.whats, place.each, until, place.nth, place.row)


def _together(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    number = reader.number(phrase.head)
    stitch = reader.stitch(phrase.head) or reader.vocabulary.plain
    uses = number[0] if number else 2
    made = Stitch(f"{stitch.base}{uses}tog", stitch.base, uses, 1, role="tog")
    times, _ = _times(reader, phrase.times) if phrase.times else ((1,), False)
    place = _place(reader, phrase.place) if phrase.place else None
    if place is not None and place.which not in (Which.SAME,):
        place = None
    until = _until(reader, phrase.until) if phrase.until else None
    if until is not None:
        place = Place(Which.EACH, whats=(What("st"),), each=True, until=until)
    return Work(span, made, None, place, times or (1,))


def _evenly(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    number = reader.number(phrase.head)
    way = phrase.head.slots.get("way")
    if number is None or way is None:
        return Unread(span)
    grows = reader.tokens[way[0]].kind == "inc"
    return Evenly(span, number if grows else tuple(-n for n in number))


def _chain(reader: _Reader, phrase: Phrase, span: Span) -> list[Item] | Item:
    count = reader.number(phrase.head) or (1,)
    chain = Chain(span, count)
    stitch = reader.stitch(phrase.head)
    if stitch is not None:  # "ch 3 for the first dc"
        chain = replace(chain, counts=True, counts_as=stitch.base)
    often = _often(reader, phrase, span)
    if often is None:
        return chain
    if often.until is not None or often.times is None:
        return Unread(span)
    return Repeat(span, (chain,), often.times)


def _skip(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    head = phrase.head
    which_at = head.slots.get("which")
    word = reader.tokens[which_at[0]].kind if which_at else ""
    count = reader.number(head)
    whats = reader.whats(head)
    if "more" in head.slots:
        whats += _more_whats(reader, *head.slots["more"])
    leaves = any(t.kind in ("leave", "remain") for t in reader.tokens[head.start : head.end])
    behind = reader.tokens[head.end : head.end + 1]
    if word == "each" or (behind and behind[0].text == "behind"):
        return Note(span)  # "skip the sc behind it": the stitch before stands for it
    if word == "#th":
        if reader.tokens[which_at[0]].number != (1,):  # type: ignore[index]
            return Unread(span)
        word = "first"
    ways = {"first": Which.FIRST, "last": Which.LAST, "rem": Which.LAST, "same": Which.SAME}
    which = ways.get(word, Which.LAST if leaves and word != "next" else Which.NEXT)
    every = count is None and (word in ("rem", "all") or leaves)
    if phrase.until is not None and not leaves:  # "skip to next ch-1 sp"
        until = _until(reader, phrase.until)
        if count is None and until.kind in ("place", "last"):
            return Skip(span, Place(Which.EACH, whats=whats, each=True, until=until))
    place = Place(which, count or (1,), whats, each=every)
    return Skip(span, place, unworked=leaves)


def _join(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    place = _place(reader, phrase.place) if phrase.place else None
    yarn = any(
        token.kind in ("yarn", "?")
        or token.text in ("join yarn", "rejoin", "rejoin yarn", "attach")
        for token in reader.tokens[phrase.head.start : phrase.head.end]
    )
    return Join(span, place, new_yarn=yarn)


def _standing(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    stitch = reader.stitch(phrase.head) or reader.vocabulary.plain
    place = _place(reader, phrase.place) if phrase.place else None
    return Work(span, stitch, (1,), place or Place(Which.FIRST, whats=(What("st"),)))


def _ring(reader: _Reader, phrase: Phrase, span: Span) -> list[Item] | Item:
    number = reader.number(phrase.head)
    if number is None:
        return Ring(span)
    return [Ring(span), Work(span, reader.vocabulary.plain, number, Place(Which.RING))]


def _loops(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    where = phrase.head.slots.get("row")
    row: int | None = None
    if where is not None:
        row = next((t.number[0] for t in reader.tokens[where[0] : where[1]] if t.number), 0)
    return Loops(span, "loops", row)


def _counts(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    stitch = reader.stitch(phrase.head)
    space = reader.number(phrase.head)
    length = space[0] if space else (1 if "one" in phrase.head.slots else 0)
    name = ""
    if stitch is not None:
        named = stitch.role in ("named", "group") or bool(stitch.steps)
        name = stitch.name if named else stitch.base
    return CountsAs(span, True, name, length)


def _rows(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    head = phrase.head
    often = _often(reader, phrase, span)
    times = often.times if often else None
    more = often.more if often else False
    until = often.until if often else None
    if until is not None and until.kind == "end":
        until = None
    piece = _piece_name(reader, head)
    if "last" in head.slots:
        count = reader.number(head, "count")
        return RowsReference(span, (), count[0] if count else 1, times, more, until=until)
    rows: list[int] = []
    for slot in ("a", "range", "th", "ths"):
        where = head.slots.get(slot)
        if where is None:
            continue
        tokens = reader.tokens[where[0] : where[1]]
        if any(t.number and len(t.number) > 1 for t in tokens):
            return Unread(span)  # "as Row 26 (28)": another row in each size
        spread = any(t.kind in ("-", "--", "to", "through") or t.text == "through" for t in tokens)
        numbers = [t.number[0] for t in tokens if t.number]
        if spread and rows and numbers:
            rows += range(rows[-1] + 1, min(numbers[-1], rows[-1] + 400) + 1)
        else:
            rows += numbers
    return RowsReference(span, tuple(rows), 0, times, more, piece, until)


def _named(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    """ "Rep dec row 3 times more": a row by its name; one that is not named so is the last."""
    often = _often(reader, phrase, span)
    where = phrase.head.slots["name"]
    words = [token.text for token in reader.tokens[where[0] : where[1]]]
    if words[-1] in ROUND_BEFORE or words[-1] in ("above", "same"):
        words = []
    times, more = (often.times, often.more) if often else (None, False)
    until = often.until if often and often.until and often.until.kind != "end" else None
    return RowsReference(span, (), 1, times, more, until=until, name=" ".join(words))


def _piece_name(reader: _Reader, head: Part) -> str:
    where = head.slots.get("piece")
    if where is None:
        return ""
    words = [t.text for t in reader.tokens[where[0] : where[1]] if t.kind in ("?", "noun", "edge")]
    return " ".join(words)


def _piece(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    """ "Work as Head to end of Rnd 4", "first 2 rounds as for the Head"."""
    name = _piece_name(reader, phrase.head)
    if not name:
        return Unread(span)
    last = reader.number(phrase.head) or reader.number(phrase.head, "nth")
    rows = tuple(range(1, min(last[0], 400) + 1)) if last else ()
    return RowsReference(span, rows, 0, None, False, name)


def _rep(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    return RepeatAll(span, _often(reader, phrase, span))


def _even(reader: _Reader, phrase: Phrase, span: Span) -> Work:
    if "patt" in phrase.head.slots:
        return _in_pattern(reader, phrase, span)
    stitch = reader.stitch(phrase.head) or Stitch("st", "", 1, 1)
    place = _place(reader, phrase.place) if phrase.place else None
    until = _until(reader, phrase.until) if phrase.until else Until("end")
    if place is None or place.which is Which.EACH:
        return every_stitch(span, stitch, until)
    return Work(span, stitch, None, place)


def _in_pattern(reader: _Reader, phrase: Phrase, span: Span) -> Work:
    """ "Patt to last 2 sts", "patt 15 sts": a stitch for each, whichever it is."""
    number = reader.number(phrase.head)
    if number is not None:
        return Work(span, IN_PATTERN, number, None)
    until = _until(reader, phrase.until) if phrase.until else Until("end")
    return every_stitch(span, IN_PATTERN, until)


def _cable(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    """ "Cable over next 4 sts": crossed, they stay as many (common practice)."""
    number = reader.number(phrase.head)
    assert number is not None
    return Work(span, Stitch("cable", "", 1, 1, role="patt"), number, None)


def _fill(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    return Fill(span, _even(reader, phrase, span))


def _plain(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    place = _place(reader, phrase.place) if phrase.place else None
    if place is not None and place.which is Which.RING:
        return Work(span, reader.vocabulary.plain, reader.number(phrase.head), place)
    return Work(span, Stitch("st", "", 1, 1), reader.number(phrase.head), None)


def _bare(reader: _Reader, phrase: Phrase, span: Span) -> Item:
    number = reader.number(phrase.head)
    return Bare(span, number) if number else Unread(span)


_MAKERS: dict[str, Callable[[_Reader, Phrase, Span], list[Item] | Item]] = {
    "together": _together,
    "evenly": _evenly,
    "work": _work,
    "told": _work,
    "chain": _chain,
    "ring": _ring,
    "forms": lambda reader, phrase, span: Note(span),
    "in": lambda reader, phrase, span: Work(
        span,
        Stitch("inc", reader.vocabulary.plain.base, 1, 2, role="inc"),
        reader.number(phrase.head),
        None,
        count_after=True,
    ),
    "parts": lambda reader, phrase, span: Work(
        span,
        reader.vocabulary.plain,
        None,
        Place(Which.ELSEWHERE, reader.number(phrase.head) or (1,), (What("st"),), each=True),
    ),
    "same": lambda reader, phrase, span: RowsReference(span, (), 1),
    "aside": lambda reader, phrase, span: Note(span),
    "made": lambda reader, phrase, span: Note(span, "made"),
    "omit": lambda reader, phrase, span: Altered(span, True),
    "rowlast": lambda reader, phrase, span: Note(span),
    "ending": lambda reader, phrase, span: Altered(span, False, "rep" in phrase.head.slots),
    "form": lambda reader, phrase, span: Join(span, None, ring=True),
    "skip": _skip,
    "unworked": _skip,
    "join": _join,
    "closing": _join,
    "standing": _standing,
    "seam": lambda reader, phrase, span: Unread(span),
    "turn": lambda reader, phrase, span: Turn(span),
    "noturn": lambda reader, phrase, span: Note(span, "noturn"),
    "fasten": lambda reader, phrase, span: FastenOff(span),
    "note": lambda reader, phrase, span: Note(span, "note"),
    "loops": _loops,
    "otherside": lambda reader, phrase, span: OtherSide(span),
    "colour": lambda reader, phrase, span: Note(span, "colour"),
    "inrows": lambda reader, phrase, span: Note(span),
    "counts": _counts,
    "countsno": lambda reader, phrase, span: CountsAs(span, False, "", 0),
    "countsyes": lambda reader, phrase, span: CountsAs(span, True, "", 0),
    "rows": _rows,
    "named": _named,
    "rep": _rep,
    "starts": lambda reader, phrase, span: Skip(
        span, Place(Which.HOOK, nth=(reader.number(phrase.head, "nth") or (2,))[0])
    ),
    "piece": _piece,
    "instead": lambda reader, phrase, span: Instead(span),
    "but": lambda reader, phrase, span: Note(span, "but"),
    "fill": _fill,
    "often": _all_times,
    "even": _even,
    "plain": _plain,
    "counted": _bare,
    "cable": _cable,
    "spaces": lambda reader, phrase, span: Note(span, SPACES_AS_STITCHES),
    "number": _bare,
}
