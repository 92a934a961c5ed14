"""Measures: reading what is printed, and the arithmetic against pint over random quantities."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofhook.trade.units import (
    UNITS,
    Measure,
    agree,
    converted,
    disagreeing,
    exact,
    measures,
    number,
    unit_of,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
PINT_NAMES = {
    "mm": "millimeter", "cm": "centimeter", "in": "inch", "g": "gram", "kg": "kilogram",
    "oz": "ounce", "lb": "pound", "m": "meter", "yd": "yard", "ft": "foot",
}  # fmt: skip
PAIRS = [
    ("cm", "in"),
    ("mm", "in"),
    ("g", "oz"),
    ("kg", "lb"),
    ("m", "yd"),
    ("m", "ft"),
    ("oz", "lb"),
]

quantities = st.fractions(min_value=1, max_value=5000, max_denominator=1000)


def by_pint(value: Fraction, unit: str, to: str) -> float:
    return float(REGISTRY.Quantity(float(value), PINT_NAMES[unit]).to(PINT_NAMES[to]).magnitude)


def one(text: str) -> Measure:
    (measure,) = measures(text)
    return measure


def printed(value: float, parts: int) -> str:
    """A value rounded to halves, quarters or ones, printed with a vulgar fraction."""
    units, rest = divmod(round(value * parts), parts)
    part = Fraction(rest, parts)
    return f"{units} {part}" if part and units else str(part if part else units)


def test_every_unit_is_checked() -> None:
    assert set(PINT_NAMES) == set(UNITS)


@pytest.mark.parametrize(("unit", "to"), [*PAIRS, *[(b, a) for a, b in PAIRS]])
@given(value=quantities)
def test_conversion_against_pint(unit: str, to: str, value: Fraction) -> None:
    low, high = converted(value, unit, to)
    true = by_pint(value, unit, to)
    assert float(low) <= true * (1 + 1e-9)
    assert float(high) >= true * (1 - 1e-9)
    assert float(high) <= true * 1.0161  # 2.54 over 2.5, no wider
    assert float(low) >= true / 1.0161
    if "in" not in (unit, to):
        assert low == high


@given(value=st.integers(2, 400), parts=st.sampled_from([1, 2, 4]))
def test_centimetres_and_inches_rounded_as_printed_agree(value: int, parts: int) -> None:
    inches = by_pint(Fraction(value), "cm", "in")
    assert agree(one(f"{value} cm"), one(f"{printed(inches, parts)} in")) is not False


@given(value=st.integers(1, 150))
def test_inches_at_two_and_a_half_centimetres_agree(value: int) -> None:
    assert agree(one(f"{value} in"), one(f"{value * 2.5:g} cm")) is True


@given(value=st.integers(10, 2000))
def test_grams_and_ounces_rounded_as_printed_agree(value: int) -> None:
    assert agree(one(f"{value} g"), one(f"{by_pint(Fraction(value), 'g', 'oz'):.1f} oz")) is True


@given(value=st.integers(5, 3000))
def test_metres_and_yards_rounded_as_printed_agree(value: int) -> None:
    assert agree(one(f"{value} m"), one(f"{by_pint(Fraction(value), 'm', 'yd'):.0f} yd")) is True


@given(value=st.integers(4, 400), pair=st.sampled_from(PAIRS[:1] + PAIRS[2:3] + PAIRS[4:5]))
def test_what_is_a_quarter_too_much_does_not_agree(value: int, pair: tuple[str, str]) -> None:
    unit, to = pair
    true = by_pint(Fraction(value), unit, to)
    wrong = round(true * 1.25) + 2
    assert agree(one(f"{value} {unit}"), one(f"{wrong} {to}")) is False


@given(value=st.integers(4, 400))
def test_the_same_number_in_both_units_does_not_agree(value: int) -> None:
    assert agree(one(f"{value} cm"), one(f"{value} in")) is False


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("4\u00be", 4.75),
        ("4 3/4", 4.75),
        ("4-3/4", 4.75),
        ("23\u00bd", 23.5),
        ("\u215d", 0.625),
        ("3/8", 0.375),
        ("4.5", 4.5),
        ("4,5", 4.5),
        ("1,200", 1200),
        ("12", 12),
    ],
)
def test_numbers(text: str, value: float) -> None:
    assert number(text) == value


@pytest.mark.parametrize("text", ["", "four", "1/0", "4..5", "-3", "1 2"])
def test_what_is_no_number(text: str) -> None:
    with pytest.raises(ValueError, match=r"is no number|divides by zero"):
        exact(text)


@pytest.mark.parametrize(
    ("text", "unit", "values"),
    [
        ('23\u00bd" wide', "in", [23.5]),
        ("36 (39, 43.5, 46) cm", "cm", [36, 39, 43.5, 46]),
        ("61(66,71,76) cm", "cm", [61, 66, 71, 76]),
        ("14\u00bc (15\u00bc, 17, 18) in", "in", [14.25, 15.25, 17, 18]),
        ("10\u201312 cm", "cm", [10, 12]),
        ("4 to 4 3/4 inches", "in", [4, 4.75]),
        ("18 x 20 cm", "cm", [18, 20]),
        ("3.5[4:4.5:5]mm", "mm", [3.5, 4, 4.5, 5]),
        ("(5.00 mm)", "mm", [5]),
        ("4,5 mm", "mm", [4.5]),
        ("a 2-inch square", "in", [2]),
        ("1,200 metres", "m", [1200]),
        ("100g", "g", [100]),
        ("1 1/2 yards", "yd", [1.5]),
    ],
)
def test_measures(text: str, unit: str, values: list[float]) -> None:
    measure = one(text)
    assert measure.unit == unit
    assert [float(each.value) for each in measure.figures] == values


@pytest.mark.parametrize(
    "text",
    [
        "2 in next st",
        "24 in total",
        "3 dc in ring",
        "Row 4 in blue",
        "2 in each of next 3",
        "18 sts",
    ],
)
def test_what_is_no_measure(text: str) -> None:
    assert list(measures(text)) == []


def test_measures_that_meet_a_slash() -> None:
    assert [each.unit for each in measures("12 sts to 4 in/10 cm")] == ["in", "cm"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8 in (15 cm)", False),  # a slip that was printed (msweaver): 8 in are 20 cm
        ("18 cm (9 in)", False),
        ("10 cm (4 in)", True),
        ("15 mm (\u215d in)", True),
        ("50 g (1.75 oz)", True),
        ("50 g (2 oz)", True),
        ("120 m (131 yd)", True),
        ("200 m (220 yd)", True),  # rounded to tens
        ("85 m (85 yd)", False),
        ("10-12 cm (4-4\u00be in)", True),
        ("10-12 cm (4 in)", None),
        ("100 g (200 m)", None),
    ],
)
def test_pairs(text: str, expected: bool | None) -> None:
    first, second = measures(text)
    assert agree(first, second) is expected


def test_size_lists_are_compared_figure_by_figure() -> None:
    first, second = measures("61 (66, 71, 76) cm / 24 (26, 32, 30) in")
    assert disagreeing(first, second) == (2,)
    first, second = measures("24.5 (27.5, 30, 32) cm / 9\u00be (10\u00be, 11\u00be, 12\u00bd) in")
    assert disagreeing(first, second) == ()


def test_units() -> None:
    assert unit_of("Inches") == "in"
    assert unit_of("oz.") == "oz"
    assert unit_of("sts") is None
    with pytest.raises(ValueError, match="do not measure the same"):
        converted(Fraction(1), "g", "cm")


@given(st.text(alphabet='0123456789 ,.-/()[]x\u00bd\u2013cmingozyd"', max_size=80))
def test_any_text_can_be_read(text: str) -> None:
    for measure in measures(text):
        assert measure.figures
        assert text[measure.span.start : measure.span.end].strip()


@pytest.mark.parametrize(
    "text", ["1,1,1,1,1 a " * 3000, "1-" * 20_000, "1 1/2-" * 3000, "1(2,3" * 3000]
)
def test_long_lines_are_no_trouble(text: str) -> None:
    assert list(measures(text)) == []
