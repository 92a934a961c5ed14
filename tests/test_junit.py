"""JUnit XML: in the form of the published schema, well formed whatever the text holds."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import xmlschema
from hypothesis import given
from hypothesis import strategies as st

import proofhook
from making import written
from proofhook.cli import main
from proofhook.proofing import Grade
from proofhook.proofing.house import House
from proofhook.proofing.proof import Proof
from proofhook.showing.as_junit import escaped

SCHEMAS = Path(__file__).parent / "schemas"

TURNIP = """\
TURNIP

Rnd 1: 6 sc in a magic ring. (7)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: Frumble the wurzle 3 times. (12)
Rnd 5: Sc around. (12)
Rnd 5: Sc around. (12)

Change colour and fasten off. TBD
"""


@cache
def schema() -> xmlschema.XMLSchema:
    """The schema of the xUnit plug-in of Jenkins, as tests/schemas/README.md says."""
    return xmlschema.XMLSchema(str(SCHEMAS / "junit-10.xsd"))


def report(*proofs: Proof, told: tuple[str, ...] = ()) -> ET.Element:
    """The report of a run, after it has been held against the schema."""
    text = "".join(written("proof", proofs, form="junit", told=told))
    assert text.isascii()
    schema().validate(text)
    return ET.fromstring(text)


def proof_of(text: str, failing: Grade = Grade.ERROR, path: str = "turnip.txt") -> Proof:
    return proofhook.read(text, path).proof(House(failing=failing))


def cases(element: ET.Element) -> dict[str, list[str]]:
    """What each test of a report holds, by its name."""
    found = {case.attrib["name"]: [part.tag for part in case] for case in element.iter("testcase")}
    assert len(found) == len(list(element.iter("testcase"))), "two tests of one name"
    return found


def test_the_schema_refuses_what_is_no_report() -> None:
    with pytest.raises(xmlschema.XMLSchemaException):
        schema().validate("<testsuites><testcase/></testsuites>")


def test_every_row_is_a_test_and_fails_where_it_fails_the_run() -> None:
    found = cases(report(proof_of(TURNIP)))
    assert found == {
        "TURNIP, Rnd 1": ["failure"],
        "TURNIP, Rnd 2": [],
        "TURNIP, Rnd 3": ["skipped", "system-out"],
        "TURNIP, Rnd 5": ["system-out"],
        "TURNIP, Rnd 5 (2)": ["system-out"],
        "Outside the rows": ["system-out"],
    }


def test_the_counts_are_those_of_the_tests() -> None:
    [suite] = report(proof_of(TURNIP))
    counted = {name: suite.attrib[name] for name in ("tests", "failures", "errors", "skipped")}
    assert counted == {"tests": "6", "failures": "1", "errors": "0", "skipped": "1"}


def test_a_strict_house_has_more_failures() -> None:
    found = cases(report(proof_of(TURNIP, Grade.QUERY)))
    assert found["TURNIP, Rnd 3"] == ["failure"]
    assert found["Outside the rows"] == ["failure"]


def test_a_failure_says_all_that_there_is_to_say() -> None:
    [failure] = report(proof_of(TURNIP)).iter("failure")
    assert failure.attrib["type"] == "stitch-total"
    assert failure.attrib["message"] == "The round makes 6 sts, but the total says 7."
    assert (failure.text or "").splitlines() == [
        "turnip.txt:3:31: error: The round makes 6 sts, but the total says 7. (stitch-total)",
        "  worked: 6",
        "  to mend: Write 6 in the total, if the round is right.",
        "  to mend: Change the stitches, if the total is right.",
    ]


def test_the_names_hold_when_lines_are_put_in_above() -> None:
    moved = TURNIP.replace("TURNIP\n", "Yarn: any.\n\nTURNIP\n")
    assert set(cases(report(proof_of(TURNIP)))) == set(cases(report(proof_of(moved))))


def test_what_could_not_be_done_is_an_error() -> None:
    [suite] = report(told=("a.txt: not a text file.", "b.txt: it is empty."))
    assert suite.attrib["errors"] == "2"
    messages = [error.attrib["message"] for error in suite.iter("error")]
    assert messages == ["a.txt: not a text file.", "b.txt: it is empty."]


def test_a_run_without_files_is_valid() -> None:
    assert len(report()) == 0


def test_the_shipped_patterns_give_a_valid_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(Path(__file__).parents[1])
    out = tmp_path / "all.xml"
    assert main(["proof", "fixtures/patterns", "--format", "junit", "-o", str(out)]) == 1
    schema().validate(str(out))
    assert ET.parse(out).getroot().find(".//failure") is not None


def test_characters_that_xml_cannot_hold_are_replaced() -> None:
    text = 'a\x00b\x1bc\ufffed\ud800e & <f> "g" ]]> h\ti\r\nj'
    again = ET.fromstring(f"<a>{escaped(text)}</a>").text
    assert again == 'a\ufffdb\ufffdc\ufffdd\ufffde & <f> "g" ]]> h\ti\r\nj'


@given(st.text(st.characters(), max_size=60), st.text(st.characters(), max_size=30))
def test_any_text_gives_a_valid_report(words: str, path: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (7)\nRnd 2: sc around {words}. (9)\n"
    told = f"{path}: it {words}."
    suite, errors = report(proof_of(text, path=path), told=(told,))
    assert suite.attrib["failures"] != "0"
    assert len(errors) == 1
