"""First rows and flat circles against the published examples and figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofhook.trade import table
from proofhook.trade.turning_chains import chains_needed, circle, first_row, turning_chain


@pytest.mark.parametrize(
    ("source", "chains", "into", "counts", "stitches"),
    [
        ("BELLA, 2011: ch 12, dc in 4th ch", 12, 4, True, 10),
        ("HAN68, 2018, UK terms: 36 + 2 ch, tr in 4th ch", 38, 4, True, 36),
        ("Design Crochet, a lesson: ch 11, sc in 2nd ch", 11, 2, False, 10),
    ],
)
def test_published_first_rows(
    source: str, chains: int, into: int, counts: bool, stitches: int
) -> None:
    assert first_row(chains, into, counts=counts) == stitches, source
    rows = table("turning_chains")["example"]
    assert any(
        (row["chains"], row["into"], row["stitches"]) == (chains, into, stitches) for row in rows
    )


@given(chains=st.integers(2, 400), into=st.integers(1, 8), counts=st.booleans())
def test_a_first_row_by_counting_chains_off(chains: int, into: int, counts: bool) -> None:
    """The formula against walking along the chain and working every one that is left."""
    if into > chains:
        with pytest.raises(ValueError, match="there is no chain"):
            first_row(chains, into, counts=counts)
        return
    worked = ["skipped" if at < into else "stitch" for at in range(1, chains + 1)]
    stitches = worked.count("stitch") + (1 if counts else 0)
    assert first_row(chains, into, counts=counts) == stitches
    assert chains_needed(stitches, into, counts=counts) == chains


# Round 1 and increases of a flat circle, US terms: craftymaria 2009 (CRAFTYMARIA).
@pytest.mark.parametrize(("stitch", "begins"), [("sc", 6), ("hdc", 8), ("dc", 12)])
def test_flat_circles(stitch: str, begins: int) -> None:
    found = circle(stitch, "us")
    assert found is not None
    assert found.begins == (begins,)
    assert [found.is_flat(begins * number, number) for number in (1, 2, 7)] == [True] * 3
    assert not found.is_flat(begins * 3 - 1 - 6 * (stitch == "dc"), 3)
    assert not found.is_flat(begins * 12, 6)


@pytest.mark.parametrize(
    ("us", "uk"), [("sc", "dc"), ("hdc", "htr"), ("dc", "tr"), ("tr", "dtr"), ("dtr", "trtr")]
)
def test_both_names_have_the_same_figures(us: str, uk: str) -> None:
    assert turning_chain(us, "us") == turning_chain(uk, "uk")
    assert turning_chain(us, "us") is not None
    assert circle(us, "us") == circle(uk, "uk")


# dummies.com (DUMMIES): chains to turn, and the chain that the first stitch goes into.
@pytest.mark.parametrize(
    ("stitch", "chains", "into"),
    [("sc", 1, 2), ("hdc", 2, 3), ("dc", 3, 4), ("tr", 4, 5), ("dtr", 5, 6)],
)
def test_published_turning_chains(stitch: str, chains: int, into: int) -> None:
    found = turning_chain(stitch, "us")
    assert found is not None
    assert found.chains == chains
    assert found.into[0] == into


def test_where_sources_are_divided_nothing_is_decided() -> None:
    hdc = turning_chain("hdc", "us")
    dc = turning_chain("dc", "us")
    sc = turning_chain("sc", "us")
    assert hdc is not None
    assert hdc.counts is None
    assert dc is not None
    assert dc.counts is True
    assert sc is not None
    assert sc.counts is False
    assert turning_chain("shell", "us") is None
