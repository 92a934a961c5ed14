"""Slips in the wordings of many hands, each beside its mended twin, and what is no slip."""

from __future__ import annotations

import pytest

import proofhook
from telling import only_the_slip_is_told, told

RING = "Rnd 1: 6 sc in a magic ring. (6)\n"
ROUNDS = RING + "Rnd 2: 2 sc in each st around. (12)\n"
UK = "UK terms\n\n"
GAUGE = "Gauge: 20 sc and 22 rnds = 10 cm\n\n"

SLIPS = [
    (
        "abbreviation-unexplained",
        (
            f"{UK}Abbreviations\nch = chain\ndc = double crochet\nhtr = half treble\nst = stitch\n"
            "\nMAT\n12ch.\nRow 1: 1dc in 2nd ch from hook, 1htr in each ch to end. (11 sts)\n"
        ),
        ("htr = half treble\n", ""),
        "“htr” is used here but is not in the list of abbreviations.",
    ),
    (
        "abbreviation-unexplained",
        (
            "Abbreviations\nch: chain\nsc: single crochet\nRS: right side\nWS: wrong side\n\n"
            "MAT\nRow 1 (RS): Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
            "Row 2 (WS): Ch 1, sc in each sc across. (6)\n"
        ),
        ("RS: right side\n", ""),
        "“RS” is used here but is not in the list of abbreviations.",
    ),
    (
        "abbreviation-unexplained",
        (
            "Abbreviations\nch - chain / hdc - half double crochet / sc - single crochet"
            " / st - stitch"
            "\n\nMAT\nRow 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
            "Row 2: Ch 2, hdc in each st across. (6)\n"
        ),
        (" / hdc - half double crochet", ""),
        "“hdc” is used here but is not in the list of abbreviations.",
    ),
    (
        "abbreviation-unused",
        (
            "UK ABBREVIATIONS\nch, chain\ndc, double crochet\nst, stitch\n\nMAT\n12ch.\n"
            "Row 1: 1 dc in 2nd ch from hook, 1 dc in each ch to end. (11 sts)\n"
        ),
        ("st, stitch\n", "st, stitch\ntr, treble\n"),
        "“tr” is in the list but is not used.",
    ),
    (
        "hook-size",
        f"HOOK\n3.5 mm (E/4)\n\n{GAUGE}{ROUNDS}",
        ("E/4", "H/8"),
        "A hook of 3.5 mm is not US H.",
    ),
    (
        "unit-missing",
        f"A mat. Diameter: 7½ in. (19 cm).\n\nMaterials: wool; 4 mm hook\n\n{ROUNDS}",
        ("7½ in. (19 cm).", "7½."),
        "“7½” has no unit.",
    ),
    (
        "size-values",
        (
            "Sizes: 1 [2: 3: 4]\nWool: 4 [5: 6: 7] balls\n\nCh 13 [15: 17: 19].\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. 12 [14: 16: 18] sts.\n"
        ),
        ("4 [5: 6: 7]", "4 [5: 6]"),
        "“4 [5: 6]” has too few figures.",
    ),
    (
        "special-unexplained",
        (
            f"{GAUGE.replace('20 sc', '6 V-sts')}Abbreviations\nch – chain\ndc – double crochet\n"
            "sk – skip\nst – stitch\nV-st – V-stitch\n\nV-stitch: (dc, ch 1, dc) in one st.\n\n"
            "Row 1: Ch 9, dc in 4th ch from hook, *sk 2 ch, V-st in next ch; rep from * across.\n"
        ),
        ("V-stitch: (dc, ch 1, dc) in one st.\n\n", ""),
        "“V-st” has a name in the list but is not explained.",
    ),
    (
        "material-missing",
        (
            f"Materials: wool; 4 mm hook; needle; 2 buttons, 12 mm\n\n{ROUNDS}\n"
            "FINISHING\nSew the strap to the back, and a button to each end of it.\n"
        ),
        ("; 2 buttons, 12 mm", ""),
        "“Sew the strap to the back, and a button” needs what the materials do not list: buttons.",
    ),
    (
        "material-missing",
        (
            f"Materials: wool; 4 mm hook; needle; black thread\n\n{ROUNDS}\n"
            "FINISHING\nEmbroider the eyes with black thread.\n"
        ),
        ("; black thread", ""),
        (
            "“Embroider the eyes with black thread” needs what the materials do not list: "
            "embroidery thread."
        ),
    ),
    (
        "material-missing",
        (
            f"Materials: wool; 4 mm hook; needle; pillow form\n\n{ROUNDS}\n"
            "FINISHING\nPut in the pillow form and sew the seam.\n"
        ),
        ("; pillow form", ""),
        "“Put in the pillow form” needs what the materials do not list: lining fabric.",
    ),
    (
        "material-missing",
        (
            f"Materials: wool; 4 mm hook; stitch marker; blocking pins\n\n{ROUNDS}\n"
            "FINISHING\nMark the first st. Soak and pin out to size.\n"
        ),
        ("; blocking pins", ""),
        "“pin out” needs what the materials do not list: pins.",
    ),
    (
        "ends-loose",
        (
            f"Materials: wool, 1 ball; 4 mm hook; a needle to weave in ends\n\n{ROUNDS}"
            "Fasten off. Weave in the ends.\n"
        ),
        (" Weave in the ends.", ""),
        "Nothing says to weave in the ends.",
    ),
    (
        "piece-number",
        (
            f"BODY\n{ROUNDS}Fasten off.\n\nFEET\nMake 4 with Rose.\n\n{RING}Fasten off.\n\n"
            "FINISHING\nSew the four feet to the body.\n"
        ),
        ("the four feet", "the six feet"),
        "“six feet”: 4 are made.",
    ),
]


