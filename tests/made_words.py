"""Made-up patterns written out in words, in the many hands of designers.

The same rows written in any hand mean the same stitches.
"""

from __future__ import annotations

from dataclasses import replace

from made_hands import Hand
from made_patterns import MadePattern, MadePiece, MadeRow, lengths_of
from naive_counter import (
    Along,
    Around,
    Chain,
    FromHook,
    Idle,
    Number,
    Pass,
    Several,
    Shell,
    ShellsAlong,
    Stand,
    Step,
    Work,
)

UK = {"sc": "dc", "hdc": "htr", "dc": "tr", "tr": "dtr"}


def figure(number: Number) -> str:
    """A figure, with the further sizes in brackets."""
    if len(number) == 1:
        return str(number[0])
    return f"{number[0]} ({', '.join(map(str, number[1:]))})"


class Writer:
    """Writes the rows of one piece in one hand."""

    def __init__(self, hand: Hand, piece: MadePiece) -> None:
        self.hand = hand
        self.piece = piece
        self.manner = piece.manner
        self.end = "around" if piece.manner.in_rounds else "across"
        self.space = ""

    # --- rows -------------------------------------------------------------------------

    def row(self, row: MadeRow, following: bool) -> str:
        """A whole row: label, body, how it ends, and the total where one is stated."""
        hand = self.hand
        body = self.body(row)
        if hand.capital:
            body = body[0].upper() + body[1:]
        end = self.ending(row, following)
        total = self.total(row)
        if not total:
            return f"{self.label(row)} {body}{end or '.'}".rstrip()
        if hand.before_end and end and total[0] in "([{":
            return f"{self.label(row)} {body} {total}{end}"
        if total[0] in ":= ":
            return f"{self.label(row)} {body}{end.removesuffix('.')}{total}"
        return f"{self.label(row)} {body}{end or '.'} {total}"

    def label(self, row: MadeRow) -> str:
        """The label: "Rnd 4:", "4th row:", "Rows 4-6:"."""
        hand = self.hand
        form = hand.round_label if self.manner.in_rounds else hand.row_label
        number = str(row.first) if row.first == row.last else f"{row.first}-{row.last}"
        if form.startswith("ordinal"):
            form = "{n} " + form.removeprefix("ordinal ").replace("round", "rnd")
            number = "-".join(map(_ordinal, sorted({row.first, row.last})))
        if form == "{n}" and hand.mark.startswith(" "):
            return f"{number}."
        if row.first != row.last and form in ("Rnd {n}", "Row {n}", "Round {n}"):
            form = form.replace(" ", "s ")
        return form.format(n=number) + hand.mark

    def ending(self, row: MadeRow, following: bool) -> str:
        """How the row is closed: joined or turned, or nothing in a spiral."""
        if row.again:
            return ""
        if not self.manner.in_rounds:
            if self.hand.turn == "chain" and following:
                return f"; {self.turning_chain(self.manner.chains)}, turn."
            return ". Turn." if self.hand.turn == "turn." else ", turn."
        if not self.manner.chains:
            return ""
        if self.hand.join == "Join.":
            return ". Join."
        return f", {self.hand.join.format(k=self.name(self.manner.kind))}."

    def total(self, row: MadeRow) -> str:
        """The total: "(24 sts)", "– 24 (26, 28) sts"."""
        if not row.stated:
            return ""
        form = self.hand.total
        several = any(len(number) > 1 for number, _ in row.stated)
        if several and form in ("({t})", "{{{t}}}"):
            form = "– {t}"
        # After a colon a bare figure could be anything.
        bare = "st" if form.startswith(":") else ""
        units = [self.unit(number, what or bare) for number, what in row.stated]
        return form.format(t=", ".join(units))

    def unit(self, number: Number, what: str) -> str:
        """One figure of a total and what it counts."""
        if not what:
            return figure(number)
        if what == "st":
            return self.hand.units.format(n=figure(number))
        if what.endswith(" sp"):
            return f"{figure(number)} {what}s"
        return f"{figure(number)} {self.name(what)}"

    def name(self, kind: str) -> str:
        """A stitch in the terms of the pattern."""
        return UK[kind] if self.hand.terms == "uk" else kind

    # --- steps ------------------------------------------------------------------------

    def body(self, row: MadeRow) -> str:
        """The instructions of a row."""
        if row.again:
            word = "Rnd" if self.manner.in_rounds else "Row"
            return f"rep {word} {row.again}"
        steps = list(row.steps)
        self.space = space_name(row)
        words: list[str] = []
        if self.hand.turn == "chain" and row.first > 1 and not self.manner.in_rounds:
            steps = [step for step in steps if not isinstance(step, Stand | Idle)]
        if row.below[0] is None:
            return self.into_ring(steps)
        if isinstance(steps[0], FromHook):
            return self.from_hook(steps[0])
        for index, step in enumerate(steps):
            words.append(self.step(step, last=index == len(steps) - 1))
        return self.hand.comma.join(words)

    def into_ring(self, steps: list[Step]) -> str:
        """A first round: "6 sc in magic ring"."""
        words = [self.step(step) for step in steps[:-1]]
        work = steps[-1]
        assert isinstance(work, Work)
        stitches = f"{figure(work.count)} {self.name(work.kind)}"
        if words:
            return ", ".join(["make a magic ring", *words, f"{stitches} in ring"])
        return f"{stitches} in magic ring"

    def from_hook(self, step: FromHook) -> str:
        """A first row into a foundation chain."""
        kind = self.name(self.manner.kind)
        counts = ""
        if step.nth > 2 and not step.counts_as:
            counts = " (skipped chs do not count as a st)"
        elif step.counts_as and self.hand.said == "rows":
            counts = f" (skipped chs count as {kind})"
        return f"{kind} in {_ordinal(step.nth)} ch from hook{counts} and in each ch across"

    def step(self, step: Step, last: bool = False, inside: bool = False) -> str:
        """One instruction in words."""
        match step:
            case Work():
                return self.work(step)
            case Chain():
                return f"ch {step.count}"
            case Pass():
                return _one(self.hand.skip.format(n=figure(step.count)))
            case Shell():
                return self.shell(step)
            case Several():
                return self.several(step, inside)
            case Around():
                return self.around(step)
            case Along():
                return self.along(step)
            case ShellsAlong():
                return f"{self.parts(step.shell)} in each ch-{step.shell.space} sp {self.end}"
            case Stand() | Idle():
                return self.turning_chain(step.chains)
            case FromHook():
                raise AssertionError("a first row is written whole")

    def work(self, step: Work) -> str:
        """Stitches: plain, worked together, or several in one place."""
        hand, kind = self.hand, self.name(step.kind)
        if step.space:
            return f"{step.makes} {kind} in next ch-{step.space} sp"
        if step.uses > 1:
            form = hand.dec if step.uses == 2 else "{k}3tog"
            form = "{k}2tog" if form.startswith("dec") and step.kind != "sc" else form
            words = form.format(k=kind)
        elif step.makes > 1:
            form = hand.inc if step.makes == 2 else hand.three
            form = "2 {k} in next st" if form == "inc" and step.kind != "sc" else form
            words = form.format(k=kind)
        elif step.count == (1,):
            return hand.one.format(k=kind)
        elif len(step.count) > 1 and hand.some == "{n}{k}":
            return f"{figure(step.count)} {kind}"
        else:
            return hand.some.format(k=kind, n=figure(step.count))
        if step.count == (1,):
            return words
        return f"({words}) {figure(step.count)} times" if step.count != (2,) else f"({words}) twice"

    def shell(self, step: Shell) -> str:
        """A group in one place."""
        place = f"next ch-{step.space} sp" if step.space else "next st"
        return f"{self.parts(step)} in {place}"

    def parts(self, step: Shell) -> str:
        """What is in a group: "(2 dc, ch 1, 2 dc)"."""
        words = [
            f"ch {count}"
            if kind == "ch"
            else f"{count} {self.name(kind)}"
            if count > 1
            else self.name(kind)
            for kind, count in step.parts
        ]
        return f"({', '.join(words)})"

    def several(self, step: Several, inside: bool) -> str:
        """A repeat with a number; one inside another always in round brackets."""
        form = "({b}) {n} times" if inside else self.hand.several
        nested = any(isinstance(each, Several) for each in step.body)
        if nested and "*" not in form:
            form = "[{b}] {n} times"
        body = self.inside(step.body)
        more = tuple(times - 1 for times in step.times)
        if "{m}" in form and 1 in more:
            form = "[{b}] {n} times"
        return form.format(b=body, n=figure(step.times), m=figure(more))

    def around(self, step: Around) -> str:
        """A repeat as often as fits."""
        body = self.inside(step.body)
        if step.keep == (0,):
            return self.hand.around.format(b=body, e=self.end)
        return _one(self.hand.until.format(b=body, e=self.end, n=figure(step.keep)))

    def inside(self, body: tuple[Step, ...]) -> str:
        return ", ".join(self.step(each, inside=True) for each in body)

    def along(self, step: Along) -> str:
        """Stitches in every stitch, every space, or both."""
        kind = self.name(step.kind)
        if step.keep != (0,):
            many = f"{step.in_stitch} " if step.in_stitch > 1 else ""
            return _one(f"{many}{kind} in each st to last {figure(step.keep)} sts")
        if not step.in_stitch:
            return f"{step.in_space} {kind} in each {self.space} {self.end}"
        if not self.space:
            if step.in_stitch > 1:
                return f"{step.in_stitch} {kind} in each st {self.end}"
            return self.hand.along.format(k=kind, e=self.end)
        if step.in_space == 1:
            return f"{kind} in each st and in each {self.space} {self.end}"
        return f"{kind} in each st and {step.in_space} {kind} in each {self.space} {self.end}"

    def turning_chain(self, chains: int) -> str:
        """A chain at the start of a row, with what it counts as where rows say so."""
        words = f"ch {chains}"
        if self.hand.said == "notes" or chains == 1:
            return words
        if self.manner.counts:
            return f"{words} (counts as {self.name(self.manner.kind)})"
        return f"{words} (does not count as a st)"


