"""Which part of one edition answers to which of the other: an alignment of least cost.

A change costs more than any number of new labels, so that one row put in shifts the others
and changes none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import TypeVar

T = TypeVar("T")
Pair = tuple[T | None, T | None]

#: The costs: a place that is there in one edition only, one that is changed and looks alike,
#: one that is changed past recognition; and what is more than putting in and leaving out.
ALONE, CHANGED, REPLACED = 1_000_000, 1_000_000, 1_600_000
UNLIKE = 2 * ALONE + 1

#: The most pairs that are weighed against each other; longer stretches are first cut at what
#: they have in common.
MOST_WEIGHED = 40_000


def aligned(
    old: Sequence[T],
    new: Sequence[T],
    cost: Callable[[T, T], int],
    key: Callable[[T], Hashable],
) -> list[Pair[T]]:
    """The parts of two editions in pairs, in order; None beside what has no partner.

    ``cost`` says how unlike two parts are, 0 for none at all; ``key`` is alike for parts that
    may serve to cut a long stretch.
    """
    start, end = 0, 0
    least = min(len(old), len(new))
    while start < least and cost(old[start], new[start]) == 0:
        start += 1
    while end < least - start and cost(old[-1 - end], new[-1 - end]) == 0:
        end += 1
    middles = (old[start : len(old) - end], new[start : len(new) - end])
    pairs: list[Pair[T]] = []
    pairs.extend(zip(old[:start], new[:start], strict=True))
    if len(middles[0]) * len(middles[1]) <= MOST_WEIGHED:
        weighed = _of_least_cost(middles[0], middles[1], cost)
        pairs.extend(weighed)
    else:
        cut = _cut(middles[0], middles[1], cost, key)
        pairs.extend(cut)
    if end:
        pairs.extend(zip(old[-end:], new[-end:], strict=True))
    return pairs


def _cut(
    old: Sequence[T],
    new: Sequence[T],
    cost: Callable[[T, T], int],
    key: Callable[[T], Hashable],
) -> Iterator[Pair[T]]:
    """Long stretches, cut at the runs that they have in common."""
    from difflib import SequenceMatcher

    keys = ([key(part) for part in old], [key(part) for part in new])
    at, other = 0, 0
    for block in SequenceMatcher(None, *keys, autojunk=False).get_matching_blocks():
        gaps = (old[at : block.a], new[other : block.b])
        if len(gaps[0]) * len(gaps[1]) <= MOST_WEIGHED:
            yield from _of_least_cost(*gaps, cost)
        else:
            yield from ((part, None) for part in gaps[0])
            yield from ((None, part) for part in gaps[1])
        at, other = block.a + block.size, block.b + block.size
        yield from zip(old[block.a : at], new[block.b : other], strict=True)


def _of_least_cost(
    old: Sequence[T], new: Sequence[T], cost: Callable[[T, T], int]
) -> Iterator[Pair[T]]:
    """The alignment whose pairs and single parts cost the least together."""
    costs = [[cost(one, other) for other in new] for one in old]
    ahead = [[0] * (len(new) + 1) for _ in range(len(old) + 1)]
    for at in range(len(old), -1, -1):
        for other in range(len(new), -1, -1):
            ways = []
            if at < len(old) and other < len(new):
                ways.append(costs[at][other] + ahead[at + 1][other + 1])
            if at < len(old):
                ways.append(ALONE + ahead[at + 1][other])
            if other < len(new):
                ways.append(ALONE + ahead[at][other + 1])
            ahead[at][other] = min(ways, default=0)
    at, other = 0, 0
    while at < len(old) or other < len(new):
        left = ahead[at][other]
        if (
            at < len(old)
            and other < len(new)
            and left == costs[at][other] + ahead[at + 1][other + 1]
        ):
            yield old[at], new[other]
            at, other = at + 1, other + 1
        elif at < len(old) and left == ALONE + ahead[at + 1][other]:
            yield old[at], None
            at += 1
        else:
            yield None, new[other]
            other += 1


def alike(one: frozenset[str], other: frozenset[str]) -> bool:
    """Whether two texts, by the words that occur in them, share at least half of these."""
    return 4 * len(one & other) >= len(one) + len(other)


def likeness(one: Sequence[Hashable], other: Sequence[Hashable]) -> float:
    """How much two sequences have in common, whatever the order: 0 (nothing) to 1 (all)."""
    from collections import Counter

    shared = sum((Counter(one) & Counter(other)).values())
    return 2 * shared / ((len(one) + len(other)) or 1)
