"""Second editions: what changes, what must not, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from choosing import tried
from proofhook.reading import read
from proofhook.text import Source
from proofhook.translating import Edition, Refusal, second_edition, translated

ROUND = "\nRnd 1: 6 {} in a magic ring. (6)\n"


def edition(text: str, to: str = "uk", side: str = "") -> Edition:
    """The second edition of a text, which there must be."""
    made = second_edition(Source("radish.txt", text), to, side)
    assert isinstance(made, Edition), made
    return made


def refusal(text: str, to: str = "uk", side: str = "") -> Refusal:
    made = second_edition(Source("radish.txt", text), to, side)
    assert isinstance(made, Refusal), made.text
    return made


def us(words: str) -> str:
    """Words in a pattern in US terms, under a title, before a round."""
    return f"RADISH\n\nUS terms.\n\n{words}\n{ROUND.format('sc')}"


def uk(words: str) -> str:
    return f"RADISH\n\nUK terms.\n\n{words}\n{ROUND.format('dc')}"


@pytest.mark.parametrize(
    ("us_words", "uk_words"),
    [
        ("Gauge is not important.", "Tension is not important."),
        ("GAUGE\n12 sc and 14 rows = 10 cm (4 in)", "TENSION\n12 dc and 14 rows = 10 cm (4 in)"),
        ("Gauge: 12 sts = 10 cm (4 in)", "Tension: 12 sts = 10 cm (4 in)"),
        ("Make a gauge swatch first.", "Make a tension swatch first."),
        ("Change color at the center.", "Change colour at the centre."),
        ("Leave 2 meters of yarn.", "Leave 2 metres of yarn."),
        ("Skip the next 2 sts where it says so.", "Miss the next 2 sts where it says so."),
        ("The skipped stitches are worked later.", "The missed stitches are worked later."),
        ("Yarn over twice, then pull up a loop.", "Yarn round hook twice, then pull up a loop."),
        ("Puff st: yo, pull up a loop, yo", "Puff st: yrh, pull up a loop, yrh"),
        ("Work in single crochet throughout.", "Work in double crochet throughout."),
        ("Half double crochet makes it stretch.", "Half treble crochet makes it stretch."),
        ("The dc of Round 3 stand out.", "The tr of Round 3 stand out."),
        ("Yarn: worsted weight (4), 50 g", "Yarn: aran weight (4), 50 g"),
        ("Yarn: Super bulky yarn, 50 g", "Yarn: Super chunky yarn, 50 g"),
        ("MATERIALS\nDK weight yarn, 50 g", "MATERIALS\nDK weight yarn, 50 g"),
        ("MATERIALS\nFingering weight wool, 50 g", "MATERIALS\n4 ply weight wool, 50 g"),
        ("Materials: fingering weight wool, 50 g", "Materials: 4 ply weight wool, 50 g"),
        (
            "NOTES\nCh 3 at the beginning counts as a dc.",
            "NOTES\nCh 3 at the beginning counts as a tr.",
        ),
        (
            "SPECIAL STITCHES\nShell: 5 dc in the st named.",
            "SPECIAL STITCHES\nShell: 5 tr in the st named.",
        ),
        (
            (
                "ABBREVIATIONS\nch = chain\nhdc = half double crochet\nsc = single crochet\n"
                "sk = skip\nst = stitch"
            ),
            (
                "ABBREVIATIONS\nch = chain\ndc = double crochet\nhtr = half treble crochet\n"
                "miss = skip\nst = stitch"
            ),
        ),
        (
            "ABBREVIATIONS\nsc = single crochet\nch = chain\ndc = double crochet",
            "ABBREVIATIONS\ndc = double crochet\nch = chain\ntr = treble crochet",
        ),
        ("Skip the marked 4 sts.", "Miss the marked 4 sts."),
        ("| sk | skip |", "| miss | skip |"),
        ("sk—skip; sc—single crochet", "miss—skip; dc—double crochet"),
        ("A sc is a UK dc.", "A dc is a US sc."),
        ("STITCHES (US)\nsc = single crochet", "STITCHES (UK)\ndc = double crochet"),
        ("Two yarn overs make a loop.", "Two yarns round hook make a loop."),
        (
            "The half double crochets and trebles are loose.",
            "The half treble crochets and double trebles are loose.",
        ),
        ("Stitch guide (US): sc single crochet", "Stitch guide (UK): dc double crochet"),
        ("US dc = UK tr", "UK tr = US dc"),
    ],
)
def test_words_both_ways(us_words: str, uk_words: str) -> None:
    assert edition(us(us_words)).text == uk(uk_words)
    assert edition(uk(uk_words), "us").text == us(us_words)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("Materials: 4 mm hook", "Materials: 4 mm (UK 8) hook"),
        ("Hook: 3.5 mm (US E-4)", "Hook: 3.5 mm (US E-4, UK 9)"),
        ("Hook: 3.5 mm (E-4)", "Hook: 3.5 mm (E-4, UK 9)"),
        ("Hook: G-6 (4 mm)", "Hook: G-6 (4 mm, UK 8)"),
        ("Materials: 5 mm hook (US H-8)", "Materials: 5 mm hook (US H-8, UK 6)"),
        ("Materials: 5 mm/H-8 hook, needle", "Materials: 5 mm/H-8 (UK 6) hook, needle"),
        ("Hook: 4 mm (or size to obtain gauge)", "Hook: 4 mm (UK 8) (or size to obtain tension)"),
        ("Hook: 4 mm (US G-6, UK 8)", "Hook: 4 mm (US G-6, UK 8)"),
        ("Hook: 3.75 mm", "Hook: 3.75 mm"),
        ("Hook: 4 mm; a pair of 8 mm eyes", "Hook: 4 mm (UK 8); a pair of 8 mm eyes"),
        ("Steel hook: 2.5 mm", "Steel hook: 2.5 mm"),
    ],
)
def test_hooks_gain_the_uk_number(before: str, after: str) -> None:
    assert edition(us(before)).text == uk(after)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("Hook: 4 mm", "Hook: 4 mm (US G-6)"),
        ("Hook: 4.5 mm (UK 7)", "Hook: 4.5 mm (UK 7, US 7)"),
        ("Hook: 3 mm", "Hook: 3 mm"),
    ],
)
def test_hooks_gain_the_us_label(before: str, after: str) -> None:
    assert edition(uk(before), "us").text == us(after)


UNCHANGED = [
    "“Work one dc for every row”, as my aunt said.",
    'She wrote "half double crochet" in the margin.',
    "See https://patterns.example/dc-and-sc?skip=2#gauge for the chart.",
    "Write to sc@dc.example with questions.",
    "[the chart](charts/dc-chart.md)",
    "Made for the Knot Museum, Washington, DC 20001.",
    "The shop is in Columbia, SC.",
    "MATERIALS\nYarn: Treble Clef DK, 100 g",
    "MATERIALS\n100 g of wool in Dove Gray and Color Me Red",
    "MATERIALS\nHarbour Mist Worsted Twist, 50 g",
    "Do not skip breakfast.",
    "Skip ahead to the edging if you like.",
    "Hold the yarn double for the base.",
    "A single button closes it.",
    "It is worked in triple time, to a tune in the treble clef.",
    "Keep an even tension throughout.",
    "The wire is 18 gauge.",
    "4 in (10 cm) wide, 2 yd (1.8 m) of ribbon",
    "Bulky seams are pressed flat.",
    "A sport bag and a worsted opponent are no yarns.",
    "Pass the yarn over the hook.",
    "Hang it with yarn over the door.",
    "The waistband gauges itself to scale: describe, discard, attract.",
]


@pytest.mark.parametrize("words", UNCHANGED)
def test_what_must_not_change_does_not(words: str) -> None:
    if "gauge" in words and "gauges" not in words and "18" not in words:
        assert words in edition(us(words)).text
        return
    made = edition(us(words)).text
    assert words in made or words == UNCHANGED[-1]


@pytest.mark.parametrize(
    "words",
    [
        "I would not miss it, and there is a button missing.",
        "Keep an even tension; the tension of the yarn matters less.",
        "“Work one tr for every row”, as my aunt said.",
        "An aran jumper is chunky.",
        "It doubles as a bag, and trebles the fun of a treble clef.",
        "MATERIALS\nWool in Grey Heron",
    ],
)
def test_what_must_not_change_to_us_does_not(words: str) -> None:
    assert words in edition(uk(words), "us").text


def test_a_title_stays_and_is_told_of() -> None:
    text = us("Notes").replace("RADISH", "The Single Crochet Radish")
    made = edition(text)
    assert made.text.startswith("The Single Crochet Radish\n")
    assert [left.why for left in made.left] == ["it stands in the title"]


def test_a_quotation_stays_and_is_told_of() -> None:
    text = us("“Work one dc”, as my aunt said.")
    [left] = edition(text).left
    assert text[left.span.start : left.span.end] == "dc"
    assert left.why == "it stands in a quotation"


SHADES = "Color DC (dark cream), Color MC (milk)"


def test_a_shade_is_no_stitch() -> None:
    assert "Colour DC (dark cream), Colour MC (milk)" in edition(us(SHADES)).text


def test_a_shade_that_a_row_may_take_for_a_stitch_is_refused() -> None:
    text = us(SHADES).replace("Rnd 1: 6 sc", "Rnd 1: With DC, 6 sc")
    assert "Rnd 1: the words “DC”" in refusal(text).why


def test_an_abbreviation_of_the_patterns_own_is_no_stitch() -> None:
    text = us("ABBREVIATIONS\nSC = side contrast\nsc = single crochet")
    assert "SC = side contrast\ndc = double crochet" in edition(text).text


def test_capitals_in_rows_are_stitches() -> None:
    text = (
        "RADISH\n\nUS terms.\n\nRND 1: 6 SC IN A MAGIC RING. (6)\nRND 2: 2 DC IN EACH ST. (12 DC)\n"
    )
    made = edition(text).text
    assert "6 DC IN A MAGIC RING" in made
    assert "2 TR IN EACH ST. (12 TR)" in made


def test_what_was_not_read_is_left_and_told_of() -> None:
    text = us("").rstrip() + "\nRnd 2: Sc as in the dc diagram twice over. (12)\n"
    made = edition(text)
    [left, *_] = [left for left in made.left if left.why == "it is not read"]
    assert text[left.span.start : left.span.end] in made.text


def test_totals_and_the_places_worked_into() -> None:
    text = us("").rstrip() + "\nRnd 2: (Sc, dc) in each sc around. (6 sc, 6 dc)\n"
    assert "(Dc, tr) in each dc around. (6 dc, 6 tr)" in edition(text).text


def test_decreases_named_for_a_stitch() -> None:
    text = us("").rstrip() + "\nRnd 2: Sc inc in each st. (12)\nRnd 3: Sc dec 6 times. (6)\n"
    made = edition(text).text
    assert "Rnd 2: Dc inc in each st. (12)\nRnd 3: Dc dec 6 times. (6)" in made
    assert edition(made, "us").text == text


@pytest.mark.parametrize(
    ("uk_row", "us_row"),
    [
        ("RtrF round each st", "FPdc round each st"),
        ("1 raised treble front round each st", "1 front post double crochet round each st"),
        ("1 treble in each st", "1 double crochet in each st"),
        ("1 double in each st", "1 single crochet in each st"),
    ],
)
def test_uk_names_in_rows(uk_row: str, us_row: str) -> None:
    text = uk("").rstrip() + f"\nRnd 2: {uk_row}. (6)\n"
    assert f"Rnd 2: {us_row}. (6)\n" in edition(text, "us").text


def test_a_pattern_in_the_terms_already_is_not_changed() -> None:
    text = uk("Tension is not important.")
    made = edition(text, "uk")
    assert (made.text, made.changed) == (text, False)


@pytest.mark.parametrize("text", [us("Gauge is not important."), us("Skip the next st.")])
def test_a_second_edition_is_not_translated_again(text: str) -> None:
    once = edition(text)
    again = edition(once.text, "uk")
    assert (again.text, again.changed) == (once.text, False)


def test_a_text_that_does_not_state_its_terms_is_told_of() -> None:
    assert edition(ROUND.format("sc").strip() + "\n").unstated
    assert not edition(us("")).unstated


# --- what is refused ------------------------------------------------------------------


def test_where_nothing_tells_the_terms_there_is_a_question() -> None:
    text = "RADISH\n\nCh 10.\nRow 1: Ch 2, dc in each ch across.\n"
    refused = refusal(text)
    assert refused.asks
    assert refused.why.startswith("which terms is this in?")
    assert "tr in each ch across" in edition(text, "uk", "us").text
    assert "sc in each ch across" in edition(text, "us", "uk").text


def test_weak_words_alone_do_not_decide() -> None:
    text = "RADISH\n\nGauge: not important, skip it\n\nCh 10.\nRow 1: Ch 2, dc in each ch across.\n"
    assert refusal(text).asks


def test_a_mix_is_a_question_with_its_place() -> None:
    text = us("").rstrip() + "\nRnd 2: Htr in each st around. (6)\n"
    refused = refusal(text)
    assert refused.asks
    assert "“htr” is UK" in refused.why
    assert text[refused.at :].startswith("Htr")


def test_a_word_of_the_other_terms_in_a_row_is_refused_even_when_told() -> None:
    text = us("").rstrip() + "\nRnd 2: Htr in each st around. (6)\n"
    refused = refusal(text, "uk", "us")
    assert "“Htr” cannot be translated" in refused.why
    assert text[refused.at :].startswith("Htr")


def test_a_text_with_both_names_is_refused() -> None:
    text = us("UK terms are given in brackets.").replace("6 sc in", "6 sc (dc) in")
    assert "both US and UK names" in refusal(text, "uk", "us").why


def test_a_text_without_rows_is_refused() -> None:
    assert refusal("US terms.\n\nA note on gauge.\n").rowless


def test_quotation_marks_in_a_row_are_brackets() -> None:
    text = us("").rstrip() + "\nRnd 2: “2 sc in each st around”. (12)\n"
    assert "Rnd 2: “2 dc in each st around”. (12)" in edition(text).text


def test_a_name_that_would_be_left_in_a_row_is_refused() -> None:
    """A link is not changed, so that a word of US terms would stand in the UK edition."""
    text = us("").rstrip() + "\nRnd 2: 2 sc in each st, see www.radish.example/dc there. (12)\n"
    assert "Rnd 2" in refusal(text).why


@pytest.mark.parametrize(
    "words",
    [
        "double, " * 5000,
        '“" ‘' * 5000,
        "US sc " * 3000,
        "raised half " * 5000,
        "half" + " " * 50_000,
    ],
    ids=lambda words: words[:8].strip(),
)
def test_a_text_that_means_harm_does_none(words: str) -> None:
    made = second_edition(Source("", us(words)), "uk", "us")
    assert isinstance(made, Refusal) or made.text.endswith("6 dc in a magic ring. (6)\n")


# --- what holds for any text ----------------------------------------------------------

WORDS = st.lists(
    st.sampled_from(
        [
            *"sc hdc dc tr dtr Sc DC FPdc sc2tog single crochet double treble half".split(),
            *"skip miss gauge tension yarn over yo color colour worsted aran US UK".split(),
            *"terms ( ) , . : 6 “ ” in each st around (12) 4 mm hook Rnd 2:".split(),
            *("\n", "\n\n"),
            *"ch 3 counts as a".split(),
        ]
    ),
    max_size=60,
).map(" ".join)


@pytest.mark.parametrize(
    ("title", "became"),
    [
        ("US terms", "UK terms"),
        ("DC TURNIP (US terms)", "DC TURNIP (UK terms)"),
        ("A turnip in US terms, single crochet", "A turnip in UK terms, single crochet"),
    ],
)
def test_the_title_stays_but_for_the_terms_it_states(title: str, became: str) -> None:
    made = second_edition(
        Source("", f"{title}\n\nRnd 1: 6 sc in a magic ring. (6 sc)\n"), "uk", "us"
    )
    assert isinstance(made, Edition)
    assert made.text == f"{became}\n\nRnd 1: 6 dc in a magic ring. (6 dc)\n"


def test_a_name_that_is_broken_over_lines_stays_broken() -> None:
    made = second_edition(Source("", us("sc, yarn \n over and\nskip 1 st")), "uk", "us")
    assert isinstance(made, Edition)
    assert "yarn \n round hook and\nmiss 1 st" in made.text


@tried(100)
@given(WORDS, st.sampled_from([("us", "uk"), ("uk", "us")]))
def test_any_text_is_translated_without_a_fault_and_its_usual_form_is_stable(
    words: str, sides: tuple[str, str]
) -> None:
    side, to = sides
    made = translated(read(Source("", words), side), side, to)
    usual = translated(read(Source("", words), side), side, side).text
    again = translated(read(Source("", usual), side), side, side).text
    assert made.text.count("\n") == words.count("\n")
    assert again == usual


@tried(100)
@given(WORDS, st.sampled_from([("us", "uk"), ("uk", "us")]))
def test_an_edition_of_any_text_is_proved(words: str, sides: tuple[str, str]) -> None:
    side, to = sides
    made = second_edition(Source("", us(words)), to, side)
    if isinstance(made, Edition):
        back = second_edition(Source("", made.text), side, to)
        assert isinstance(back, Edition | Refusal)
        assert made.text.count("\n") == us(words).count("\n")


def test_words_that_both_sides_have_stay_and_do_not_stand_in_the_way() -> None:
    """ "sk" and "skip" are read in UK terms as well; on the way back they come as "miss"."""
    text = uk("ABBREVIATIONS\ndc = double crochet\nsk = skip\nst = stitch").rstrip()
    text += "\nRnd 2: 2 dc in each st. (12)\n"
    text += "Rnd 3: *Dc in next st, sk next st; rep from * around. (6)\n"
    made = edition(text, "us").text
    assert "sc = single crochet\nsk = skip\nst = stitch" in made
    assert "Rnd 3: *Sc in next st, sk next st; rep from * around. (6)" in made


def test_a_statement_in_the_text_is_not_overruled() -> None:
    refused = refusal(us(""), "uk", "uk")
    assert refused.why == "it says “US terms”, so it is not in UK terms"
    assert us("")[refused.at :].startswith("US terms")


def test_both_names_of_a_us_treble_become_one() -> None:
    made = edition(us("ABBREVIATIONS\nsc = single crochet\ntr = treble (triple) crochet")).text
    assert "\ndtr = double treble crochet" in made


# --- new entries of the list ------------------------------------------------------------

ROWS = (
    "Ch 11.\nRow 1: Dc in 4th ch from hook and in each ch across, turn. (9 dc)\n"
    "Row 2: Ch 1, sc2tog, sc in next 5 sts, sc2tog, turn. (7)\n"
    "Row 3: Ch 2, FPdc around each st. (7)\n"
)


def listed(entries: str, more: str = "") -> str:
    return f"RADISH\n\nUS terms.\n\nABBREVIATIONS\n{entries}\n\n{more}{ROWS}"


def list_of(text: str) -> str:
    return text.split("ABBREVIATIONS\n")[1].split("\n\n", maxsplit=1)[0]


def test_a_list_in_order_explains_the_words_that_are_new_in_order() -> None:
    made = edition(listed("ch   chain\nrep  repeat\nst   stitch")).text
    assert list_of(made) == (
        "ch   chain\ndc   double crochet\ndc2tog  double crochet 2 stitches together\n"
        "FPtr  front post treble\nrep  repeat\nst   stitch\ntr   treble crochet"
    )


def test_a_list_in_no_order_explains_them_last_and_in_its_own_marks() -> None:
    made = edition(listed("- st: stitch;\n- ch: chain;\n- RS: right side;")).text
    assert list_of(made) == (
        "- st: stitch;\n- ch: chain;\n- RS: right side;\n- dc: double crochet;\n"
        "- dc2tog: double crochet 2 stitches together;\n- FPtr: front post treble;\n"
        "- tr: treble crochet;"
    )


def test_what_the_list_explains_already_is_not_explained_again() -> None:
    full = (
        "ch = chain\ndc = double crochet\nFPdc = front post dc\nsc = single crochet\n"
        "sc2tog = sc 2 together"
    )
    assert len(list_of(edition(listed(full)).text).splitlines()) == 5


def test_the_words_of_special_stitches_are_explained_as_well() -> None:
    puff = "Special stitch\nPuff: yo, pull up a loop, yo, pull through all.\n\n"
    made = edition(listed("ch = chain\nrep = repeat\nst = stitch", puff)).text
    assert "\nyrh = yarn round hook" in list_of(made)


def test_a_list_in_one_line_or_none_gains_nothing() -> None:
    for entries in ("ch = chain, st = stitch, rep = repeat, sp = space", "See the book."):
        assert list_of(edition(listed(entries)).text) == entries


def test_an_edition_with_new_entries_can_be_translated_back() -> None:
    made = edition(listed("ch = chain\nrep = repeat\nst = stitch")).text
    back = edition(made, "us").text
    assert back.endswith(ROWS)
    assert "\ndc = double crochet\n" in back
    assert "\nsc = single crochet\n" in back
