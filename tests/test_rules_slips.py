"""Slips that designers make, each beside the same pattern without it."""

from __future__ import annotations

import pytest

from telling import only_the_slip_is_told, told

HEAD = """US terms.

Finished size: 20 cm across
Materials: 4 mm hook, 1 ball of grey wool, yarn needle
"""
RING = "Rnd 1: 6 sc in a magic ring. (6)\n"
ROUNDS = RING + "Rnd 2: 2 sc in each st around. (12)\n"


SLIPS = [
    # rule, text, words put in the place of others, what is said
    (
        "row-or-round",
        ROUNDS + "Rnd 3: Sc in each st around. (12)\n",
        ("Rnd 2", "Row 2"),
        "This is called a row, but numbered among rounds.",
    ),
    (
        "join-unsaid",
        HEAD + "Ch 4, sl st in first ch to form a ring. The right side faces you all the time, "
        "and the wool is never cut before the end of the last round has been reached, join each.\n"
        + ROUNDS
        + "Rnd 3: Sc in each st around. (12)\n",
        (", join each.", "."),
        "Nothing says whether the rounds are joined or go on in a spiral.",
    ),
    (
        "material-missing",
        "Materials\nDK wool: 20 g each of Poppy and Ink\n\nLEAF\nWith Ink,\n"
        + RING
        + "\nBUD\nWith Poppy,\n"
        + RING,
        ("each of Poppy and Ink", "of Ink"),
        "“Poppy” is not among the colours in the materials.",
    ),
    (
        "material-missing",
        "Materials: 1 ball of wool, 3 buttons of 15 mm, yarn needle\n\n"
        + RING
        + "Sew the 3 buttons on.\n",
        (", 3 buttons of 15 mm", ""),
        "“Sew the 3 buttons” needs what the materials do not list: buttons.",
    ),
    (
        "material-unused",
        "Materials\nYarn:\n  Ink: 20 g\n  Poppy: 20 g\n\nLEAF\nWith Ink,\n"
        + RING
        + "\nBUD\nWith Poppy,\n"
        + RING,
        ("BUD\nWith Poppy,", "BUD\nWith Ink,"),
        "“Poppy” is listed and never used.",
    ),
    (
        "material-unused",
        (
            "Materials: 1 ball of wool, 4 mm hook\n\n"
            "Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
        ),
        ("wool,", "wool, 2 stitch markers,"),
        "“stitch markers” is listed and never used.",
    ),
    (
        "yarn-amount",
        "Materials\nDK wool\nShade A (Ivory) 3 balls\nShade B (Cherry) 3 balls\n4 mm hook\n\n"
        + RING,
        ("(Cherry) 3 balls", "(Cherry)"),
        "The materials do not say how much is needed of “Shade B”.",
    ),
    (
        "yarn-weight",
        "Materials: DK weight (3) cotton, 1 ball, 4 mm hook\n\n" + RING,
        ("(3)", "(5)"),
        "Yarn category 5 is not “DK”.",
    ),
    (
        "yarn-weight",
        "Materials: chunky (bulky, 5) wool, 1 ball, 6.5 mm hook\n\n" + RING,
        ("5)", "4)"),
        "Yarn category 4 is not “chunky” or “bulky”.",
    ),
    (
        "hook-incomplete",
        "Materials: wool, 1 ball; hook US D-3 (3.25 mm); two 6 mm eyes\n\n" + RING,
        (" (3.25 mm)", ""),
        "“hook US D-3” does not say the millimetres.",
    ),
    (
        "hook-incomplete",
        "Materials: 1 ball of thread; steel hook 1.75 mm\n\n" + RING,
        ("1.75 mm", "no. 7"),
        "“hook no. 7” does not say the millimetres.",
    ),
    (
        "hook-unused",
        (
            "Materials: wool; Hooks: size H-8 (5 mm) and size G-6 (4 mm)\n\n"
            "With the 5 mm hook, ch 7.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (6)\n"
            "Row 2: With the 4 mm hook, ch 1, sc in each st across. (6)\n"
        ),
        ("With the 4 mm hook, ch 1", "Ch 1"),
        "Nothing is said of where the 4 mm hook is used.",
    ),
    (
        "piece-number",
        "BODY\n"
        + RING
        + "Fasten off.\n\nFEET (make 2)\n"
        + RING
        + "Fasten off, leaving a tail.\n\nFINISHING\nSew the two feet to the body.\n",
        ("make 2", "make 3"),
        "“the two feet”: 3 are made.",
    ),
    (
        "piece-number",
        "FLAG (make 9)\n" + RING + "Fasten off.\n\nSTRING\nCh 30.\n"
        "Row 1: Sc in 2nd ch from hook and in each ch across, then along all 9 flags.\n",
        ("all 9 flags", "all 10 flags"),
        "“10 flags”: 9 are made.",
    ),
    (
        "piece-number",
        "BODY\n"
        + RING
        + "Fasten off.\n\nBEAK (make 1)\n"
        + RING
        + "Fasten off, leaving a tail.\n\nFINISHING\nSew the beak to the body.\n",
        ("Sew the beak to", "Sew the beak and the two feet to"),
        "“feet” is sewn on, but nothing says how to make it.",
    ),
    (
        "piece-unattached",
        "BODY\n"
        + ROUNDS
        + "Fasten off.\n\nEARS (make 2)\n"
        + RING
        + "Fasten off, leaving a tail for sewing.\n\nTAIL\n"
        + RING
        + "Fasten off, leaving a 15 cm tail for sewing.\n\nFINISHING\n"
        "Sew the ears to the body and the tail to its back.\n",
        (" and the tail to its back", ""),
        "“TAIL” is made and never sewn on or joined.",
    ),
    (
        "tail-missing",
        "BODY\n"
        + ROUNDS
        + "Fasten off.\n\nEARS (make 2)\n"
        + RING
        + "Fasten off, leaving a tail for sewing.\n\nFEET (make 2)\n"
        + RING
        + "Fasten off, leaving a tail for sewing.\n\nFINISHING\n"
        "Sew the ears to the body and the two feet underneath.\n",
        ("Fasten off, leaving a tail for sewing.\n\nFINISHING", "Fasten off.\n\nFINISHING"),
        "“FEET (make 2)” is sewn on, but no tail is left to sew it with.",
    ),
    (
        "ending-missing",
        HEAD + "\nFRONT\nCh 7.\nRow 1: Sc in 2nd ch from hook and in each ch across. (6)\n"
        "Row 2: Ch 1, sc in each st across. (6)\nFasten off.\n\nBACK\n"
        "Work as for the front to Row 1.\nRow 2: Ch 1, sc in each st across. (6)\nFasten off.\n",
        ("Fasten off.\n\nBACK", "\nBACK"),
        "“FRONT” is never fastened off.",
    ),
    (
        "size-values",
        (
            "Sizes: S (M, L)\n\nCh 13 (15, 17).\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16))\n"
            "Row 2: Ch 1, sc in next 12 (14, 16) sts, turn. (12 (14, 16))\n"
        ),
        ("next 12 (14, 16) sts", "next 12 (14) sts"),
        "“12 (14)” has too few figures.",
    ),
    (
        "unit-missing",
        (
            "Sizes: S (M, L)\nLength: 50 (52, 54) cm\n\nCh 13 (15, 17).\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (12 (14, 16))\n"
        ),
        ("54) cm", "54)"),
        "“50 (52, 54)” has no unit.",
    ),
    (
        "unit-missing",
        "Finished size: each leaf 5 cm wide; the whole string about 6 m\n\n" + RING,
        ("about 6 m", "about 6"),
        "“6” has no unit.",
    ),
    (
        "unit-missing",
        "Gauge: 15 sts and 9 rows to 10 cm, with the 5 mm hook\n\n" + RING,
        ("10 cm", "10"),
        "“10” has no unit.",
    ),
    (
        "placeholder",
        "Materials: 1 ball of wool in Heather\n\n" + RING,
        ("Heather", "[COLOR NAME]"),
        "“[COLOR NAME]” holds the place of something that is not written yet.",
    ),
    (
        "placeholder",
        "Gauge: 26 sc and 28 rounds to 10 cm\n\n" + RING,
        ("26 sc", "?? sc"),
        "“??” holds the place of something that is not written yet.",
    ),
    (
        "level-word",
        "**Level:** Easy \u00b7 **Terms:** US\n\n" + RING,
        ("Easy", "Dabbler"),
        "“Dabbler” is not one of the usual skill levels.",
    ),
    (
        "abbreviation-clash",
        "Abbreviations\nch: chain\ndec: single crochet 2 together\nsc: single crochet\n\n" + RING,
        ("sc: single", "dec: double crochet\nsc: single"),
        (
            "“dec” is explained twice: as “single crochet 2 together” (line 3) and as “double "
            "crochet”."
        ),
    ),
    (
        "special-unexplained",
        (
            "Abbreviations\nch: chain\nsc: single crochet\nsh: shell\n\nSpecial stitch\n"
            "Shell (sh): 5 dc in the stitch or space named.\n\n"
            "Row 1: Ch 8, sc in 2nd ch from hook and in each ch across, turn. (7)\n"
            "Row 2: Ch 1, sc in first st, skip 2 sts, sh in next st, skip 2 sts, sc in last st.\n"
        ),
        ("Special stitch\nShell (sh): 5 dc in the stitch or space named.\n\n", ""),
        "“sh” has a name in the list but is not explained.",
    ),
    (
        "special-unexplained",
        "Special stitch\nBead stitch: yo, insert hook, draw up a loop, yo, draw through all "
        "loops.\n\n" + ROUNDS + "Rnd 3: Bead stitch in next st, sc in each st around.\n",
        (
            (
                "Special stitch\nBead stitch: yo, insert hook, draw up a loop, yo, draw through "
                "all loops.\n\n"
            ),
            "",
        ),
        "“Bead stitch” is not explained.",
    ),
    (
        "word-slip",
        (
            "Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
            "Row 2: Ch 1, 1sc in each st across. (6)\n"
        ),
        ("1sc", "1sx"),
        "“sx” may be a slip for “sc”.",
    ),
    (
        "caution-missing",
        "A bunting for the shelf, on a string. A string can strangle: hang it high.\n\n" + RING,
        (" A string can strangle: hang it high.", ""),
        "“string”: the usual caution is missing.",
    ),
    (
        "section-missing",
        "# Turnip\nEasy, US terms\nSize: 15 cm in diameter\nMaterials: 1 ball of wool; 4 mm hook\n"
        "Gauge: Rnds 1-2 = 5 cm in diameter\nAbbreviations: sc = single crochet\n\n"
        + ROUNDS
        + "Fasten off and weave in the ends.\n",
        ("Size: 15 cm in diameter\n", ""),
        "The pattern does not give a finished size.",
    ),
    (
        "circle-flat",
        (
            "US terms.\n\nCOASTER\nRnd 1: 12 dc in a magic ring. (12)\nRnd 2: 2 dc in each st "
            "around. (24)\n"
            "Rnd 3: (Dc in next st, 2 dc in next st) 12 times. (36)\n"
        ),
        (
            "Rnd 3: (Dc in next st, 2 dc in next st) 12 times. (36)",
            "Rnd 3: 2 dc in each st around. (48)",
        ),
        "With 48 dc in round 3 the circle ruffles.",
    ),
]


