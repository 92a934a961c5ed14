"""A library of made-up patterns, all different, for benchmarks and for tests at large.

The same seed and number always give the same pattern.  Nothing in it is a real design: the
rows are made up at random and come out even.  The folder ``tests`` must be on the path.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

from made_hands import Hand, make_hand
from made_patterns import MadePattern, MadePiece, make_piece
from made_words import notes_of, pieces_of, size_list

PLACES = (
    "Kiln", "Wheel", "Glaze Room", "Clay Pit", "Market Stall", "Drying Shelf", "Slip Bucket",
)  # fmt: skip
THINGS = (
    "Cushion", "Pot Holder", "Tea Cosy", "Beret", "Satchel", "Table Mat", "Blanket", "Shawl",
)  # fmt: skip
WEIGHTS = ("lace", "fingering", "sport", "DK", "worsted", "aran", "chunky")
COLOURS = ("Ochre", "Celadon", "Terracotta", "Cobalt", "Ash", "Oatmeal", "Iron Red")
NAMES = (
    "Base", "Side", "Lid", "Spout", "Handle", "Band", "Strap", "Pocket", "Foot", "Rim", "Knob",
)  # fmt: skip
HEIGHTS = {
    "us": {"sc": "single", "hdc": "half double", "dc": "double", "tr": "treble"},
    "uk": {"dc": "double", "htr": "half treble", "tr": "treble", "dtr": "double treble"},
}
COMMON = {
    "ch": "chain", "sl st": "slip stitch", "st(s)": "stitch(es)", "sp(s)": "space(s)",
    "rep": "repeat", "inc": "increase", "dec": "decrease", "sk": "skip", "rnd(s)": "round(s)",
    "tog": "together",
}  # fmt: skip
LAYOUTS = ("{a}: {m}", "{a} = {m}", "{a} - {m}", "{a} – {m}", "{a}    {m}", "({a}) {m}")


def pattern_text(number: int, seed: int = 1, lines: int | None = None) -> str:
    """Pattern ``number`` of the library; with ``lines``, made exactly that long."""
    choice = random.Random(f"{seed}/{number}")
    hand = make_hand(choice.choice)
    pattern = _pattern(choice)
    text = _assembled(number, choice, hand, pattern)
    while lines is not None and text.count("\n") < lines:
        extra = make_piece(choice.choice, NAMES[len(pattern.pieces) % len(NAMES)], pattern.sizes, 9)
        pattern = MadePattern(pattern.sizes, (*pattern.pieces, extra))
        text = _assembled(number, choice, hand, pattern)
    return text if lines is None else "".join(text.splitlines(keepends=True)[:lines])


def library(count: int, seed: int = 1) -> Iterator[tuple[str, str]]:
    """File names and texts of so many patterns."""
    for number in range(1, count + 1):
        yield f"pattern-{number:04}.txt", pattern_text(number, seed)


def write_library(folder: Path, count: int, seed: int = 1) -> int:
    """Write so many patterns into a folder; the number of lines of all of them."""
    folder.mkdir(parents=True, exist_ok=True)
    lines = 0
    for name, text in library(count, seed):
        (folder / name).write_text(text, "utf-8")
        lines += text.count("\n")
    return lines


def long_pattern(number: int, rows: int = 300, sizes: int = 1) -> str:
    """A pattern of at least so many rows, in pieces of up to 60."""
    choice = random.Random(f"long/{number}/{sizes}")
    hand = make_hand(choice.choice)
    pieces: list[MadePiece] = []
    while sum(len(piece.rows) for piece in pieces) < rows:
        around, again = divmod(len(pieces), len(NAMES))
        name = f"{NAMES[again]} {around + 1}" if around else NAMES[again]
        pieces.append(make_piece(choice.choice, name, sizes, 60))
    return _assembled(number, choice, hand, MadePattern(sizes, tuple(pieces)))


def _pattern(choice: random.Random) -> MadePattern:
    sizes = choice.choice((1, 1, 1, 1, 1, 3, 4))
    names = choice.sample(NAMES, choice.randint(1, 4))
    return MadePattern(sizes, tuple(make_piece(choice.choice, name, sizes, 12) for name in names))


def _assembled(number: int, choice: random.Random, hand: Hand, pattern: MadePattern) -> str:
    """Title, materials, gauge, abbreviations, notes, pieces and finishing."""
    choice = random.Random(f"{number}/{choice.random()}")
    title = f"{choice.choice(PLACES)} {choice.choice(THINGS)} No. {number}"
    parts = [
        title.upper() if choice.random() < 0.5 else title,
        f"Terms: {hand.terms.upper()}",
        _materials(choice),
        _gauge(choice, hand),
        _abbreviations(choice, hand),
    ]
    if pattern.sizes > 1:
        parts.insert(2, f"Sizes: {size_list(pattern.sizes)}")
    notes = [*notes_of(pattern, hand), "Change colours where you like."]
    parts.append("Notes\n" + "\n".join(notes))
    parts += pieces_of(pattern, hand)
    parts.append(
        "Finishing\nFasten off and weave in all ends.\nSew the pieces together with the tail."
    )
    return "\n\n".join(parts) + "\n"


def _materials(choice: random.Random) -> str:
    grams, colour = choice.randint(1, 9) * 50, choice.choice(COLOURS)
    yarn = f"{choice.choice(WEIGHTS)} weight yarn, {grams} g in {colour}"
    hook = f"{choice.choice((2.5, 3, 3.5, 4, 4.5, 5, 6))} mm hook"
    heading = choice.choice(("Materials", "You will need", "MATERIALS:", "Supplies"))
    return f"{heading}\n{yarn}\n{hook}\nYarn needle, stitch marker, scissors"


def _gauge(choice: random.Random, hand: Hand) -> str:
    heading = "Tension" if hand.terms == "uk" else "Gauge"
    stitch = "dc" if hand.terms == "uk" else "sc"
    stitches, rows = choice.randint(10, 28), choice.randint(10, 30)
    return f"{heading}\n{stitches} {stitch} and {rows} rows = 10 cm (4 in)"


def _abbreviations(choice: random.Random, hand: Hand) -> str:
    layout = choice.choice(LAYOUTS)
    heights = {short: f"{words} crochet" for short, words in HEIGHTS[hand.terms].items()}
    listed = {**heights, **COMMON}
    lines = [layout.format(a=short, m=meaning) for short, meaning in sorted(listed.items())]
    return "Abbreviations\n" + "\n".join(lines)


__all__ = ["library", "long_pattern", "pattern_text", "write_library"]
