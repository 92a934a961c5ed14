"""A long pattern in many sizes, made by rule: for the size and the speed of what is shown."""

from __future__ import annotations

from collections.abc import Iterator

SIZES = ("XS", "S", "M", "L", "XL", "2XL")


def garment(rows: int = 400, slips: int = 20) -> str:
    """The text of a long coat of so many rows in six sizes, with a wrong total now and then.

    Every eighth row takes in a stitch at either end until it is half as wide, then puts one
    on again; every row is written out.  ``slips`` totals say two stitches too many in the
    largest size.
    """
    head = "LIGHTHOUSE KEEPER'S COAT\nTerms: US\n"
    head += f"Sizes: {SIZES[0]} ({', '.join(SIZES[1:])})\n\nBODY\n"
    return head + "\n".join(_rows(rows, slips)) + "\nFasten off.\n"


def _rows(rows: int, slips: int) -> Iterator[str]:
    width, inward, every = 160, True, max(1, rows // max(1, slips))
    yield f"Ch {_listed(width + 1)}."
    for number in range(1, rows + 1):
        words = "Ch 1 (does not count as a st), sc in each st across, turn."
        if number == 1:
            words = "Sc in 2nd ch from hook and in each ch across, turn."
        elif number % 8 == 0:
            inward = width > 80 if inward else width > 158
            width += -2 if inward else 2
            ends = "sc2tog" if inward else "2 sc in next st"
            last = 2 if inward else 1
            words = f"Ch 1 (does not count as a st), {ends}, sc in each st to last "
            words += f"{last} st{'s' * (last > 1)}, {ends}, turn."
        wrong = slips and number % every == every // 2
        yield f"Row {number}: {words} ({_listed(width, 2 if wrong else 0)})"


def _listed(width: int, excess: int = 0) -> str:
    figures = [width + 12 * size for size in range(len(SIZES))]
    figures[-1] += excess
    return f"{figures[0]} ({', '.join(map(str, figures[1:]))})"
