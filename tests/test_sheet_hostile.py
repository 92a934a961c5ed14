"""A pattern is text from anywhere: nothing in it gets out of the place where it is shown."""

from __future__ import annotations

from pathlib import Path
from time import process_time
from xml.etree.ElementTree import Element

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import proofhook
from golden import ROOT
from proofhook.proofing.finding import Finding, Grade, Mend
from proofhook.proofing.house import House, Wording
from proofhook.proofing.proof import Proof
from proofhook.proofing.stet import Stet
from proofhook.records import replace
from proofhook.showing.sheet import Listed, index, sheet
from proofhook.showing.sums import Sums
from proofhook.text import Edit, Span
from reading_html import name_of, parsed, words

#: What would open an element, close one, end an attribute, or run, if it were let.
BREAKS = (
    "<script>alert(1)</script>",
    "</p></section></main><img src=x onerror=alert(1)>",
    "\"><svg onload=alert(1)>",
    "' autofocus onfocus=alert(1) x='",
    "</title><script>alert(1)</script>",
    "</desc></svg><script>alert(1)</script>",
    "</style><script>alert(1)</script>",
    "<!-- ", "-->", "]]>", "&lt;script&gt;", "&#60;script&#62;",
    "{{ 7 * 7 }}", "{% raw %}", "{# ", "javascript:alert(1)",
    "\u202e\u2066evil", "\x1b[31m", "\x00", "\x0b\x0c\u2028",
)  # fmt: skip
ROW = "Rnd 1: 6 sc in a magic ring. (7)"
EVEN = "Rnd 2: Sc in each st around. (6)\n"

#: The elements that a sheet is made of; a page with any other was broken out of.
ELEMENTS = frozenset(
    "html head meta title style body a div header p h1 h2 h3 nav ul ol li main section table "
    "caption tbody thead tr th td span del ins mark i b q small figure svg desc path g circle text "
    "figcaption footer".split()
)


def proof_of(word: str) -> Proof:
    """A proof in which the word stands in every place that takes any."""
    text = f"{word}\nSizes: S{word} (M{word}, L)\n\n{word} PIECE\n{ROW}\n"
    text += f"Rnd 2{word}: {word} the chart. (12)\n{word}\n"
    pattern = proofhook.read(text, f"/folder/{word}.txt")
    tally = proofhook.tally(pattern)
    span = Span(0, min(4, len(text)))
    mend = Mend(word, edits=(Edit(0, 1, word),))
    finding = Finding(word, Grade.ERROR, span, word, word, word, word, (mend, Mend(word)))
    standing = finding._replace(span=Span(1, 1))
    quote = " ".join(text.splitlines()[0].split())
    house = House(
        wording=(Wording(word, (word,), (word,), because=word, place=word),),
        sections=(word,), sheets=(word,), places={"failing": word, "sections": word},
        stets=(Stet(word, quote, word, date=word),),
    )  # fmt: skip
    return Proof(pattern, tally, house, (finding,), (word,), (standing,))


def shape(root: Element) -> list[str]:
    return [name_of(each) for each in root.iter()]


def checked(page: str) -> Element:
    root = parsed(page)
    assert set(shape(root)) <= ELEMENTS
    for each in root.iter():
        names = {key.lower() for key in each.attrib}
        assert not [name for name in names if name.startswith("on") or name == "autofocus"]
        link = each.get("href", "")
        assert link == "" or link.startswith("#") or link.endswith(".html")
    assert not [letter for letter in page if letter in "\u202e\u2066\x1b\x00\x0b"]
    return root


@pytest.mark.parametrize("word", BREAKS)
def test_nothing_breaks_out_of_a_sheet(word: str) -> None:
    plain = checked(sheet(proof_of("word"), date="word", back="word.html"))
    broken = checked(sheet(proof_of(word), date=word, back="word.html"))
    assert {name: shape(broken).count(name) for name in ("meta", "style", "main", "h1")} == {
        name: shape(plain).count(name) for name in ("meta", "style", "main", "h1")
    }


