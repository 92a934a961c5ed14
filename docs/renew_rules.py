"""Write the pages of docs/rules from the docstrings of the built-in rules."""

from __future__ import annotations

from pathlib import Path

from proofhook.proofing.plugins import load_rules
from proofhook.showing.rule_page import rule_index, rule_page

FOLDER = Path(__file__).parent / "rules"


def pages() -> dict[str, str]:
    """The name of every page and its text."""
    rules = load_rules()
    return {"README.md": rule_index(rules), **{f"{r.name}.md": rule_page(r) for r in rules}}


def main() -> None:
    """Write every page, and take away those of rules that are no more."""
    FOLDER.mkdir(exist_ok=True)
    wanted = pages()
    for old in FOLDER.glob("*.md"):
        if old.name not in wanted:
            old.unlink()
    for name, text in wanted.items():
        (FOLDER / name).write_text(text, "utf-8", newline="\n")


if __name__ == "__main__":
    main()