@pytest.mark.parametrize(("rule", "text", "slip", "said"), SLIPS)
def test_a_slip_is_told(rule: str, text: str, slip: tuple[str, str], said: str) -> None:
    only_the_slip_is_told(rule, text, slip, said)


PASSES = [
    ("placeholder", f"A mat.\n\nUK terms are used throughout.\n\nMATERIALS\nWool.\n\n{ROUNDS}"),
    ("placeholder", f"Notes: a multiple of 3 sts, plus 1 (add 1 for the base chain).\n\n{ROUNDS}"),
    ("row-fit", f"{ROUNDS}Hanging loop: Ch 10, sl st in the same st as the join. Fasten off.\n"),
    ("total-missing", f"{ROUNDS}Hanger: Ch 30, sl st in same st. Fasten off.\n"),
    ("terms-unstated", "Language: English US\n\nRow 1: Ch 9, dc in 4th ch from hook. (2)\n"),
    (
        "turning-chain",
        (
            f"{UK}The 3ch which starts a round is the first tr.\n\n"
            "Rnd 1: 3ch, 11 tr in a magic ring, ss in top of 3ch. (12 tr)\n"
            "Rnd 2: 3ch, miss first st, 1 tr in each st to end, ss in top of 3ch. (12 tr)\n"
        ),
    ),
    (
        "abbreviation-variants",
        (
            "Rnd 1: 12 dc in a magic ring. (12)\n"
            "Rnd 2: *Dc in next st, fpdc round next st; rep from * around. (12)\n"
        ),
    ),
    (
        "yarn-amount",
        (
            "Materials\nDK cotton\nColor A (Rust): 1 ball\nColor B (Chalk): 1 ball\n"
            f"Color C (Soot): a few metres\n4 mm hook\n\n{ROUNDS}"
        ),
    ),
    (
        "gauge-size",
        (
            "Finished size: 60 cm wide, 30 cm deep\nGauge: 20 sc and 20 rows = 10 cm\n\n"
            "Ch 9.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (8)\n"
            "Row 2: Ch 1, 2 sc in first st, sc in each st to last st, 2 sc in last st, turn. (10)\n"
            "Rows 3-60: Rep Row 2. (126)\n"
        ),
    ),
    ("caution-missing", f"A scrubby.\n\nStuff:\nwool, 1 ball; 4 mm hook\n\n{ROUNDS}"),
]


@pytest.mark.parametrize(("rule", "text"), PASSES)
def test_what_is_no_slip_passes(rule: str, text: str) -> None:
    assert told(rule, text) == []


def test_a_stuffed_toy_is_still_asked_about_where_the_list_is_called_stuff() -> None:
    text = f"A toy owl.\n\nStuff:\nwool, 1 ball; 4 mm hook; stuffing\n\n{ROUNDS}Stuff and close.\n"
    assert len(told("caution-missing", text)) >= 1


def test_an_entry_in_two_words_is_read_before_a_double_hyphen() -> None:
    text = "Abbreviations\nch -- chain\nsl st -- slip stitch\nst(s) -- stitch(es)\n\nRow 1: Ch 3.\n"
    entries = [(d.abbreviation, d.meaning) for d in proofhook.read(text).definitions]
    assert entries == [("ch", "chain"), ("sl st", "slip stitch"), ("st(s)", "stitch(es)")]


def test_a_sentence_about_terms_is_no_list_of_abbreviations() -> None:
    text = (
        f"A mat.\n\nUS terms are used throughout.\n\nMATERIALS\nWool, 20 g; 4 mm hook.\n\n{ROUNDS}"
    )
    [said] = told("section-missing", text)
    assert "the abbreviations" in said
    assert "the terms" not in said