@pytest.mark.parametrize(
    "path", sorted((ROOT / "fixtures" / "labelled").rglob("*.txt"))[::7], ids=lambda path: path.stem
)
def test_the_sheets_of_all_sorts_of_patterns_are_well_formed(path: Path) -> None:
    done = proofhook.proof(proofhook.read(path.read_text("utf-8"), path.name))
    root = checked(sheet(done))
    rows = sum("counts" in table.get("class", "") for table in root.iter("table"))
    assert rows == len({id(row.piece) for row in done.tally.rows}) > 0


@pytest.mark.parametrize("word", BREAKS)
def test_nothing_breaks_out_of_an_index(word: str) -> None:
    listed = [Listed(word, word, "a.html", Sums(files=1, errors=1))]
    plain = [Listed("word", "word", "a.html", Sums(files=1, errors=1))]
    assert shape(checked(index(listed, [word], date=word))) == (
        shape(checked(index(plain, ["word"], date="word")))
    )


@settings(max_examples=150, deadline=None)
@given(st.text(min_size=1, max_size=60), st.sampled_from(BREAKS))
def test_no_text_at_all_breaks_out(some: str, word: str) -> None:
    checked(sheet(proof_of(some + word)))


@pytest.mark.parametrize("word", ["<b>", '"', "'", "&amp;", "<i>&lt;", "\u202e"])
def test_a_name_is_shown_as_it_stands_everywhere(word: str) -> None:
    """Escaped once, not twice: in words, in an attribute, in a picture, and the title too."""
    tally = proofhook.tally(proofhook.read(f"LOAF\n\nCRUST\n{ROW}\n"))
    pieces = tuple(replace(piece, name=word) for piece in tally.pattern.pieces)
    rows = tuple(replace(row, piece=pieces[0]) for row in tally.rows)
    pattern = replace(tally.pattern, title=word, pieces=pieces)
    tally = replace(tally, pattern=pattern, rows=rows)
    root = checked(sheet(Proof(pattern, tally, House(), ())))
    seen = word.replace("\u202e", "\N{REPLACEMENT CHARACTER}")
    titles = [each.text for each in root.iter() if name_of(each) == "title"]
    assert titles == [f"{seen}: proof sheet", f"Rings of {seen}"]
    assert f"Counts of {seen}, a table" in [each.get("aria-label") for each in root.iter("div")]
    assert [words(each) for each in (*root.iter("h1"), *root.iter("caption"))][::3] == (
        [seen, f"Counts of {seen}"]
    )


@pytest.mark.parametrize(
    ("text", "most"),
    [
        (f"{'T' * 200_000}\n{ROW}\n", 500_000),
        (f"HAT\n{chr(10) * 100_000}{ROW}\n", 40_000),
        (f"HAT\n{ROW}\n{EVEN * 2_000}", 3_000_000),
        (f"Sizes: {', '.join(['S'] * 5_000)}\n\nHAT\n{ROW}\n", 200_000),
        (f"HAT\nRnd 1: {'(' * 5_000}6 sc in ring{')' * 5_000}. (6)\n", 200_000),
    ],
    ids=["title", "blank lines", "rows", "sizes", "brackets"],
)
def test_text_that_is_too_much_gives_a_page_no_larger_than_it_must_be(text: str, most: int) -> None:
    done = proofhook.proof(proofhook.read(text))
    begun = process_time()
    page = sheet(done)
    assert process_time() - begun < 5
    assert len(page) < most


def test_a_page_forbids_scripts_and_everything_from_outside() -> None:
    page = sheet(proof_of("word"))
    policy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
    assert f'<meta http-equiv="Content-Security-Policy" content="{policy}">' in page


def test_a_template_escapes_everything() -> None:
    """No template says that something is safe, and none is named so that it would not escape."""
    import proofhook.showing.sheet as package
    from proofhook.showing.sheet import rendering

    folder = Path(next(iter(package.__path__))) / "templates"
    for template in folder.iterdir():
        text = template.read_text("utf-8")
        assert "|safe" not in text.replace(" ", "")
        assert "autoescape" not in text
    assert rendering._environment().autoescape is True
