"""The stitches and headings of plug-ins: tables in, words for the reader out.

The tables have the shape of ``trade/stitches.toml`` and ``trade/headings.toml``.  Whatever
is wrong with an entry is told in a sentence, and the others are taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from proofhook.faults import one_line
from proofhook.pattern import OwnWords, Stitch
from proofhook.proofing.house import listed, nearest
from proofhook.reading.lexicon import phrases
from proofhook.trade.headings import heading_kind, kinds_of_headings, own_headings, plain
from proofhook.trade.stitches import basics, parse_stitch

if TYPE_CHECKING:
    from typing import TypeAlias

Tell: TypeAlias = "Callable[[str], None]"
#: (owner, table): the plug-in, and what its hook brought.
Brought: TypeAlias = "list[tuple[str, Mapping[str, Any]]]"

STITCH_KEYS = {
    "basic": ("name", "words", "us", "uk", "base"),
    "manner": ("name", "before", "after"),
    "named": ("name", "words", "meaning"),
    "group": ("name", "words", "meaning", "makes"),
}
HEADING_KEYS = {"heading": ("kind", "words"), "piece": ("words",)}
#: An affix so short is written together with the stitch as well: "lkdc".
GLUED = 4


def own_words(stitches: Brought, headings: Brought, tell: Tell) -> OwnWords:
    """The words that the plug-ins bring; ``tell`` is given a sentence for each that cannot be."""
    fixed: dict[str, Stitch] = {}
    meanings: dict[str, str] = {}
    owners: dict[str, str] = {}
    for owner, table in stitches:
        for kind, entry in _entries(owner, table, STITCH_KEYS, tell):
            for word, stitch in _stitches(kind, entry):
                if _is_free(word, owner, owners, tell):
                    owners[word] = owner
                    if "meaning" in entry:
                        meanings[word] = entry["meaning"]
                    else:
                        fixed[word] = stitch
    kinds, pieces = _headings(headings, tell)
    return OwnWords(
        tuple(sorted(fixed.items())), tuple(meanings.items()), own_headings(kinds, pieces)
    )


def _entries(
    owner: str, table: object, keys: Mapping[str, tuple[str, ...]], tell: Tell
) -> Iterator[tuple[str, dict[str, Any]]]:
    """The entries that have the shape they must have, each with the name of its table."""
    what = f"The plug-in {owner} brings"
    if not isinstance(table, Mapping):
        tell(f"{what} {type(table).__name__} {one_line(table)} where tables of words belong.")
        return
    for kind, entries in table.items():
        if kind not in keys:
            tell(f"{what} a table {kind!r}, which does not exist{nearest(kind, keys)}")
        elif not isinstance(entries, (list, tuple)):
            tell(f"{what} no list under {kind!r}.")
        else:
            for entry in entries:
                fault = _fault(entry, keys[kind])
                if fault:
                    tell(f"{what} an entry of {kind!r} that {fault}: {one_line(entry)}.")
                else:
                    yield kind, dict(entry)


def _fault(entry: object, keys: tuple[str, ...]) -> str:
    """What is wrong with an entry, in words; "" where nothing is."""
    if not isinstance(entry, Mapping):
        return "is no table"
    unknown = next((key for key in entry if key not in keys), None)
    if unknown is not None:
        return f"has a key {unknown!r}, not one of {listed(keys)}"
    for key in ("name", "kind", "meaning", "base"):
        if key in entry and not (isinstance(entry[key], str) and entry[key].strip()):
            return f"has no text under {key!r}"
    for key in ("words", "before", "after"):
        words = entry.get(key, ())
        texts = isinstance(words, (list, tuple)) and all(isinstance(w, str) for w in words)
        if not texts or not all(word.strip() for word in words):
            return f"has no list of texts under {key!r}"
    needed = {"name", "kind"} & set(keys)
    if not needed <= set(entry) or not any(entry.get(k) for k in ("name", "words")):
        return f"needs {listed(sorted(needed) or ['words'])}"
    if entry.get("makes", 1) not in (0, 1):
        return "makes neither 0 nor 1 stitch"
    return ""


def _stitches(kind: str, entry: Mapping[str, Any]) -> Iterator[tuple[str, Stitch]]:
    """Each written name of an entry, in small letters, with the stitch it stands for."""
    name = _plain(entry["name"])
    if kind == "manner":
        yield from _in_this_manner(name, entry)
        return
    stitch = Stitch(name, name, 1, 1, role=kind)
    if kind == "basic":
        stitch = Stitch(name, _plain(entry.get("base", name)), 1, 1)
    elif entry.get("makes", 1) == 0:
        stitch = Stitch(name, name, 0, 0, role="picot")
    for word in dict.fromkeys(map(_plain, (name, *entry.get("words", ())))):
        yield word, stitch


def _in_this_manner(name: str, entry: Mapping[str, Any]) -> Iterator[tuple[str, Stitch]]:
    for written, base in basics().items():
        stitch = Stitch(f"{name} {base}", base, 1, 1)
        for affix in map(_plain, entry.get("before", ())):
            yield f"{affix} {written}", stitch
            if len(affix) < GLUED and written == base:
                yield f"{affix}{written}", stitch
        for affix in map(_plain, entry.get("after", ())):
            yield f"{written} {affix}", stitch


def _plain(words: str) -> str:
    return " ".join(words.lower().split())


def _is_free(word: str, owner: str, owners: Mapping[str, str], tell: Tell) -> bool:
    """Whether a name may be given to a stitch; tells why not."""
    if parse_stitch(word) or word in phrases()[0]:
        tell(f"The plug-in {owner} gives a stitch the name {word!r}, which the trade has already.")
        return False
    if word in owners:
        first, second = owners[word], owner
        both = f"The plug-ins {first} and {second} both bring" if first != second else (
            f"The plug-in {owner} brings twice")  # fmt: skip
        tell(f"{both} a stitch called {word!r}; rename one.")
        return False
    return True


def _headings(brought: Brought, tell: Tell) -> tuple[dict[str, str], list[str]]:
    """Heading words with their kinds, and the names of pieces."""
    kinds: dict[str, str] = {}
    pieces: list[str] = []
    owners: dict[str, str] = {}
    for owner, table in brought:
        for part, entry in _entries(owner, table, HEADING_KEYS, tell):
            if part == "piece":
                pieces += entry["words"]
                continue
            kind = entry["kind"]
            if kind not in kinds_of_headings():
                near = nearest(kind, sorted(kinds_of_headings()))
                tell(f"The plug-in {owner} brings a heading of the kind {kind!r}, "
                     f"which does not exist{near}")  # fmt: skip
                continue
            for word in map(plain, entry.get("words", ())):
                known = kinds.get(word) or heading_kind(word)
                if known and known != kind:
                    whose = owners.get(word, "the trade")
                    tell(f"The plug-in {owner} makes {word!r} a heading of {kind}, "
                         f"but for {whose} it is one of {known}.")  # fmt: skip
                else:
                    kinds[word], owners[word] = kind, owner
    return kinds, pieces
