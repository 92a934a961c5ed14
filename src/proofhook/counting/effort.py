"""How much work a pattern may take: rows are worked again in other readings only so often.

A row that comes out is worked once.  One that does not is worked again in other readings of
its words, from other rows below and under other customs; a text in which nothing comes out
could ask for that without end.  What is left when the work is used up is reported unread.
"""

from __future__ import annotations

from typing import NamedTuple

#: Work is measured in steps of a row; each row takes these as well, whatever is in it.
A_ROW = 4
#: For rows in their usual reading: so much, and more as the text is longer.  No pattern that
#: is shipped takes more than 5,000.
USUAL, CHARACTERS_A_STEP = 60_000, 4
#: For the same rows once more, in other readings: so much, and more for each row and size.
#: The shipped pattern that takes most of it takes 3,000 for 108 of them.
FURTHER, FURTHER_A_ROW, MOST_FURTHER = 40_000, 8, 60_000

#: Why a row is unread, where the work was used up.
TOO_LONG = "the rows before it took all the work that is done for one pattern"
NOT_ALL_TRIED = "so many rows do not come out that not all ways to read this one were tried"


class Spent(NamedTuple):
    """The work that something took: rows in their usual reading, and in others."""

    usual: int
    further: int


class Effort:
    """What is left of the work for a pattern of so many characters and rows in all sizes."""

    __slots__ = ("further", "usual")

    def __init__(self, characters: int, rows: int) -> None:
        self.usual = USUAL + characters // CHARACTERS_A_STEP
        self.further = min(FURTHER + FURTHER_A_ROW * rows, MOST_FURTHER)

    def spend(self, steps: int, usual: bool) -> None:
        """Take off the steps of a row that was worked, in its usual reading or in another."""
        if usual:
            self.usual -= A_ROW + steps
        else:
            self.further -= A_ROW + steps

    def left(self, usual: bool) -> bool:
        """Whether a row may be worked."""
        return (self.usual if usual else self.further) > 0

    def since(self, before: Spent) -> Spent:
        """The work that was taken off since there was so much left."""
        return Spent(before.usual - self.usual, before.further - self.further)

    def left_now(self) -> Spent:
        """How much is left of both."""
        return Spent(self.usual, self.further)

    def affords(self, spent: Spent) -> bool:
        """Whether work can be taken off once more without any of its rows going short."""
        return self.usual > spent.usual and self.further > spent.further

    def take(self, spent: Spent) -> None:
        """Take off work that was done before and need not be done again."""
        self.usual -= spent.usual
        self.further -= spent.further
