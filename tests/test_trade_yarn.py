"""Yarn weights and skill levels against the published tables (keys of sources.toml)."""

from __future__ import annotations

import pytest

from proofhook.trade.levels import is_other_level, level_names, level_sets
from proofhook.trade.yarn import agrees, weight, weights, weights_named

# The Craft Yarn Council's table, current edition, as 222 Handspun reproduces it (H222):
# number, name, a yarn name, stitches to 4 in, hook in mm.  Categories 6 and 7 are in the
# older figures there; 0 is counted in double crochet.
PUBLISHED = [
    (0, "Lace", "fingering", (32, 42), (2.25, 2.25)),
    (1, "Super Fine", "sock", (21, 32), (2.25, 3.5)),
    (2, "Fine", "sport", (16, 20), (3.5, 4.5)),
    (3, "Light", "DK", (12, 17), (4.5, 5.5)),
    (4, "Medium", "worsted", (11, 14), (5.5, 6.5)),
    (5, "Bulky", "chunky", (8, 11), (6.5, 9)),
    (6, "Super Bulky", "roving", (6, 9), (9, 16)),
    (7, "Jumbo", "jumbo", (0, 5), (16, 30)),
]


@pytest.mark.parametrize(("number", "name", "yarn", "gauge", "hooks"), PUBLISHED)
def test_the_published_table(
    number: int, name: str, yarn: str, gauge: tuple[int, int], hooks: tuple[float, float]
) -> None:
    found = weight(number)
    assert found is not None
    assert found.name == name
    assert agrees(number, name) is True
    assert agrees(number, yarn) is True
    assert found.gauge[0] <= gauge[0] <= gauge[1] <= found.gauge[1]
    assert found.takes_hook(hooks[0])
    assert found.takes_hook(hooks[1])


def test_gauge_falls_and_hooks_grow_from_category_to_category() -> None:
    every = weights()
    assert [each.number for each in every] == list(range(8))
    assert [each.gauge[1] for each in every] == sorted((w.gauge[1] for w in every), reverse=True)
    assert [each.hook_mm[0] for each in every] == sorted(each.hook_mm[0] for each in every)


@pytest.mark.parametrize(
    ("name", "numbers"),
    [
        ("worsted weight", [4]),
        ("Double Knitting", [3]),
        ("4-ply", [1, 2]),  # half the charts each; TY and UKPDF have 2
        ("8ply", [3]),
        ("aran yarn", [4]),
        ("bulky", [5, 6]),
        ("tweed", []),
    ],
)
def test_names(name: str, numbers: list[int]) -> None:
    assert [each.number for each in weights_named(name)] == numbers


def test_numbers_and_names_that_do_not_go_together() -> None:
    assert agrees(3, "worsted") is False
    assert agrees(4, "DK") is False
    assert agrees(9, "DK") is None
    assert agrees(4, "tweed") is None


def test_hooks_outside_every_edition() -> None:
    dk = weight(3)
    lace = weight(0)
    assert dk is not None
    assert lace is not None
    assert not dk.takes_hook(2.5)
    assert not dk.takes_hook(9)
    assert lace.takes_hook(1.5)
    assert not lace.takes_hook(5)


def test_levels() -> None:
    """The current set as FIAT gives it (2018), the older as ACA teaches it."""
    assert level_names("current") == ("Basic", "Easy", "Intermediate", "Complex")
    assert level_names("older") == ("Beginner", "Easy", "Intermediate", "Experienced")
    assert level_sets(" easy ") == ("current", "older")
    assert level_sets("complex") == ("current",)
    assert level_sets("Advanced") == ()
    assert is_other_level("Advanced")
    assert not is_other_level("Easy")
