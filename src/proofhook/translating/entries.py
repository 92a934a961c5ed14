"""New entries of the abbreviation list, for short names that only the edition has.

A list that leaves out "sc", since everybody knows it, must not leave "dc" to be guessed at:
in the other terms it is another stitch.
"""

from __future__ import annotations

from collections import Counter

from proofhook.expressions import expression
from proofhook.pattern import Pattern
from proofhook.text import Edit, apply_edits
from proofhook.trade.ladder import full_name
from proofhook.translating.lists import Entry, blocks, order_of

_SHORT = expression(r"(?<![\w-])[A-Za-z]{2,6}(?:\d{1,2}tog)?(?![\w-])")
_YARN_OVER = {"uk": ("yrh", "yarn round hook"), "us": ("yo", "yarn over")}
#: What may end an entry.
_ENDS = {".": ".", ",": ",", ";": ";", "|": " |"}


def with_new_entries(edition: Pattern, edits: tuple[Edit, ...], to: str) -> str:
    """The text of an edition, its list explaining the short names that are new in it.

    ``edits`` made the edition.  New are the names that they put into rows and special
    stitches and that nothing explains.  A list that has not one entry a line, or none
    that is laid out plainly, stays as it is.
    """
    text = edition.source.text
    put = {edit.text.lower() for edit in edits if _SHORT.fullmatch(edit.text)}
    block = next((block for block in blocks(edition) if not block[0].special), None)
    if block is None or not put:
        return text
    told = _told(edition)
    for word in _used(edition, put):
        meaning = "" if word.lower() in told else _meaning(word.lower(), to)
        if meaning:
            block, text = _with(text, block, word, meaning)
    return text


def _told(edition: Pattern) -> frozenset[str]:
    """Every word of the lists, and what special stitches are called."""
    spans = [s.body for s in edition.sections if s.kind in ("abbreviations", "terms")]
    spans += [each.abbreviation_span if each.special else each.span for each in edition.definitions]
    said = " ".join(edition.source.quote(span) for span in spans)
    return frozenset(word.lower() for word in _SHORT.findall(said))


def _used(edition: Pattern, words: set[str]) -> list[str]:
    """Those of the words that rows and special stitches use, in the capitals they have there."""
    spans = [row.body for row in edition.rows]
    spans += [each.meaning_span for each in edition.definitions if each.special]
    used: dict[str, str] = {}
    for span in spans:
        for word in _SHORT.findall(edition.source.quote(span)):
            if word.lower() in words:
                plain = word[1:].islower() or word.isupper()
                used.setdefault(word.lower(), word.lower() if plain else word)
    return [used[word] for word in sorted(used)]


def _meaning(word: str, to: str) -> str:
    short, long = _YARN_OVER[to]
    return long if word == short else full_name(word, to)


def _with(text: str, block: list[Entry], word: str, meaning: str) -> tuple[list[Entry], str]:
    """The block and the text with a further entry: in order, or last where there is none."""
    names = [text[entry.name.start : entry.name.end] for entry in block]
    order = order_of(names)
    at = len(block)
    if order is not None:
        at = next((n for n, name in enumerate(names) if order(name) > order(word)), at)
    line, name, told = _laid_out(text, block, word, meaning)
    newline = "\r\n" if "\r\n" in text else "\n"
    if at < len(block):
        start = block[at].lines.start
        edit, begins = Edit(start, start, line + newline), start
    else:
        end = block[-1].lines.end
        edit, begins = Edit(end, end, newline + line), end + len(newline)
    size = len(edit.text)
    entry = Entry.at(begins, len(line), name, told)
    later = [each.moved(size) for each in block[at:]]
    return [*block[:at], entry, *later], apply_edits(text, [edit])


def _laid_out(
    text: str, block: list[Entry], word: str, meaning: str
) -> tuple[str, tuple[int, int], tuple[int, int]]:
    """A line like the others, and where its name and its meaning stand in it."""
    like = max(block, key=lambda entry: entry.name.end - entry.name.start)
    lead = text[like.lines.start : like.name.start]
    between = text[like.name.end : like.meaning.start]
    columns = Counter(each.meaning.start - each.name.start for each in block)
    if between.isspace():
        between = " " * max(2, columns.most_common(1)[0][0] - len(word))
    ends = {text[each.meaning.start : each.lines.end].rstrip()[-1:] for each in block}
    end = ends.pop() if len(ends) == 1 else ""
    line = f"{lead}{word}{between}{meaning}{_ENDS.get(end, '')}"
    begins = len(lead) + len(word) + len(between)
    return line, (len(lead), len(lead) + len(word)), (begins, begins + len(meaning))
