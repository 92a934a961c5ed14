"""Hook sizes against published tables (each named by its key in sources.toml)."""

from __future__ import annotations

import pytest

from proofhook.trade.hooks import (
    Meaning,
    is_listed,
    meanings,
    read_label,
    steel_agrees,
    steel_sizes,
    uk_agrees,
    uk_numbers,
    uk_sizes,
    us_agrees,
    us_labels,
    us_sizes,
)

# The Craft Yarn Council's list of 2018, 2.25 to 10 mm, in second-hand quotation (CYC2018).
CYC2018 = {
    2.25: "B-1", 2.75: "C-2", 3.25: "D-3", 3.5: "E-4", 3.75: "F-5", 4.0: "G-6", 4.5: "7",
    5.0: "H-8", 5.5: "I-9", 6.0: "J-10", 6.5: "K-10 1/2", 8.0: "L-11", 9.0: "M/N-13",
    10.0: "N/P-15",
}  # fmt: skip
# A chart of millimetres, US and UK labels on matifs.com (MATIFS).
MATIFS = {
    2.0: ("B/1", "14"), 2.25: ("B/1", "13"), 2.75: ("C/2", "12"), 3.25: ("D/3", "10"),
    3.5: ("E/4", "9"), 3.75: ("F/5", ""), 4.0: ("G/6", "8"), 4.5: ("7", "7"),
    5.0: ("H/8", "6"), 5.5: ("I/9", "5"), 6.0: ("J/10", "4"), 6.5: ("K/10.5", "3"),
    8.0: ("L/11", "0"), 9.0: ("M/N/13", "00"), 10.0: ("N/P/15", "000"),
}  # fmt: skip
# A UK shop's needle and hook chart (TY); its column of UK numbers runs a step off at 6-7 mm.
TY = {
    2.25: ("B/1", "13"), 2.75: ("C/2", "11"), 3.25: ("D/3", "10"), 3.5: ("E/4", "9"),
    3.75: ("F/5", ""), 4.0: ("G/6", "8"), 5.0: ("H/8", "6"), 5.5: ("I/9", "5"),
    6.0: ("J/10", "3"), 6.5: ("K/10.5", "2"), 8.0: ("L/11", "0"), 9.0: ("M/13", "00"),
    10.0: ("N/15", "000"),
}  # fmt: skip
# A UK shop's leaflet of hook, yarn and stitch conversions (UKPDF).
UKPDF = {
    2.25: "B 1", 2.75: "C 2", 3.25: "D 3", 3.5: "E 4", 3.75: "F 5", 4.0: "G 6", 4.25: "G",
    4.5: "7", 5.0: "H 8", 5.5: "I 9", 6.0: "J 10", 6.5: "K 10.5", 8.0: "L 11", 9.0: "M/N 13",
    10.0: "N/P 15", 11.0: "P 16", 15.0: "P/Q 19",
}  # fmt: skip


@pytest.mark.parametrize(("mm", "label"), [*CYC2018.items(), *UKPDF.items()])
def test_us_labels_of_published_tables(mm: float, label: str) -> None:
    assert us_agrees(mm, label) is True


@pytest.mark.parametrize(("mm", "labels"), [*MATIFS.items(), *TY.items()])
def test_us_and_uk_labels_of_published_tables(mm: float, labels: tuple[str, str]) -> None:
    us, uk = labels
    assert us_agrees(mm, us) is True
    if uk:
        assert uk_agrees(mm, uk) is True


def test_labels_of_the_council_do_not_agree_with_its_other_sizes() -> None:
    wrong = [
        (mm, label)
        for own, label in CYC2018.items()
        for mm in CYC2018
        if mm != own and us_agrees(mm, label)
    ]
    assert wrong == []


@pytest.mark.parametrize(("mm", "label"), [(4.5, "G-6"), (5.0, "G/6"), (4.0, "H"), (8.0, "K")])
def test_labels_that_no_table_prints_for_a_size(mm: float, label: str) -> None:
    assert us_agrees(mm, label) is False


@pytest.mark.parametrize("mm", [3.5, 5.0])
def test_uk_numbers_that_no_table_prints_for_a_size(mm: float) -> None:
    assert uk_agrees(mm, "8") is False
    assert "8" in uk_numbers(4.0)


@pytest.mark.parametrize("label", ["Z-40", "J-9", "hook", "", "12 mm"])
def test_labels_that_no_table_prints_at_all(label: str) -> None:
    assert us_sizes(label) == ()
    assert us_agrees(4.0, label) is None
    assert uk_agrees(4.0, "77") is None


@pytest.mark.parametrize(
    ("written", "letters", "number"),
    [
        ("G-6", ("G",), "6"),
        ("g6", ("G",), "6"),
        ("G/6", ("G",), "6"),
        ("US G 6", ("G",), "6"),
        ("H (8)", ("H",), "8"),
        ("size I", ("I",), ""),
        ("US 7", (), "7"),
        ("K-10\u00bd", ("K",), "10.5"),
        ("K-10 1/2", ("K",), "10.5"),
        ("K/10.5", ("K",), "10.5"),
        ("M/N-13", ("M", "N"), "13"),
    ],
)
def test_ways_to_write_a_label(written: str, letters: tuple[str, ...], number: str) -> None:
    label = read_label(written)
    assert label is not None
    assert (label.letters, label.number) == (letters, number)


@pytest.mark.parametrize(
    ("label", "sizes"),
    [("G", (4.0, 4.25)), ("D", (3.0, 3.125, 3.25)), ("K", (6.5, 7.0)), ("P-15", (10.0,))],
)
def test_a_bare_letter_is_a_range(label: str, sizes: tuple[float, ...]) -> None:
    assert us_sizes(label) == sizes


def test_size_7_has_several_meanings() -> None:
    assert {Meaning("us", 4.5), Meaning("steel", 1.5), Meaning("steel", 1.65)} <= set(meanings("7"))
    assert Meaning("mm", 7.0) in meanings("7")
    assert {each.scale for each in meanings("G-6")} == {"us"}


@pytest.mark.parametrize(
    ("number", "printed"),
    # The council's yarn table pairs steel 6, 7, 8 with 1.6-1.4 mm (H222, COAT, SPINOFF);
    # 7 is 1.65 or 1.5 by maker (JUNICE), 14 is 0.75 (HQA), 16 is 0.6 (CW2018) or 0.4 (WIKI).
    [
        ("6", 1.6),
        ("7", 1.5),
        ("7", 1.65),
        ("8", 1.4),
        ("8", 1.5),
        ("14", 0.75),
        ("16", 0.6),
        ("16", 0.4),
    ],
)
def test_steel_sizes_of_published_tables(number: str, printed: float) -> None:
    assert steel_agrees(printed, number) is True


def test_a_steel_number_rises_as_the_size_falls() -> None:
    numbers = [str(n) for n in range(15) if steel_sizes(str(n))]
    greatest = [max(steel_sizes(number)) for number in numbers]
    assert len(numbers) > 12
    assert greatest == sorted(greatest, reverse=True)


def test_only_a_clear_gap_from_every_steel_scale_is_a_disagreement() -> None:
    assert steel_agrees(1.4, "7") is True
    assert steel_agrees(3.0, "7") is False
    assert steel_agrees(1.5, "99") is None


def test_sizes_that_are_sold() -> None:
    assert is_listed(4.0)
    assert is_listed(0.9)
    assert not is_listed(4.1)
    assert us_labels(4.0) == ("G-6",)
    assert us_labels(4.1) == ()
    assert uk_sizes("UK 12") == (2.5, 2.75)