def space_name(row: MadeRow) -> str:
    """What the chain spaces of the row below are called; "" where there are none."""
    lengths = lengths_of(row.below)
    if not lengths:
        return ""
    return f"ch-{min(lengths)} sp" if len(lengths) == 1 else "ch sp"


def _ordinal(number: int) -> str:
    ends = {1: "st", 2: "nd", 3: "rd"}
    return f"{number}{'th' if number in (11, 12, 13) else ends.get(number % 10, 'th')}"


def _one(words: str) -> str:
    """One stitch is no "1 sts"."""
    words = words.replace("next 1 sts", "next st").replace("last 1 sts", "last st")
    return words.replace("until 1 sts remain", "until 1 st remains").replace(" 1 sts", " 1 st")


# --- whole patterns -------------------------------------------------------------------

SIZE_NAMES = ("S", "M", "L", "XL")


def written(pattern: MadePattern, hand: Hand) -> str:
    """The pattern in words: title, terms, sizes, notes and pieces, and nothing else."""
    parts = ["THE POTTER'S SHELF", f"Terms: {hand.terms.upper()} crochet terms"]
    if pattern.sizes > 1:
        parts.append(f"Sizes: {size_list(pattern.sizes)}")
    if notes := notes_of(pattern, hand):
        parts.append("Notes\n" + "\n".join(notes))
    return "\n\n".join([*parts, *pieces_of(pattern, hand)]) + "\n"


