"""The stitches of ``stitches.toml``: their written names, what they use and what they make."""

from __future__ import annotations

from functools import cache
from typing import Any

from proofhook import expressions as rx
from proofhook.expressions import expression
from proofhook.records import NamedTuple
from proofhook.trade import table

#: "two", "3" ... before "tog": how many places are worked together.
TOGETHER = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6}
BLANKS = expression(r"[\s-]+")

#: Prefixes that are joined to the name without a blank only ("fsc", but not "f sc").
GLUED_ONLY = frozenset({"l", "f", "r", "c", "st", "beg", "lk", "lnk", "rf", "rb", "bl", "fl"})


class StitchName(NamedTuple):
    """A stitch as written, taken apart: manner ("fp"), basic name ("dc"), worked-together count."""

    name: str
    base: str
    uses: int
    role: str  # "", "tog", "named", "group", "picot", "foundation", "slip", "inc", "dec"


@cache
def stitches() -> dict[str, Any]:
    """The table as read from the package."""
    return table("stitches")


@cache
def basics() -> dict[str, str]:
    """Every written basic name, in lower case -> its normal form."""
    names: dict[str, str] = {}
    for row in stitches()["basic"]:
        for word in (row["name"], *row["words"]):
            names[word] = row["name"]
    return names


@cache
def manners() -> tuple[dict[str, str], dict[str, str]]:
    """Prefixes and suffixes of a manner of working -> the manner's name."""
    before: dict[str, str] = {}
    after: dict[str, str] = {}
    for row in stitches()["manner"]:
        before.update(dict.fromkeys(row["before"], row["name"]))
        after.update(dict.fromkeys(row["after"], row["name"]))
    return before, after


@cache
def around() -> tuple[tuple[str, str, str], ...]:
    """What stands before and after a stitch to say how it is worked, and the manner's name."""
    return tuple(
        (before, after, row["name"])
        for row in stitches()["manner"]
        for before, after in row.get("around", ())
    )


@cache
def named() -> dict[str, tuple[str, str]]:
    """Stitches with a name of their own -> (normal form, role)."""
    names: dict[str, tuple[str, str]] = {}
    for row in stitches()["named"]:
        for word in (row["name"], *row["words"]):
            names[word] = (row["name"], "named")
    for row in stitches()["group"]:
        role = "picot" if row.get("makes", 1) == 0 else "group"
        for word in (row["name"], *row["words"]):
            names[word] = (row["name"], role)
    return names


@cache
def turning_chain(name: str, terms: str) -> int | None:
    """Usual number of turning chains of a basic stitch; None where the name is not used.

    Source: turning_chains.toml (common practice; handbooks agree but for hdc).
    """
    for row in stitches()["basic"]:
        if row["name"] == name:
            value = row.get(terms or "us", row.get("us", row.get("uk")))
            return int(value) if value is not None else None
    return None


@cache
def parse_stitch(words: str) -> StitchName | None:
    """Take a written stitch apart; None where it is no stitch of the table.

    ``words`` is the name as written, any capitals, singular or plural.
    """
    text = rx.sub(r"\s+", " ", words.strip().lower())
    text = text.removesuffix("(s)")
    together = rx.search(
        r"[\s-]?(\d|two|three|four|five|six)?[\s-]?(?:(?:sts?|stitches) )?tog(?:ether)?$", text
    )
    uses = 1
    if together:
        count = together.group(1)
        uses = int(count) if count and count.isdigit() else TOGETHER.get(count or "two", 2)
        text = text[: together.start()]
    for candidate in (text, text.removesuffix("s"), text.removesuffix("es")):
        found = _simple(candidate)
        if found:
            if together:
                return found._replace(name=f"{found.base}{uses}tog", uses=uses, role="tog")
            return found
    return None


def _simple(text: str) -> StitchName | None:
    """A stitch without "tog"."""
    base = basics().get(text) or basics().get(BLANKS.sub(" ", text))
    if base:
        return StitchName(base, base, 1, "")
    own = named().get(text) or named().get(BLANKS.sub(" ", text))
    if own:
        return StitchName(own[0], own[0], 1, own[1])
    before, after = manners()
    for affixes, at_start in ((before, True), (after, False)):
        for affix, manner in affixes.items():
            if not (text.startswith(affix) if at_start else text.endswith(affix)):
                continue
            rest = _without(text, affix, at_start)
            base = basics().get(rest)
            if base:
                role = "foundation" if manner == "foundation" else ""
                return StitchName(f"{manner} {base}", base, 1, role)
    for start, end, manner in around():
        if text.startswith(start) and text.endswith(end):
            base = basics().get(text[len(start) : len(text) - len(end)])
            if base:
                return StitchName(f"{manner} {base}", base, 1, "")
    return None


def _without(text: str, affix: str, at_start: bool) -> str:
    if at_start:
        rest = text[len(affix) :]
        return rest if affix in GLUED_ONLY else rest.lstrip(" -")
    return text[: -len(affix)].rstrip(" -/")
