"""The words that a fuzzer puts together: those of the trade, from the program's own tables."""

from __future__ import annotations

from collections.abc import Iterator

from fuzz.laws import rules
from proofhook.proofing.finding import GRADES
from proofhook.proofing.sheets import KEYS, PAIR
from proofhook.proofing.stet import KEYS as STET_KEYS
from proofhook.reading.lexicon import WORDS
from proofhook.tidying.settings import SETTINGS
from proofhook.trade import table
from proofhook.trade.stitches import basics, named

#: What no table holds: marks, labels, figures, and what they are usually put together to.
PHRASES = (
    "\n", "\n\n", "\r\n", "\t", "\u00a0", "\ufeff", "é", "½", "×", "–", "—", "*", "**", "†", "(",
    ")", "[", "]", "{", "}", ", ", ". ", "; ", ": ", "= ", " x ", "1", "2", "6", "12",
    "999999999", "0", "18 (20, 22)", "S (M, L)", "(6)", "(12 sts)", "- 18 sc", "{24}", "Rnd 1: ",
    "Rnds 2-4: ", "R3 ", "Row 2 (WS): ", "Row 2: ", "Next row: ", "Border: ", "3. ", "# ", "- ",
    "Ch 12. ", "ch 3 (counts as dc), ", "6 sc in magic ring", "2 sc in each st around",
    "*sc, inc; rep from * around", "(dc, ch 2, dc) in next ch-2 sp", "sc in next 5 sts",
    "sk 2 sts", "rep from * 5 more times", "[sc, inc] 6 times", "sc2tog", "5-dc shell",
    "in 2nd ch from hook", "and in each ch across", "to last 3 sts", "leave rem sts unworked",
    "turn. ", "join with sl st to first sc. ", "Rep Rnd 2. ", "Rep Rows 2-3 until 8 rows. ",
    "in back loop only", "Fasten off. ", "Make 2", "does not count as a st",
    "ch 2 counts as hdc", "work as Head to Rnd 2", "US terms", "UK terms",
    "Special Stitches\nShell: 5 dc in next st\n", "Abbreviations\nsc = single crochet\n",
    "Notes\n", "Sizes: S (M, L)\n", "Gauge: 16 sts = 4 in\n", "Hook: 4 mm\n",
)  # fmt: skip

SHEET_PHRASES = (
    "[", "]", "[[", "]]", " = ", '"', "'", '"""', "true", "false", "1", "1e9", "\n", "[rules]\n",
    "[tidy]\n", "[[wording]]\n", "[[folders]]\n", "[[stet]]\n", "2024-05-04", "off", "grade", "in",
    "*.txt", "\\u0041",
)  # fmt: skip


def dictionary(law: str) -> Iterator[str]:
    """The words for a law, each once."""
    words = of_sheets() if law == "style-sheet" else of_patterns(law)
    yield from (word for word in dict.fromkeys(words) if word)


def of_patterns(law: str) -> Iterator[str]:
    """Words of patterns; for the book of what stands, those of the book as well."""
    yield from PHRASES
    for words in WORDS.values():
        yield from words.split("|")[:4]
    yield from basics()
    yield from named()
    for row in table("headings")["heading"]:
        yield row["words"][0].title()
    for row in table("terms")["stitch"]:
        for side in ("us", "us_short", "uk", "uk_short"):
            words = row.get(side, ())
            yield from [words] if isinstance(words, str) else words
    if law == "stet":
        yield "[[stet]]\n"
        yield from (f'{key} = "' for key in STET_KEYS)
        yield from (rule.name for rule in rules())


def of_sheets() -> Iterator[str]:
    """Words of style sheets."""
    yield from SHEET_PHRASES
    yield from (*KEYS, *PAIR, *STET_KEYS, *GRADES)
    for rule in rules():
        yield rule.name
        for option in rule.options:
            yield option.name
            yield from option.choices
    for name, setting in SETTINGS.items():
        yield name
        yield from setting.choices