def size_list(sizes: int) -> str:
    """The sizes: "S (M, L)"."""
    return f"{SIZE_NAMES[0]} ({', '.join(SIZE_NAMES[1:sizes])})"


def pieces_of(pattern: MadePattern, hand: Hand) -> list[str]:
    """Each piece with its heading and its rows."""
    hand = _clear(pattern, hand)
    return [_piece(piece, hand) for piece in pattern.pieces]


def notes_of(pattern: MadePattern, hand: Hand) -> list[str]:
    """What the notes say about turning chains; nothing where the rows say it themselves."""
    hand = _clear(pattern, hand)
    return _notes(pattern, hand) if hand.said == "notes" else []


def _clear(pattern: MadePattern, hand: Hand) -> Hand:
    """Where pieces differ in whether a chain counts, the rows have to say so."""
    said: dict[int, tuple[bool, str]] = {}
    for piece in pattern.pieces:
        manner = piece.manner
        taken = (manner.counts, manner.kind if manner.counts else "")
        if said.setdefault(manner.chains, taken) != taken:
            return replace(hand, said="rows")
    return hand


def _notes(pattern: MadePattern, hand: Hand) -> list[str]:
    """What the notes say about turning chains."""
    notes: list[str] = []
    for piece in pattern.pieces:
        manner, writer = piece.manner, Writer(hand, piece)
        if manner.chains < 2:
            continue
        end = "rnd" if manner.in_rounds else "row"
        counts = f"counts as {writer.name(manner.kind)}"
        words = counts if manner.counts else "does not count as a st"
        notes.append(f"Ch {manner.chains} at the beginning of a {end} {words}.")
    return list(dict.fromkeys(notes))


def _piece(piece: MadePiece, hand: Hand) -> str:
    """The heading, the foundation chain and the rows of a piece."""
    writer = Writer(hand, piece)
    lines = [piece.name]
    if piece.foundation:
        lines.append(f"Ch {figure(piece.foundation)}.")
    last = piece.rows[-1]
    lines += [writer.row(row, row is not last or row.first < row.last) for row in piece.rows]
    return "\n".join(lines)
