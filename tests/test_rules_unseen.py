"""Slips found in patterns written without a look at the rules, each beside its mended twin."""

from __future__ import annotations

from pathlib import Path

import pytest

import proofhook
from telling import only_the_slip_is_told, told

RING = "Rnd 1: 6 sc in a magic ring. (6)\n"
ROUNDS = RING + "Rnd 2: 2 sc in each st around. (12)\n"
WHOLE = "Gauge: 20 sc and 22 rnds = 10 cm\n"
VOLE = (
    f"BODY\n{ROUNDS}Fasten off.\n\n"
    f"EARS (make 2)\nWith Rose, work loosely.\n{RING}Fasten off, leaving a long tail.\n\n"
    f"FEET (make 4)\n{RING}Fasten off, leaving a long tail.\n\n"
    f"TAIL, in Rose\n{RING}Fasten off, leaving a 15 cm (6 in) tail.\n\n"
    "FINISHING\nSew the tail to the back. Sew the two ears to the body and the four feet to "
    "the underside.\n"
)
VEST = "Sizes: S (M, L)\nChest: 80 (90, 100) cm\n\n"
PULLOVER = (
    "BACK\nCh 21.\nRow 1: Sc in 2nd ch from hook and in each ch across. (20)\nFasten off.\n\n"
    "FRONT\nCh 21.\nRow 1: Sc in 2nd ch from hook and in each ch across. (20)\nFasten off.\n\n"
    "SLEEVES (make 2)\nCh 11.\nRow 1: Sc in 2nd ch from hook and in each ch across. (10)\n"
    "Fasten off.\n\nMAKING UP\nJoin the shoulder seams. Sew the sleeves in. Sew the side seams.\n"
)
SQUARES = (
    f"Make 5 squares in A and 4 in B.\n\nSQUARE (make 9)\n{ROUNDS}Fasten off.\n\n"
    "FINISHING\nLay the 9 squares out 3 by 3. Sew them together.\n"
)
POSTS = (
    "Special stitches\n"
    "FPdc: yarn over, insert the hook round the post, finish as a dc.\n"
    "BPdc: yarn over, insert the hook behind the post, finish as a dc.\n\n"
    "Rnd 1: Ch 2, 12 dc in a magic ring. (12)\n"
    "Rnd 2: *FPdc around next st, BPdc around next st; rep from * around. (12)\n"
)

