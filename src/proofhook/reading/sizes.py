"""Size lists: "18 (20, 22, 24)" is one number for each size."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from functools import cache

from proofhook import expressions as rx
from proofhook.expressions import Sought, expression
from proofhook.passages import kept
from proofhook.pattern import Amount
from proofhook.reading.words import MOST_SIZED, NUMBER_WORDS, folded

_WORDS = "|".join(sorted(NUMBER_WORDS, key=len)[::-1])
FIGURE = rf"(?:\d{{1,5}}|(?:{_WORDS})\b|[-\u2013\u2014](?!\d))"
#: A figure stands by itself, or after a sign of multiplication: "(sc, inc)x5 (7, 9)".
_BEFORE = r"(?:(?<![\w.])|(?<=[)\]*]x))"
_UNIT = r"(?:sts?|stitch(?:es)?|sc|dc|hdc|htr|d?tr)\b"
COMMA = r"\s*[,:;/]\s*"

#: No pattern is written for more sizes; a longer list is none of sizes.
MOST_SIZES = 24

#: A bracket that holds nothing but figures, after a figure: "18 (20, 22)", "18 [20: 22]".
LIST = expression(
    rf"[(\[]\s*({FIGURE}(?:(?:{COMMA}|\s*[-\u2013\u2014]\s*){FIGURE})+)\s*[)\]]", re.I
)
#: The figure before it, which is looked for where such a bracket stands: few do.
_FIRST = expression(rf"{_BEFORE}{FIGURE}\s*\Z", re.I)
_LONGEST_FIGURE = 12


def size_count(parts: Sequence[str], line_ends: Sequence[int]) -> int:
    """How many sizes the figures of a text are given for; 1 where there are no lists.

    ``parts`` are its passages, evened; ``line_ends`` the offsets at which its lines end,
    the last that of the text.
    The commonest length of at least two lists wins: a stray "sc in next 5 (6)" is none.
    """
    lengths: Counter[int] = Counter()
    in_groups = [length for part in parts for length in _in_groups(part)]
    if len(in_groups) >= 2:
        lengths.update(in_groups)
        parts = [_IN_GROUPS.sub(lambda found: " " * len(found.group()), part) for part in parts]
    for of_one_kind in zip(*map(_lengths, parts), strict=True):
        for of_one_part in of_one_kind:
            lengths.update(of_one_part)
    text = "".join(parts)
    for length in [length for length in lengths if length > MOST_SIZES]:
        del lengths[length]
    declared = _declared(text)
    if declared == 2 and not lengths and _in_two_sizes(text, line_ends):
        return 2
    if not lengths and _TWO_NAMED.search(text) and len(_BOTH_IN_ONE.findall(text)) >= 2:
        return 2
    ranges = set(lengths) == {3} and len(_PAIR.findall(text)) > 2 * lengths[3]
    if declared == 2 and ranges:
        return 2  # "Rows 27-30 (29-32)" are ranges
    if declared > 2 and lengths[declared] and lengths[declared] == max(lengths.values()):
        return declared
    if not lengths:
        return _in_commas(text)
    length, times = lengths.most_common(1)[0]
    return length if times >= 2 else 1


@kept
def _in_groups(words: str) -> tuple[int, ...]:
    """The lengths of the lists in groups."""
    return tuple(len(rx.findall(r"\d+", found)) for found in _IN_GROUPS.findall(words))


@kept
def _lengths(words: str) -> tuple[tuple[int, ...], ...]:
    """The lengths of the lists in a passage, kind by kind."""
    lists = (each for each in LIST.finditer(words) if _follows_a_figure(words, each.start()))
    return (
        tuple(1 + len(rx.findall(FIGURE, each[1])) for each in lists),
        *(
            tuple(len(rx.findall(r"\d+", each)) for each in kind.findall(words))
            for kind in (_HYPHENED, _SPACED, _SLASHED, _IN_BRACKETS, _PAIRS, _EACH_IN_ITS_OWN)
        ),
    )


_HYPHENED = expression(r"(?<![\w-])\d{2,3}(?:-\d{2,3}){2,}(?![\w-])")
_SPACED = expression(r"(?<![\w-] )(?<![\w-])\d{1,3}(?: [-\u2013] \d{1,3}){2,}(?! ?[-\u2013]| ?\d)")
_SLASHED = expression(r"(?<![\w/.])\d{1,3}(?:/\d{1,3}){2,}(?![\w/])")
_IN_BRACKETS = expression(rf"[(\[]\s*\d+(?:\s*,\s*\d+){{2,}}\s*[)\]]\s*{_UNIT}")
_PAIRS = expression(r"(?<![\w.])(?:\d{1,4}\s*[(\[]\s*\d{1,4}\s*[)\]]\s*){2,}(?:\d{1,4})?")
#: "18 (20) [22] {24}": a kind of bracket for each further size.
_EACH_IN_ITS_OWN = expression(
    r"(?<![\w.])\d{1,4}\s*\(\s*\d{1,4}\s*\)(?:\s*[\[{<]\s*\d{1,4}\s*[\]}>]){1,3}"
)


#: "72 (78, 84) (84, 90, 96) (96, 102, 108)": the sizes in groups.
_IN_GROUPS = expression(
    r"(?<![\w.])\d{1,4}(?:\s*[(\[]\s*\d{1,4}(?:\s*,\s*\d{1,4}){1,8}\s*[)\]]){2,6}"
)


def _follows_a_figure(text: str, at: int) -> bool:
    start = at
    while start and text[start - 1].isspace():
        start -= 1
    return _FIRST.search(text, max(0, start - _LONGEST_FIGURE), at) is not None


#: "18 (20) sts", "next 18 (20)": a figure for each of two sizes.
_PAIR = expression(r"(?<![\w.])(\d{1,4})\s*[(\[]\s*(\d{1,4})\s*[)\]]")
#: What says that the figures after it are no part of the work: "ch 7 (9)", "\u2013 12 (14)".
_ANNOUNCES = expression(r"(?:\bch(?:ain)?|[=:\u2013\u2014-])\s*\Z", re.I)
#: What may stand between a row's total and the end of its line.
_ROW_ENDS = expression(r"[\s.,;]*(?:(?:turn|join)\b[\s.]*)?", re.I)
_MEASURE = expression(
    r"\s*(?:g|kg|oz|m|cm|mm|in|inch(?:es)?|ins|yds?|yards?|metres?|meters?|balls?|skeins?|%"
    r"|months?|mths?|years?|yrs?)\b",
    re.I,
)
#: A figure in brackets after a word: "sc around (24)".
_BARE_TOTAL = expression(r"(?<=[a-z)\]])[.,;]?\s+[(\[]\d{1,4}[)\]]", re.I)


def _in_two_sizes(text: str, line_ends: Sequence[int]) -> bool:
    """Whether the pairs of figures in a pattern for two sizes are theirs.

    "(sc, inc) x 6 (18)" at the end of a row is a figure and a total where other rows have
    totals of this form.
    """

    def ends_a_row(found: re.Match[str]) -> bool:
        line_end = line_ends[bisect_left(line_ends, found.end())]
        return _ROW_ENDS.fullmatch(text, found.end(), line_end) is not None

    totals = any(map(ends_a_row, _BARE_TOTAL.finditer(text)))
    at_ends = measures = 0
    for pair in _PAIR.finditer(text):
        announced = _ANNOUNCES.search(text, max(0, pair.start() - 8), pair.start())
        if ends_a_row(pair) and pair[1] == pair[2]:
            totals = True
        elif ends_a_row(pair) and not announced:
            at_ends += 1
        elif not _MEASURE.match(text, pair.end()):
            return True
        else:
            measures += 1
    return measures + (0 if totals else at_ends) >= 2


_SIZE_WORD = (
    r"(?:XXS|XS|S|M|L|XL|XXL|[2-5]XL?|[2-5]X|S/M|L/XL|small|medium|large|newborn|preemie|baby|child|children|"
    r"toddler|adult|teen|youth|kids?|women|men|ladies|mens|womens|petite|regular|\d{1,3}(?:-\d{1,2})?"
    r"(?:\s*(?:months?|years?|yrs?|mths?|cm|in(?:ches)?|\"))?)"
)
_DECLARED = Sought(
    rf"(?i)(?<!\w)(?:sizes?\b[^:\d.]{{0,20}}[:\s*_]+|to fit:?\s+){_SIZE_WORD}"
    rf"\s*[(\[]\s*(?P<rest>{_SIZE_WORD}(?:\s*[,:;/]\s*{_SIZE_WORD})*)\s*[)\]]",
    begins="size|to fit",
)


_SYSTEMS = expression(r"(?<=\d)\s*(cm|in|\")", re.I)

#: "Bonnet (small, large)", "where there are two numbers in brackets".
_TWO_NAMED = expression(
    rf"[(\[]\s*{_SIZE_WORD}\s*[,/]\s*{_SIZE_WORD}\s*[)\]]|\b(?:two|2) (?:sizes|numbers|figures)\b",
    re.I,
)
#: "(12, 14 dc)": the figures of two sizes, with one unit.
_BOTH_IN_ONE = expression(
    rf"[(\[]\s*\d{{1,4}}\s*[,/]\s*\d{{1,4}}\s*(?:[)\]]\s*)?{_UNIT}",
    re.I,
)


#: "Second size in square brackets", "numbers for L/XL in brackets".
_SECOND_IN_BRACKETS = Sought(
    r"\b(?:second|larger|bigger|other|adult) size (?:is |figures? )?in (?:(?:square|round) )?(?:brackets|parenthes[ei]s)"
    r"|\b(?:numbers?|figures?) for (?:the )?[\w/]+(?: sizes?)? (?:are |is )?in (?:(?:square|round) )?(?:brackets|parenthes[ei]s)"
    r"|\b(?:one|single) (?:number|figure)(?: is given)?,? (?:it )?(?:fits|is for|serves|applies to) both\b",
    re.I,
    begins="second|larger|bigger|other|adult|number|figure|one|single",
)


#: "dc in next 15, 18, 21, 24 dc": a figure for each of the sizes that were named in a row.
_COMMAED = expression(
    r"(?<![\w.,-])(?<![\w,] )?\d{1,4}(?:, \d{1,4}){2,}(?! ?[,\d])(?= ?[a-z])", re.I
)


def _in_commas(text: str) -> int:
    """How many sizes there are where their figures stand between commas, without brackets.

    "SIZES: S, M, L, XL" must name them, and four lists must be as long; 1 otherwise.
    """
    named = _NAMED_IN_A_ROW.search(text)
    if named is None:
        return 1
    sizes = len(rx.split(r"\s*[,;|]\s*", named["names"]))
    lists = [each.count(",") + 1 for each in _COMMAED.findall(text)]
    return sizes if lists.count(sizes) >= 4 and lists.count(sizes) * 4 >= 3 * len(lists) else 1


def _declared(text: str) -> int:
    """How many sizes are named: "Sizes: Child (Adult)"; 0 where none are."""
    if _SECOND_IN_BRACKETS.first(text):
        return 2
    found = _DECLARED.first(text)
    if found is None or len({*_SYSTEMS.findall(found[0])}) > 1:
        return 0  # "Size: 20 cm (8 in)" is one size, measured twice
    return 1 + len(re.split(r"[,:;]|(?<![SM])/(?!X?L)", found["rest"]))


#: "(16, 18, 20) sts": all the sizes in the bracket, none before it.
_IN_ONE = expression(
    rf"(?<![\w.])(?<!\d )[(\[]\s*\d{{1,4}}(?:\s*,\s*\d{{1,4}}){{2,}}\s*[)\]]\s*{_UNIT}"
)


@cache
def _expressions(sizes: int, in_one: bool, in_commas: bool) -> re.Pattern[str]:
    told = (
        rf"(?<=[(\[]){FIGURE}(?:\s*[,/]\s*{FIGURE}){{{sizes - 1}}}(?=\s[a-z][a-z -]{{1,18}}[)\]])"
    )
    inner = rf"{FIGURE}(?:(?:{COMMA}|\s*[-\u2013\u2014]\s*){FIGURE}){{{sizes - 2}}}"
    if sizes == 2:
        pair = rf"{FIGURE}\s*[(\[]\s*{FIGURE}\s*[)\]](?![\d-])"
        both = rf"[(\[]\s*{FIGURE}\s*[,/]\s*{FIGURE}\s*[)\]](?=\s*{_UNIT})"
        return re.compile(rf"{_BEFORE}(?:{pair}|{both})|{told}", re.I)
    commas = rf"{FIGURE}(?:{COMMA}{FIGURE}){{{sizes - 1}}}"
    forms = [
        rf"{FIGURE}\s*[(\[]\s*{inner}\s*[)\]]",
        rf"[(\[]\s*{commas}\s*[)\]](?=\s*(?:sts?|stitch(?:es)?|ch|sc|dc|hdc|htr|d?tr|rows?|rnds?|times)\b)",
    ]
    forms.append(rf"(?:(?<=ch )|(?<=chain )|(?<=Ch )|(?<=Chain ))[(\[]\s*{commas}\s*[)\]]")
    if in_commas:
        forms.append(rf"\d{{1,4}}(?:, \d{{1,4}}){{{sizes - 1}}}(?! ?,? ?\d)")
    if in_one or sizes > 2:
        forms.append(rf"[(\[]\s*{commas}\s*[)\]]")
    if sizes >= 5:
        group = rf"\s*[(\[]\s*{FIGURE}(?:{COMMA}{FIGURE})*\s*[)\]]"
        forms.insert(0, rf"{FIGURE}(?:{group}){{2,6}}(?!\s*[(\[]\s*\d+\s*,)")
    if sizes >= 3:
        forms.append(r"\d{1,3}(?:st|nd|rd|th)(?:-\d{1,3}(?:st|nd|rd|th)){" + str(sizes - 1) + r"}")
        forms.append(r"\d{1,5}(?:-\d{1,5}){" + str(sizes - 1) + r"}")
        forms.append(r"\d{1,4}(?: [-\u2013] \d{1,4}){" + str(sizes - 1) + r"}")
        forms.append(r"\d{1,4}(?:/\d{1,4}){" + str(sizes - 1) + r"}(?![/\w])")
        forms.append(
            rf"{FIGURE}\s*\(\s*{FIGURE}\s*\)(?:\s*[\[{{<]\s*{FIGURE}\s*[\]}}>]){{{sizes - 2}}}"
        )
        pairs = [rf"{FIGURE}\s*[(\[]\s*{FIGURE}\s*[)\]]"] * (sizes // 2)
        if sizes % 2:
            pairs.append(FIGURE)
        forms.append(r"\s*".join(pairs))
    return re.compile(
        rf"{_BEFORE}(?:{'|'.join(f'(?:{form})' for form in forms)})(?!\d|-(?!\d{{1,3}}\s?[(\[]))|{told}",
        re.I,
    )


_ONE = expression(FIGURE, re.I)
_ROWS_BEFORE = expression(r"(?:rows?|rnds?|rounds?|sizes?)\s*$", re.I)


def _figure(word: str) -> int:
    if word[0].isdigit():
        return int(word)
    return NUMBER_WORDS.get(word.lower(), 0)


def fold_sizes(text: str, sizes: int) -> str:
    """The text with every size list of the right length folded into one stand-in number.

    Same length in, same length out; lists of another length are left alone, and those
    that come after ``MOST_SIZED`` different ones.
    """
    if sizes < 2:
        return text
    met: set[Amount] = set()

    def fold(found: re.Match[str]) -> str:
        words = found.group()
        if words[0] in "([" and _ROWS_BEFORE.search(
            text, max(0, found.start() - 12), found.start()
        ):
            return words
        words = rx.sub(r"(?<=\d)(?:st|nd|rd|th)\b", "  ", words)
        figures = _ONE.findall(rx.sub(r"(?<=\d)\s*[-\u2013\u2014]\s*(?=\d)", ",", words))
        values: Amount = tuple(_figure(word) for word in figures)
        if len(values) != sizes or (len(met) >= MOST_SIZED and values not in met):
            return words
        met.add(values)
        if words[0] in "([" and _is_total(text, found.start(), found.end()):
            return words[0] + folded(values, len(words) - 2) + words[-1]
        return folded(values, len(words))

    in_one = sum(found.group().count(",") == sizes - 1 for found in _IN_ONE.finditer(text)) >= 2
    in_commas = sizes > 2 and _in_commas(text) == sizes and LIST.search(text) is None
    return _expressions(sizes, in_one, in_commas).sub(fold, text)


#: What a list in one bracket belongs to, where it is no total: "ch (52, 56, 56)".
_TAKES_A_FIGURE = expression(
    r"(?:\b(?:ch|chain|next|last|first|skip|sk|work|make|in|to|for|of|each|x)|[\w]-)\s*\Z", re.I
)
_LINE_ENDS = expression(r"[\s.,;]*?(?:(?:turn|join)\b[\s.]*?)?(?:[\r\n]|\Z)", re.I)


def _is_total(text: str, start: int, end: int) -> bool:
    """Whether a list in one bracket ends a line, and states its total: "Join. (52, 56, 56)"."""
    before = _TAKES_A_FIGURE.search(text, max(0, start - 10), start)
    return before is None and _LINE_ENDS.match(text, end) is not None


LONGEST_NAME = 14
_NAMES = expression(
    r"(?P<first>XXS|XS|S|M|L|Small|Medium|Large|Newborn|Preemie|Baby|Child|Toddler|Adult|Teen|\d{1,3}(?:-\d{1,2})?)\s*[(\[](?P<rest>[\w/.,:;\s-]{1,200})[)\]]",
)


#: "Sizes: XS/S, M/L, XL".
_NAMED_IN_A_ROW = expression(
    rf"(?i)(?<!\w)sizes?\s*:\s*(?P<names>{_SIZE_WORD}(?:/{_SIZE_WORD})?(?:\s*[,;|]\s*{_SIZE_WORD}(?:/{_SIZE_WORD})?){{1,12}})(?![\w/])"
)


def size_names(text: str, sizes: int) -> tuple[str, ...]:
    """The names of the sizes: "S (M, L)" or the first list of the right length; else numbers."""
    if sizes < 2:
        return ("one size",)
    lettered: tuple[str, ...] | None = None
    for found in _NAMES.finditer(text):
        rest = re.split(r"\s*[,:;/]\s*", found["rest"].strip())
        if len(rest) == sizes - 1 and all(0 < len(name) <= LONGEST_NAME for name in rest):
            names = (found["first"], *rest)
            if not found["first"].isdigit():
                return names
            lettered = lettered or names
    for found in _NAMED_IN_A_ROW.finditer(text):
        listed = tuple(rx.split(r"\s*[,;|]\s*", found["names"]))
        if len(listed) == sizes:
            return listed
    return lettered or tuple(str(number) for number in range(1, sizes + 1))
