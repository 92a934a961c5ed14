"""Abbreviations, notions and cautions: what is found, and what is left alone."""

from __future__ import annotations

import pytest

from proofhook.trade import table
from proofhook.trade.abbreviations import clashes, is_standard, meanings
from proofhook.trade.cautions import audiences, cautions
from proofhook.trade.notions import named, used


@pytest.mark.parametrize(
    ("short", "meaning"),
    # The Craft Yarn Council's crochet list, from memory.
    [
        ("sc", "single crochet"),
        ("SC", "single crochet"),
        ("FPdc", "front post double crochet"),
        ("fpdc", "front post double crochet"),
        ("sl st", "slip stitch"),
        ("sts", "stitch"),
        ("rnds", "round"),
        ("tbl", "through back loop"),
        ("yo", "yarn over"),
        ("RS", "right side"),
    ],
)
def test_standard_abbreviations(short: str, meaning: str) -> None:
    assert is_standard(short)
    assert meanings(short)[0].meaning == meaning


def test_abbreviations_of_other_lists_are_known_but_not_standard() -> None:
    assert meanings("MR")[0].meaning == "magic ring"
    assert not is_standard("MR")
    assert meanings("inv dec")[0].meaning == "invisible decrease"
    assert meanings("xyz") == ()
    assert not is_standard("xyz")


def test_abbreviations_with_two_meanings() -> None:
    assert clashes("MC") == ("main colour", "magic circle")
    assert clashes("dc") == ("US double crochet", "UK double crochet = US sc")
    assert clashes("sc") == ()


def test_no_abbreviation_is_listed_twice_in_one_list() -> None:
    shorts = [(row["short"], row["listed"]) for row in table("abbreviations")["abbreviation"]]
    assert len(shorts) > 100
    assert sorted(shorts) == sorted(set(shorts))


def keys(found: tuple[object, ...]) -> set[str]:
    return {getattr(each, "key", "") for each in found}


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Tapestry needle", "needle"),
        ("Polyester fibrefill", "stuffing"),
        ("2 black safety eyes, 6 mm", "eyes"),
        ("Locking stitch markers", "marker"),
        ("5 buttons, 15 mm", "button"),
        ("Rustproof pins", "pins"),
        ("30 cm zip", "zip"),
    ],
)
def test_notions_that_a_list_names(text: str, key: str) -> None:
    assert key in keys(named(text))


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Stuff the body firmly.", "stuffing"),
        ("Place a marker in the first st.", "marker"),
        ("Weave in all ends.", "needle"),
        ("Sew the buttons to the left band.", "button"),
        ("Insert the eyes between Rnds 7 and 8.", "eyes"),
        ("Pin the sleeve into the armhole.", "pins"),
    ],
)
def test_notions_that_instructions_need(text: str, key: str) -> None:
    found = {each.key: each for each in used(text)}
    assert key in found
    (span, *_) = found[key].spans
    assert 0 <= span.start < span.end <= len(text)


@pytest.mark.parametrize(
    "text",
    [
        "Row 3: sc to the marked st, buttonhole over next 2 sts",
        "Work in rice stitch; hold back the last loop",
        "Embroider the eyes with black yarn",
        "Rnd 4: sc in each st around",
    ],
)
def test_words_that_need_no_notion(text: str) -> None:
    assert keys(used(text)) <= {"needle"}


def ids(text: str) -> set[str]:
    return {each.id for each in cautions(text)}


@pytest.mark.parametrize(
    ("text", "caution"),
    [
        ("A small toy owl with safety eyes.", "small-parts"),
        ("A small toy owl with safety eyes.", "eyes-fixed"),
        ("Stuff the owl, a cuddly toy.", "seams-and-filling"),
        ("A bonnet for a newborn with long ties.", "cords-on-clothes"),
        ("A pull cord for the toy duck.", "cords-on-toys"),
        ("A plush bear with dried beans in the feet.", "hard-fillings"),
        ("Baby blanket for the cot", "sleep"),
        ("A ball for your pet", "pets"),
        ("A trivet for hot pans", "heat"),
        ("Child's cardigan with five buttons", "small-parts"),
    ],
)
def test_cautions_that_a_text_calls_for(text: str, caution: str) -> None:
    assert caution in ids(text)


@pytest.mark.parametrize(
    "text",
    [
        "A shawl with beads along the edge",  # not for a child
        "A cushion in rice stitch",
        "A baby cardigan with a buttonhole band worked in pearl cotton",
        "A scarf in baby yarn with a cord",
    ],
)
def test_texts_that_call_for_no_caution(text: str) -> None:
    assert ids(text) == set()


def test_a_caution_that_the_text_gives_is_marked_so() -> None:
    text = "A toy owl with safety eyes. They can be swallowed by children under 3."
    (small,) = [each for each in cautions(text) if each.id == "small-parts"]
    assert small.given
    assert [text[span.start : span.end] for span in small.spans] == ["safety eyes"]
    (small,) = [
        each for each in cautions("A toy owl with safety eyes.") if each.id == "small-parts"
    ]
    assert not small.given


def test_every_caution_leaves_the_decision_to_rules_and_advice() -> None:
    everything = " ".join(word for row in table("cautions")["caution"] for word in row["words"])
    found = cautions(everything + " toy baby child pet")
    assert {each.id for each in found} == {row["id"] for row in table("cautions")["caution"]}
    for each in found:
        assert "Rules differ by country" in each.say
        assert "qualified advice" in each.say


def test_audiences() -> None:
    assert audiences("A teddy for a toddler") == {"toy", "child"}
    assert audiences("A runner for the hall") == frozenset()
    assert audiences("A scarf in baby yarn") == frozenset()