SLIPS = [
    # rule, text, words put in the place of others, what is said
    ("piece-number", VOLE, ("the four feet", "the two feet"), "“the two feet”: 4 are made."),
    (
        "piece-number",
        VOLE.replace("the four feet to the underside", "two feet to each side"),
        ("two feet to each side", "three feet to each side"),
        "“three feet”: 4 are made.",
    ),
    ("piece-number", SQUARES, ("the 9 squares", "the 8 squares"), "“the 8 squares”: 9 are made."),
    (
        "piece-number",
        SQUARES,
        ("Make 5 squares", "Make 6 squares"),
        "These are 10 in all, but “SQUARE (make 9)” says 9.",
    ),
    (
        "piece-unattached",
        VOLE,
        ("Sew the tail to the back. ", ""),
        "“TAIL, in Rose” is made and never sewn on or joined.",
    ),
    (
        "piece-unattached",
        PULLOVER,
        (" Sew the sleeves in.", ""),
        "“SLEEVES (make 2)” is made and never sewn on or joined.",
    ),
    (
        "tail-missing",
        VOLE,
        (
            f"work loosely.\n{RING}Fasten off, leaving a long tail.",
            f"work loosely.\n{RING}Fasten off.",
        ),
        "“EARS (make 2)” is sewn on, but no tail is left to sew it with.",
    ),
    (
        "tail-missing",
        f"SLIPPER\n{ROUNDS}Fasten off, leaving a tail.\n\nFINISHING\nSew the heel with the tail.\n",
        (", leaving a tail", ""),
        "The work is sewn up with its tail, but no tail is left to sew with.",
    ),
    (
        "ends-loose",
        (
            f"Materials: wool, 1 ball; 4 mm hook\n\n{ROUNDS}"
            "Sew the seam together with the tail. Weave in the ends.\n"
        ),
        (" Weave in the ends.", ""),
        "Nothing says to weave in the ends.",
    ),
    (
        "ending-missing",
        (
            f"Materials: wool; 4 mm hook\n\nFLAG\n{ROUNDS}Fasten off.\n\nSTRING\n"
            "Row 1: With A, ch 20, sc along the top of the flag, ch 20.\nFasten off.\n"
        ),
        (f"{ROUNDS}Fasten off.", f"{ROUNDS}"),
        "“FLAG” is never fastened off.",
    ),
    (
        "join-unsaid",
        (
            "A little mat to put a cup on. It is quickly made, and quickly washed, and the pattern "
            "can be worked in any thickness of yarn that you have at hand, in a spiral.\n\n"
            "R1: 6 sc in a magic ring. (6)\nR2: 2 sc in each st. (12)\nR3: Sc in each st. (12)\n"
        ),
        (", in a spiral", ""),
        "Nothing says whether the rounds are joined or go on in a spiral.",
    ),
    (
        "marks-unpaired",
        (
            "r1: ch 7, sc in 2nd ch from hook and in each ch across. (6)\n"
            "r2: ch 1, *sc in next st, dc in next st; rep from * across. (6)\n"
        ),
        ("*sc", "sc"),
        "The row speaks of *, and no * stands before it.",
    ),
    (
        "material-missing",
        f"{WHOLE}Materials: wool, 1 ball; 4 mm hook\n\n{ROUNDS}",
        ("; 4 mm hook", ""),
        "The materials do not list a hook.",
    ),
    (
        "material-missing",
        f"{WHOLE}Materials: 1 ball of wool; 4 mm hook\n\n{ROUNDS}",
        ("1 ball of wool; ", ""),
        "The materials do not list any yarn.",
    ),
    (
        "yarn-amount",
        (
            "Materials\nDouble knitting wool\nA - Chalk, 4 balls\nB - Moss, 2 balls\n"
            f"C - Brick, 3 balls\n\n{RING}"
        ),
        ("C - Brick, 3 balls", "C - Brick"),
        "The materials do not say how much is needed of “C”.",
    ),
    (
        "yarn-weight",
        f"Materials: worsted cotton (4), 1 ball; 5 mm hook\n\n{RING}",
        ("(4)", "(3)"),
        "Yarn category 3 is not “worsted”.",
    ),
    (
        "yarn-weight",
        f"Materials: smooth yarn (medium, 4), 1 ball; 5 mm hook\n\n{RING}",
        ("(medium, 4)", "(medium, 3)"),
        "Yarn category 3 is not “medium”.",
    ),
    (
        "hook-incomplete",
        f"{WHOLE}Materials: wool, 1 ball; 4 mm crochet hook\n\n{ROUNDS}",
        ("4 mm ", ""),
        "The size of the hook is not given.",
    ),
    (
        "hook-size",
        f"materials: wool; 5 mm / us h-8 hook\n\n{RING}",
        ("us h-8", "us j-10"),
        "A hook of 5 mm is not US j-10.",
    ),
    (
        "hook-unused",
        (
            f"Materials: wool; 5 mm hook\n4 mm hook for the edging\n\n{RING}\n"
            "EDGING\nRnd 1: Sc in each st around. (6)\n"
        ),
        ("for the edging", "for the ribbing"),
        "“4 mm hook for the ribbing”: nothing else speaks of “ribbing”.",
    ),
    (
        "unit-missing",
        f"Size: 21 cm long, 11 cm wide and 13 cm high\n\n{RING}",
        ("13 cm high", "13 high"),
        "“13” has no unit.",
    ),
    (
        "unit-pair",
        f"Size: 100 (110, 120) cm / 39½ (43¼, 47¼) in\n\n{RING}",
        ("47¼", "45¼"),
        "“100 (110, 120) cm / 39½ (43¼, 45¼) in”: the two units do not agree.",
    ),
    (
        "size-values",
        f"{VEST}Height: 20 (21.5, 23) cm\n\nCh 20 (22, 24).\n",
        ("20 (21.5, 23) cm", "20 (21.5) cm"),
        "“20 (21.5)” has too few figures.",
    ),
    (
        "gauge-incomplete",
        f"Gauge: 5 ch-5 spaces and 12 rows = 10 cm\n\n{RING}",
        (" and 12 rows", ""),
        "The gauge does not say how many rows or rounds.",
    ),
    (
        "special-unexplained",
        POSTS,
        ("BPdc: yarn over, insert the hook behind the post, finish as a dc.", "BPdc: back post dc"),
        "“BPdc” has no method, though its counterpart has one.",
    ),
    (
        "ending-missing",
        (
            f"Materials: wool; 4 mm hook\n\nMAT\n{ROUNDS}Fasten off.\n\n"
            "EDGING\nJoin A with a sl st in any st.\nRnd 1: Ch 1, sc in each st. Fasten off.\n"
        ),
        (f"{ROUNDS}Fasten off.", f"{ROUNDS}"),
        "“MAT” is never fastened off.",
    ),
    (
        "level-word",
        f"Skill level: Easy. UK terms.\n\n{RING}",
        ("Easy", "Quite doable"),
        "“Quite doable” is not one of the usual skill levels.",
    ),
    (
        "terms-unstated",
        (
            "UK terms.\nTension: 18 dc and 20 rows to 10 cm\n\n"
            "Row 1: Make 11 ch, 1 dc in 2nd ch from hook, 1 dc in each ch to end. (10)\n"
        ),
        ("UK terms.\n", ""),
        "The pattern does not say whether “dc” is a US or a UK term.",
    ),
    (
        "copyright-line",
        f"{RING}\n(c) 2023 juniper lindqvist. all rights reserved\n",
        (" juniper lindqvist", ""),
        "The copyright line does not give a name.",
    ),
    (
        "caution-missing",
        f"{WHOLE}An ant. Sew the legs on firmly.\n\n{RING}Stuff firmly.\n",
        (" Sew the legs on firmly.", ""),
        "“Stuff”: the usual caution is missing.",
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
    ("hook-incomplete", f"{WHOLE}\nMaterials\nWool, 1 ball\n\nHook\n6 mm\n\n{ROUNDS}"),
    # a sleeve is sewn in along its seam, and needs no tail of its own
    (
        "tail-missing",
        PULLOVER.replace(
            "SLEEVES",
            "STRAP\nCh 5.\nRow 1: Sc in 2nd ch from hook and in each ch "
            "across. (4)\nFasten off, leaving a 10 cm tail.\n\nSLEEVES",
        ),
    ),
    ("special-unexplained", f"{RING}Rnds 2-4: Sc in each st, adding one st in each rnd.\n"),
    ("special-unexplained", POSTS.replace(": yarn over, insert the hook", ": dc worked")),
    ("caution-missing", f"A coaster. Do not put anything hot from the oven on it.\n\n{RING}"),
    ("material-missing", f"Materials\nDK wool\n\nOther\nWool needle\n\n{RING}Sew the ends in.\n"),
    (
        "section-missing",
        (
            "Turnip the Ant\nAn improver pattern in UK terms, 10 cm long\nTension: 20 dc\n"
            "Materials: wool, 4 mm hook\nAbbreviations: dc = double crochet\n\n"
            f"{RING.replace('sc', 'dc')}Sew in the ends.\n"
        ),
    ),
    (
        "gauge-size",
        (
            "To fit chest: 80 cm\nChest: 100 cm\nGauge: 20 sc and 22 rows = 10 cm\n\nCh 201.\n"
            "Row 1: Sc in 2nd ch from hook and in each ch across. (200)\n"
            "Rows 2-20: Ch 1, sc in each st, turn. (200)\n"
        ),
    ),
]


@pytest.mark.parametrize(
    ("rule", "text"), QUIET, ids=[f"{n}-{r}" for n, (r, _) in enumerate(QUIET)]
)
def test_what_needs_no_word_is_left_in_peace(rule: str, text: str) -> None:
    assert told(rule, text) == []


def test_a_house_may_want_every_count_to_say_where_it_goes(tmp_path: Path) -> None:
    (tmp_path / "housestyle.toml").write_text("[rules.count-ambiguous]\nbare = true\n")
    house = proofhook.house(tmp_path)
    text = ROUNDS + "Rnd 3: (2 sc in next st, 3 sc) 3 times. (15)\n"
    done = proofhook.proof(proofhook.read(text, "turnip.txt"), house)
    told = [each.message for each in done.findings if each.rule == "count-ambiguous"]
    assert told == ["“3 sc” may mean one in each of 3 sts or 3 in one."]


SHORT = ROUNDS + "Rnd 3: (Sc in next st) twice, *sc, inc* 3 times, sc in next 4 sts. (15)\n"


def test_a_stitch_that_comes_twice_is_written_out_by_a_sure_mend() -> None:
    done = proofhook.proof(proofhook.read(SHORT, "turnip.txt"))
    (finding,) = (each for each in done.findings if each.rule == "repeat-short")
    assert finding.message == (
        "“(Sc in next st) twice” marks as a repeat what is one stitch, worked twice."
    )
    (mend,) = finding.mends
    (edit,) = mend.edits
    assert mend.sure
    assert edit.text == "Sc in next st, sc in next st"
    assert told("repeat-short", SHORT[: edit.start] + edit.text + SHORT[edit.end :]) == []


@pytest.mark.parametrize(
    "row",
    [
        "(Sc in next st, inc) twice, sc in next 8 sts. (14)",
        "(Inc) 3 times, sc in next 9 sts. (15)",
        "dc2tog twice, sc in next 8 sts. (10)",
        "*Sc in next st; rep from * once more, sc in next 10 sts. (12)",
    ],
)
def test_longer_or_frequent_repeats_keep_their_brackets(row: str) -> None:
    assert told("repeat-short", f"{ROUNDS}Rnd 3: {row}\n") == []


def test_a_house_may_want_longer_repeats_written_out(tmp_path: Path) -> None:
    (tmp_path / "housestyle.toml").write_text("[rules.repeat-short]\nlongest = 4\n")
    text = f"{ROUNDS}Rnd 3: (Sc in next st, inc) twice, sc in next 8 sts. (14)\n"
    done = proofhook.proof(proofhook.read(text, "turnip.txt"), proofhook.house(tmp_path))
    assert [each.message for each in done.findings if each.rule == "repeat-short"] == [
        "“(Sc in next st, inc) twice” marks as a repeat what is 2 steps, worked twice."
    ]


def test_what_is_explained_and_used_once_is_told_with_the_words_in_full() -> None:
    head = "Abbreviations\nch: chain\nfoll: following\nsc: single crochet\n\n"
    rows = "".join(f"Row {n}: Ch 1, sc in each st across, turn. (6)\n" for n in range(2, 7))
    text = f"{head}Row 1: Ch 7, sc in 2nd ch from hook and in each foll ch. (6)\n{rows}"
    assert told("abbreviation-once", text) == [
        "“foll” is explained in the list and used only once."
    ]
    twice = text.replace("Row 6: Ch 1, sc in each", "Row 6: Ch 1, sc in each foll")
    assert told("abbreviation-once", twice) == []
    assert told("abbreviation-once", text.replace("Row 6", "Rnd 6").partition("Row 4")[0]) == []


@pytest.mark.parametrize(
    ("wish", "text", "slip", "said"),
    [
        (
            "section-missing]\ndesigner",
            f"Turnip\nby Juniper Lindqvist\n\n{WHOLE}\n{ROUNDS}",
            ("by Juniper Lindqvist", ""),
            "the designer",
        ),
        (
            "section-missing]\ncare",
            f"{WHOLE}\n{ROUNDS}\nWash by hand.\n",
            ("Wash by hand.", ""),
            "how to care for it",
        ),
        (
            "section-missing]\nnotes",
            f"{WHOLE}\nNotes: it grows from the middle.\n\n{ROUNDS}",
            ("Notes: it", "It"),
            "pattern notes",
        ),
        (
            "notion-size]\nnumber",
            f"Materials: wool; 4 mm hook; 3 buttons, 15 mm\n\n{ROUNDS}",
            ("3 buttons", "buttons"),
            "without their number",
        ),
        (
            "gauge-incomplete]\nblocked",
            f"Gauge: 20 sc and 22 rnds = 10 cm, blocked\n\n{ROUNDS}\nBlock to size.\n",
            (", blocked", ""),
            "whether it is blocked",
        ),
        (
            "gauge-incomplete]\nin-the-round",
            f"Gauge: 20 sc and 22 rnds = 10 cm\n\n{ROUNDS}",
            ("22 rnds", "22 rows"),
            "how many rounds",
        ),
    ],
)
def test_what_a_house_may_ask_for(
    tmp_path: Path, wish: str, text: str, slip: tuple[str, str], said: str
) -> None:
    (tmp_path / "housestyle.toml").write_text(f"[rules.{wish} = true\n")
    rule = wish.partition("]")[0]

    def messages(text: str) -> str:
        done = proofhook.proof(proofhook.read(text, "turnip.txt"), proofhook.house(tmp_path))
        return " ".join(each.message for each in done.findings if each.rule == rule)

    assert said not in messages(text)
    assert said in messages(text.replace(*slip))
    assert said not in " ".join(told(rule, text.replace(*slip)))
