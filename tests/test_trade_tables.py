"""The trade tables: every fact has a source, and every source is named."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest

import proofhook.trade
from proofhook.trade import table

FOLDER = os.path.dirname(proofhook.trade.__file__)
TABLES = sorted(
    name.removesuffix(".toml")
    for name in os.listdir(FOLDER)
    if name.endswith(".toml") and name not in ("sources.toml", "stitches.toml")
)
WITHOUT_PRINTED_SOURCE = {"common practice", "from memory", "derived"}
FIGURES_WITHOUT_ROWS = {("turning_chains", "formula")}


def rows(tree: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every row of a table, with the name it stands under."""
    for name, value in tree.items():
        if isinstance(value, dict):
            yield name, value
        else:
            yield from ((name, row) for row in value)


def test_the_tables_that_are_meant_are_found() -> None:
    assert TABLES == [
        "abbreviations",
        "cautions",
        "headings",
        "hooks",
        "levels",
        "notions",
        "terms",
        "turning_chains",
        "yarn",
    ]


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_a_source_that_is_listed(name: str) -> None:
    known = set(table("sources")) | WITHOUT_PRINTED_SOURCE
    without = [(under, row) for under, row in rows(table(name)) if not row.get("source")]
    unknown = {key for _, row in rows(table(name)) for key in row["source"]} - known
    assert without == []
    assert unknown == set()


def test_every_printed_hook_label_has_a_source_that_is_listed() -> None:
    printed = {key for _, row in rows(table("hooks")) for key in row.get("printed", ())}
    assert len(printed) > 10
    assert printed <= set(table("sources"))


def test_every_source_has_a_title_and_is_used() -> None:
    text = ""
    for name in TABLES:
        with open(os.path.join(FOLDER, name + ".toml"), encoding="utf-8") as file:
            text += file.read()
    for module in ("turning_chains.py", "units.py"):
        with open(os.path.join(FOLDER, module), encoding="utf-8") as file:
            text += file.read()
    sources = table("sources")
    assert [key for key, row in sources.items() if not row.get("title")] == []
    assert [key for key in sources if key not in text and key != "JENNABARRON"] == []


def test_a_table_is_read_once() -> None:
    assert table("levels") is table("levels")


def test_a_table_that_is_not_there_is_an_error() -> None:
    with pytest.raises(FileNotFoundError):
        table("prices")
