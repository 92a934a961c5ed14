r"""The calls for other programs: a text in, a pattern, a tally or findings out.

>>> import proofhook
>>> pattern = proofhook.read("Rnd 1: 6 sc in a magic ring. (6)\nRnd 2: 2 sc in each st. (11)")
>>> [row.worked for row in pattern.tally().rows]
[(6,), (12,)]
>>> [finding.message for finding in pattern.proof().findings]
['The round makes 12 sts, but the total says 11.']
"""

from __future__ import annotations

import os

from proofhook.counting import tally as counting
from proofhook.counting.result import RowTally, Tally, Verdict
from proofhook.pattern import Pattern
from proofhook.proofing.finding import Finding, Grade, Mend
from proofhook.proofing.house import House, HouseError, check_house, find_sheet, read_house
from proofhook.proofing.plugins import load
from proofhook.proofing.proof import Proof
from proofhook.proofing.proof import proof as proofed
from proofhook.reading import read as read_source
from proofhook.text import Edit, Source, apply_edits
from proofhook.tidying.tidy import Tidied, tidied
from proofhook.translating.proved import Edition, Refusal, second_edition

__all__ = [
    "Edit",
    "Edition",
    "Finding",
    "Grade",
    "House",
    "HouseError",
    "Mend",
    "Pattern",
    "Proof",
    "Refusal",
    "RowTally",
    "Tally",
    "Tidied",
    "Verdict",
    "apply_edits",
    "house",
    "proof",
    "read",
    "tally",
    "tidy",
    "translate",
]


def read(text: str, path: str = "", house: House | None = None) -> Pattern:
    """The model of a pattern's text; ``path`` is only kept for messages.

    Every text can be read: what is not understood is in the rows as unread words.  With a
    house, its plug-ins' words for stitches and headings are known.

    >>> [row.name for row in read("Rnd 1: 6 sc in a magic ring.").rows]
    ['Rnd 1']
    """
    if house is None or not house.plugins:
        return read_source(Source(path, text))
    return read_source(Source(path, text), own=load(house.plugins).words)


def tally(pattern: Pattern) -> Tally:
    """What every row of the pattern makes, beside what it states.

    >>> [row] = tally(read("Rnd 1: 6 sc in a magic ring. (7)")).rows
    >>> row.stated, row.worked, row.verdict is Verdict.DIFFERS
    ((7,), (6,), True)
    """
    return counting.tally(pattern)


def house(path: str | os.PathLike[str] = "") -> House:
    """The house whose style sheet this is, or lies nearest above this folder or file.

    A house without wishes where there is none.  Raises HouseError where the sheet cannot
    be used.

    >>> house("/").failing.word
    'error'
    """
    name = os.fspath(path)
    if name.endswith(".toml"):
        return read_house(name)
    pattern = os.path.join(name, "any.txt") if os.path.isdir(name or ".") else name
    sheet = find_sheet(os.path.dirname(pattern))
    return read_house(sheet).in_folder_of(pattern) if sheet else House()


def proof(pattern: Pattern, house: House | None = None) -> Proof:
    """What the rules of a house find in the pattern; by default a house without wishes.

    A plug-in that cannot be used is told of in the proof's ``failures``; the other rules
    go on.  Raises HouseError where the settings of the house cannot be used.

    >>> done = proof(read("Rnd 1: 6 sc in a magic ring. (7)"))
    >>> done.failing, [finding.rule for finding in done.findings]
    (1, ['stitch-total'])
    """
    house = house or House()
    pack = load(house.plugins)
    check_house(house, pack.rules, all_there=not pack.troubles)
    done = proofed(pattern, counting.tally(pattern), house, pack.rules)
    return done._replace(failures=(*pack.troubles, *done.failures))


def tidy(pattern: Pattern, house: House | None = None) -> Tidied:
    r"""The pattern in the layout of a house; by default of one without wishes.

    What it says stays the same, word for word; where that cannot be proved, ``after`` is
    the pattern as it was and ``reason`` says why, in a sentence.

    >>> done = tidy(read("Rnd 1: 6 sc in a magic ring. (6)  "))
    >>> done.after.source.text
    'Rnd 1: 6 sc in a magic ring. (6)\n'
    """
    return tidied(pattern, house or House())


def translate(pattern: Pattern, to: str, terms: str = "") -> Edition | Refusal:
    r"""A second edition of the pattern in the terms ``to``, "us" or "uk".

    ``terms`` are those the pattern is in; where it is "" its text has to tell.  An edition
    is proved to make the same; where it is not there is a Refusal that says ``why``.

    >>> made = translate(read("US terms\n\nRnd 1: 6 sc in a magic ring. (6 sc)"), "uk")
    >>> made.text.splitlines()
    ['UK terms', '', 'Rnd 1: 6 dc in a magic ring. (6 dc)']
    >>> translate(read("Rnd 1: 12 dc in a magic ring. (12)"), "uk").asks
    True
    """
    if to not in ("us", "uk"):
        raise ValueError(f'the terms to translate to are "us" or "uk", not {to!r}')
    return second_edition(pattern.source, to, terms)
