"""SARIF: in the form of the standard's own schema, at the right places, the same next time."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

import proofhook
from making import made, proofed, written
from proofhook.cli import main
from proofhook.proofing import Finding, Grade, Mend
from proofhook.proofing.proof import Proof
from proofhook.proofing.stet import fingerprints
from proofhook.showing.as_sarif import uri_of
from proofhook.text import Edit, Span, apply_edits

SCHEMAS = Path(__file__).parent / "schemas"

TURNIP = """\
TURNIP

Rnd 1: 6 sc in a magic ring. (7)
Rnd 2: 2 sc in each st around; *mark {0} [so](1). (11)
Rnd 4: Sc around. (12)
"""


@cache
def schema() -> jsonschema.Draft4Validator:
    """The schema of the standard, as tests/schemas/README.md says."""
    text = (SCHEMAS / "sarif-2.1.0-rtm.5.json").read_text("utf-8")
    return jsonschema.Draft4Validator(json.loads(text))


def log(*proofs: Proof, told: tuple[str, ...] = ()) -> dict[str, Any]:
    """The log of a run, after it has been held against the schema."""
    text = "".join(written("proof", proofs, form="sarif", told=told))
    assert text.isascii()
    value: dict[str, Any] = json.loads(text)
    schema().validate(value)
    [run] = value["runs"]
    assert isinstance(run, dict)
    return run


def proof_of(text: str, path: str = "turnip.txt") -> Proof:
    return proofhook.read(text, path).proof()


def place(text: str, line: int, column: int) -> int:
    """The offset of a line and column, counted in the way the log says it counts."""
    starts = [0, *(found.end() for found in re.finditer("\r\n|\n|\r", text))]
    return starts[line - 1] + column - 1


def stretch(text: str, region: dict[str, Any]) -> tuple[int, int]:
    start = place(text, region["startLine"], region["startColumn"])
    return start, place(text, region["endLine"], region["endColumn"])


def test_the_schema_refuses_what_is_no_sarif() -> None:
    with pytest.raises(jsonschema.ValidationError):
        schema().validate({"version": "2.1.0", "runs": [{"results": []}]})


def test_the_shipped_patterns_give_a_valid_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(Path(__file__).parents[1])
    out = tmp_path / "all.sarif"
    assert main(["proof", "fixtures/patterns", "--format", "sarif", "-o", str(out)]) == 1
    value = json.loads(out.read_text("ascii"))
    schema().validate(value)
    [run] = value["runs"]
    assert {"stitch-total", "tail-missing"} <= {result["ruleId"] for result in run["results"]}
    assert run["invocations"] == [{"executionSuccessful": True, "toolExecutionNotifications": []}]


def test_a_run_without_findings_is_valid() -> None:
    run = log(proof_of("Rnd 1: 6 sc in a magic ring. (6)\n"))
    assert run["results"] == []
    assert run["tool"]["driver"]["rules"]
    assert log()["results"] == []


def test_every_result_belongs_to_its_rule_and_has_its_level() -> None:
    run = log(proof_of(TURNIP))
    rules = run["tool"]["driver"]["rules"]
    assert {result["level"] for result in run["results"]} == {"error", "warning"}, run["results"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        assert (
            result["level"]
            == {"error": "error", "query": "warning", "style": "note"}[
                result["properties"]["grade"]
            ]
        )
    about = next(rule for rule in rules if rule["id"] == "stitch-total")
    assert about["defaultConfiguration"] == {"level": "error"}
    assert "A stated total" in about["shortDescription"]["text"]
    assert about["help"]["markdown"].startswith("# stitch-total\n")


def test_the_message_is_all_that_there_is_to_say() -> None:
    [first, *_] = log(proof_of(TURNIP))["results"]
    assert first["message"]["text"] == (
        "The round makes 6 sts, but the total says 7. Worked: 6. To mend: Write 6 in the total, "
        "if the round is right. Or: Change the stitches, if the total is right."
    )


def test_braces_and_links_in_a_message_are_words() -> None:
    finding = Finding("marks", Grade.QUERY, Span(0, 1), "", "", "“{0} [so](1)” is odd.")
    [result] = log(proofed(made(TURNIP))._replace(findings=(finding,)))["results"]
    assert result["message"]["text"] == "“{{0}} [so] (1)” is odd."


def test_what_could_not_be_done_is_said() -> None:
    [invocation] = log(told=("beet.txt: there is no such file or folder.",))["invocations"]
    assert invocation["executionSuccessful"] is False
    [note] = invocation["toolExecutionNotifications"]
    assert note["message"]["text"].startswith("beet.txt: ")


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("before", ["", "\U0001f9f6 wool é\u0301\n"])
def test_regions_and_fixes_name_the_very_words(newline: str, before: str) -> None:
    text = (before + TURNIP).replace("\n", newline)
    proof = proof_of(text)
    results = log(proof)["results"]
    assert len(results) == len(proof.findings) > 1
    for finding, result in zip(proof.findings, results, strict=True):
        [location] = result["locations"]
        region = location["physicalLocation"]["region"]
        assert stretch(text, region) == (finding.span.start, finding.span.end)
        assert region["snippet"]["text"] == proof.pattern.source.quote(finding.span)
        context = location["physicalLocation"].get("contextRegion")
        if context:
            start, end = stretch(text, context)
            assert start <= finding.span.start
            assert finding.span.end <= end
        mends = [mend for mend in finding.mends if mend.edits]
        for mend, fix in zip(mends, result["fixes"], strict=True):
            [change] = fix["artifactChanges"]
            edits = [
                Edit(*stretch(text, made_of["deletedRegion"]), made_of["insertedContent"]["text"])
                for made_of in change["replacements"]
            ]
            assert apply_edits(text, edits) == apply_edits(text, mend.edits)
            assert fix["properties"] == {"sure": mend.sure}


def test_an_insertion_deletes_nothing() -> None:
    at = TURNIP.index("6 sc")
    mend = Mend("Put it in.", True, (Edit(at, at, "just "),))
    finding = Finding("marks", Grade.QUERY, Span(at, at), "", "", "Say just.", mends=(mend,))
    [result] = log(proofed(made(TURNIP))._replace(findings=(finding,)))["results"]
    region = result["fixes"][0]["artifactChanges"][0]["replacements"][0]["deletedRegion"]
    assert stretch(TURNIP, region) == (at, at)


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("patterns/turnip.txt", "patterns/turnip.txt"),
        ("./patterns//turnip.txt", "patterns/turnip.txt"),
        ("a b/no #1 100%.txt", "a%20b/no%20%231%20100%25.txt"),
        ("rübe.txt", "r%C3%BCbe.txt"),
        ("a:b.txt", "a%3Ab.txt"),
        ("/home/a b.txt", "file:///home/a%20b.txt"),
        ("what?.txt", "what%3F.txt"),
    ],
)
def test_paths_are_uris(path: str, uri: str) -> None:
    assert uri_of(path) == uri


def marks(text: str) -> list[str]:
    proof = proof_of(text)
    return list(fingerprints(proof.findings, proof.tally))


def test_a_fingerprint_holds_when_lines_and_numbers_change() -> None:
    plain = marks(TURNIP)
    moved = TURNIP.replace("TURNIP\n", "Yarn: any.\n\nTURNIP\n")
    assert set(plain) <= set(marks(moved))
    assert set(plain) <= set(marks(TURNIP.replace("Rnd", "Round")))
    wrong = "Rnd 1: 6 sc in a magic ring. (7)\n"
    both = marks(f"CAP\n{wrong}\nHEM\n{wrong}")
    assert len(set(both)) == len(both)


def test_a_fingerprint_changes_with_the_words() -> None:
    wrong = "Rnd 1: 6 sc in a magic ring. (7)\n"
    [one], [other] = marks(wrong), marks(wrong.replace("7", "8"))
    assert one != other


def test_two_findings_alike_have_two_fingerprints() -> None:
    twice = (
        Finding("marks", Grade.QUERY, Span(0, 1), "", "", "One."),
        Finding("marks", Grade.QUERY, Span(0, 2), "", "", "Two."),
    )
    first, second = fingerprints(twice, made(TURNIP))
    assert first != second


def test_it_is_written_as_the_proofs_come() -> None:
    """Nothing is kept back: by the time a proof is asked for, the one before is written."""
    done: list[int] = []

    def proofs() -> Iterator[Proof]:
        for number in range(3):
            done.append(number)
            yield proof_of(TURNIP)

    seen = [len(done) for part in written("proof", proofs(), form="sarif") if '"ruleId"' in part]
    assert sorted(set(seen)) == [1, 2, 3]


@given(st.text(max_size=60), st.text(max_size=30).filter(lambda path: "\0" not in path))
def test_any_text_gives_a_valid_log(words: str, path: str) -> None:
    text = f"Rnd 1: 6 sc in a magic ring. (7)\nRnd 2: sc around {words}. (9)\n"
    proof = proof_of(text.encode("utf-8", "replace").decode(), path.replace("\ud800", ""))
    assert len(log(proof)["results"]) == len(proof.findings)
