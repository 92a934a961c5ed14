"""docs/json.md shows what proofhook really says, in the form of the schemas."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import proofhook
import proofhook.showing
from proofhook.showing.as_json import proof_value, tally_value

PAGE = (Path(__file__).parents[1] / "docs" / "json.md").read_text("utf-8")
SCHEMAS = Path(next(iter(proofhook.showing.__path__))) / "schemas"


def example(kind: str) -> str:
    [block] = re.findall(rf"^```{kind}\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    assert isinstance(block, str)
    return block


@pytest.mark.parametrize("command", ["tally", "proof"])
def test_the_example_is_what_the_command_says(command: str) -> None:
    shown: dict[str, Any] = json.loads(example(f"json {command}"))
    schema = json.loads((SCHEMAS / f"{command}.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(shown)
    pattern = proofhook.read(example("text"), "marrow.txt")
    if command == "tally":
        value = tally_value(proofhook.tally(pattern))
        value["rows"] = [row for row in value["rows"] if row["label"] == "Rnd 2"]
    else:
        value = proof_value(proofhook.proof(pattern))
    assert shown["files"] == [value]