@pytest.mark.parametrize(
    ("rule", "text", "slip", "said"),
    SLIPS,
    ids=[f"{rule}: {said[:40]}" for rule, _, _, said in SLIPS],
)
def test_a_slip_is_told_and_its_absence_is_not(
    rule: str, text: str, slip: tuple[str, str], said: str
) -> None:
    only_the_slip_is_told(rule, text, slip, said)


QUIET = [
    (
        "section-missing",
        "# Turnip square\nEasy, US terms\nMaterials: 1 ball of wool; 4 mm hook\n"
        "Gauge: One square = 10 cm across\nAbbreviations: sc = single crochet\n\n"
        + ROUNDS
        + "Fasten off and weave in the ends.\n",
    ),
    # what a careful editor lets pass
    (
        "unread",
        ROUNDS + "\nEDGING\nRnd 1: Ch 1, sc evenly around all four sides, join.\n"
        "Rnd 2: Ch 1, sc in each st around, join.\n",
    ),
    (
        "material-missing",
        "Materials: wool, 1 ball; needle and thread\n\n"
        + RING
        + "Sew on the eyes with sewing thread.\n",
    ),
    (
        "material-missing",
        "Materials: wool, 1 ball\n\nMark the first st of each round with a scrap of yarn.\n" + RING,
    ),
    (
        "material-missing",
        "Materials: grey and blue wool, 1 ball each\n\nSleeve\n"
        + RING
        + "Join Sleeve, and work on.\n",
    ),
    (
        "start-chain",
        (
            "US terms.\n\nRow 1: Ch 15, sc in 4th ch from hook (buttonhole made), sc in each "
            "ch across. (12)\n"
        ),
    ),
    (
        "tail-missing",
        "HEAD\n"
        + ROUNDS
        + "Fasten off.\n\nBODY\n"
        + ROUNDS
        + "Fasten off, leaving a tail for sewing.\n\nFINISHING\nSew the head to the body.\n",
    ),
    ("hook-size", "Materials: Hooks: size H-8 (5 mm) and size G-6 (4 mm)\n\n" + RING),
    (
        "caution-missing",
        "A toy snail. Keep it away from babies and from pets: not for children under 3 "
        "years. Sew all parts on firmly.\n\n" + RING,
    ),
    (
        "caution-missing",
        "A baby hat without lace. For babies no pompoms, ties or beads: they catch "
        "fingers.\n\n" + RING,
    ),
    (
        "turning-chain",
        (
            "Notes: The ch at the start of a row does not count as a st.\n\n"
            "Row 1: Ch 12, hdc in 3rd ch from hook and in each ch across. (10)\n"
            "Row 2: Ch 2, turn, hdc in each st across. (10)\n"
        ),
    ),
    (
        "gauge-size",
        (
            "Finished size: 20 cm wide, 30 cm long\nGauge: 12 sts and 8 rows = 10 cm\n\n"
            "V-st: (dc, ch 1, dc) in the same st or sp.\nCh 3 counts as a dc.\n\nSCARF\nCh 25.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across, turn. (24 sc)\n"
            "Row 2: Ch 3, skip first 2 sts, *V-st in next st, skip next 2 sts; rep from * to "
            "last st, dc in "
            "last st, turn. (7 V-sts, 2 dc)\n"
            "Rows 3-24: Ch 3, V-st in ch-1 sp of each V-st across, dc in top of turning ch, turn.\n"
        ),
    ),
    (
        "piece-number",
        "LEGS (make 4)\n"
        + RING
        + "Fasten off.\n\nBODY (make 1)\n"
        + ROUNDS
        + "Fasten off.\n\nFINISHING\nSew the two legs to the front of the body and the other "
        "two legs "
        "behind them.\n",
    ),
    (
        "row-or-round",
        (
            "Row 1: Ch 7, sc in 2nd ch from hook and in each ch across, turn. (6)\n"
            "Row 2: Ch 1, sc in each st across. (6)\nRnd 3: Ch 1, sc evenly around, join.\n"
        ),
    ),
    ("unit-missing", "Gauge: 14 sts and 8 rows = 4 in (10 cm)\n\n" + RING),
]


@pytest.mark.parametrize(
    ("rule", "text"), QUIET, ids=[f"{n}-{r}" for n, (r, _) in enumerate(QUIET)]
)
def test_what_needs_no_word_is_left_in_peace(rule: str, text: str) -> None:
    assert told(rule, text) == []


def test_a_reference_to_a_row_that_is_not_there_is_named() -> None:
    text = (
        "BACK\nCh 7.\nRow 1: Sc in 2nd ch from hook and in each ch across, turn. (6)\n"
        "Row 2: Ch 1, sc in each st across, turn. (6)\n\nFRONT\n"
        "Work as for the Back to the end of Row 4. (6)\n"
    )
    assert told("unread", text) == [
        (
            "“Work as for the Back to the end of Row 4” could not be worked out: "
            "Row 3 is not there to be worked again."
        )
    ]
