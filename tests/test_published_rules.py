"""The rules against published tables and a reference library, through the text of a pattern.

Hooks: the Craft Yarn Council's list of 2018 in second-hand quotation (CYC2018), a chart of
millimetres, US and UK labels (MATIFS), a UK shop's leaflet (UKPDF).  Yarn: the Council's
table of weights (CYC2018).  Units: pint.  Abbreviations: the Council's list, from memory.
The keys are those of ``trade/sources.toml``.
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofhook
from proofhook.proofing.house import House
from proofhook.proofing.plugins import load_rules
from proofhook.proofing.proof import proof
from proofhook.trade.abbreviations import is_standard, meanings
from proofhook.trade.yarn import weights
from test_trade_hooks import CYC2018, MATIFS, UKPDF

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
ROWS = "\n\nRnd 1: 6 sc in a magic ring. (6)\n"


RULES = {rule.name: rule for rule in load_rules()}


def found(text: str, rule: str) -> list[str]:
    pattern = proofhook.read(text + ROWS)
    done = proof(pattern, proofhook.tally(pattern), House(), [RULES[rule]])
    assert done.failures == ()
    return [finding.message for finding in done.findings if finding.rule == rule]


FORMS = (
    "Materials: wool, 1 ball; {mm:g} mm (US {label}) hook",
    "Materials: wool, 1 ball; US {label} ({mm:g} mm) crochet hook",
    "Materials\n- 1 ball of wool\n- crochet hook, {mm:g} mm (US {label})",
)
LABELS = [
    *CYC2018.items(), *UKPDF.items(), *((mm, us) for mm, (us, _) in MATIFS.items()),
]  # fmt: skip


@pytest.mark.parametrize("form", FORMS, ids=range(len(FORMS)))
@pytest.mark.parametrize(("mm", "label"), LABELS)
def test_hooks_of_published_tables_pass_in_any_form(mm: float, label: str, form: str) -> None:
    assert found(form.format(mm=mm, label=label), "hook-size") == []


@pytest.mark.parametrize("form", FORMS, ids=range(len(FORMS)))
@pytest.mark.parametrize(("mm", "label"), CYC2018.items())
def test_a_label_two_sizes_off_is_found(mm: float, label: str, form: str) -> None:
    sizes = list(CYC2018)
    other = sizes[(sizes.index(mm) + 2) % len(sizes)]
    assert len(found(form.format(mm=other, label=label), "hook-size")) == 1


UK = [(mm, uk) for mm, (_, uk) in MATIFS.items() if uk]


@pytest.mark.parametrize(("mm", "number"), UK)
def test_uk_numbers_of_a_published_table(mm: float, number: str) -> None:
    text = "Materials: wool, 1 ball; {mm:g} mm (UK {number}) hook"
    assert found(text.format(mm=mm, number=number), "hook-size") == []
    sizes = [size for size, _ in UK]
    other = sizes[(sizes.index(mm) + 3) % len(sizes)]
    assert len(found(text.format(mm=other, number=number), "hook-size")) == 1


def quarters(value: float) -> str:
    """A length in inches as patterns print it, to the nearest quarter."""
    whole, part = divmod(Fraction(round(value * 4), 4), 1)
    return f"{whole} {part}" if whole and part else str(part or whole)


@settings(deadline=None)
@given(cm=st.integers(3, 300))
def test_lengths_that_pint_converts_pass_and_others_do_not(cm: int) -> None:
    inches = REGISTRY.Quantity(cm, "cm").to("inch").magnitude
    text = "Finished size: {cm} cm ({inches} in) across"
    assert found(text.format(cm=cm, inches=quarters(inches)), "unit-pair") == []
    far = quarters(inches * 1.25 + 1)
    assert len(found(text.format(cm=cm, inches=far), "unit-pair")) == 1


@settings(deadline=None)
@given(wide=st.integers(3, 200), long=st.integers(3, 300))
def test_two_sides_are_compared_side_by_side(wide: int, long: int) -> None:
    sides = [REGISTRY.Quantity(cm, "cm").to("inch").magnitude for cm in (wide, long)]
    one, other = map(quarters, sides)
    text = f"Finished size: {wide} cm by {long} cm ({one} in by {{}} in)"
    assert found(text.format(other), "unit-pair") == []
    assert len(found(text.format(quarters(sides[1] * 1.25 + 1)), "unit-pair")) == 1


@settings(deadline=None)
@given(grams=st.integers(10, 1000))
def test_weights_that_pint_converts_pass_and_others_do_not(grams: int) -> None:
    ounces = REGISTRY.Quantity(grams, "g").to("oz").magnitude
    text = "Materials: {grams} g ({ounces:.1f} oz) of wool, 4 mm hook"
    assert found(text.format(grams=grams, ounces=ounces), "unit-pair") == []
    assert len(found(text.format(grams=grams, ounces=ounces * 1.2 + 1), "unit-pair")) == 1


#: The Council's weights: number, name, and a hook in the middle of its range (CYC2018).
YARN = [
    (1, "fingering", 2.75), (2, "sport", 4.0), (3, "DK", 5.0), (4, "worsted", 6.0),
    (5, "chunky", 8.0), (6, "super bulky", 10.0),
]  # fmt: skip


@pytest.mark.parametrize(("number", "name", "hook"), YARN)
def test_yarn_weights_of_the_published_table(number: int, name: str, hook: float) -> None:
    text = "Materials: {name} weight wool (category {number}), 100 g; {hook:g} mm hook"
    assert found(text.format(name=name, number=number, hook=hook), "yarn-weight") == []
    wrong = (number + 2) % 7 + 1
    assert found(text.format(name=name, number=wrong, hook=hook), "yarn-weight")
    far = [round(hook / 3, 1), *([hook * 3] if number < 6 else [])]  # above 6 all is open
    for mm in far:
        told = found(text.format(name=name, number=number, hook=mm), "yarn-weight")
        assert [message.startswith("A hook of") for message in told] == [True]


def test_a_toy_and_yarn_held_double_are_not_asked_about() -> None:
    text = "Materials: chunky weight wool (category 5), 100 g; 3 mm hook"
    assert found(text, "yarn-weight")
    assert found(f"A toy owl. {text}; toy stuffing", "yarn-weight") == []
    assert found(f"{text}\n\nWork with two strands held together.", "yarn-weight") == []


def test_no_range_of_hooks_is_empty() -> None:
    for weight in weights():
        low, high = weight.hook_mm
        assert high is None or low <= high


#: From memory.
COUNCIL = """
    alt approx beg bet BL BLO bo BP BPdc BPdtr BPhdc BPsc BPtr CC ch ch-sp CL cont dc dc2tog dec dtr
    edc ehdc esc etr FL FLO foll FP FPdc FPdtr FPhdc FPsc FPtr hdc hdc2tog inc lp m MC pat patt pc
    pm prev ps rem rep rnd RS sc sc2tog sh sk sp st tbl tch t-ch tog tr tr2tog trtr WS yo yoh
""".split()


@pytest.mark.parametrize("short", [*COUNCIL, "sl st"])
def test_the_abbreviations_of_the_council_are_standard(short: str) -> None:
    assert is_standard(short)
    assert meanings(short)
