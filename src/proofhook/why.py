"""The command that explains rules, from their own docstrings."""

from __future__ import annotations

import sys
from collections.abc import Callable


def why(name: str | None, tell: Callable[[str], None]) -> bool:
    """Write the page of a rule, or the list of all; False after telling why not.

    The rules are those of the house whose style sheet is nearest to where the command runs.
    """
    from proofhook.proofing.house import HouseError, find_sheet, nearest, read_house
    from proofhook.proofing.plugins import load
    from proofhook.showing.ink import paper_of
    from proofhook.showing.rule_page import rule_lines, rule_list

    try:
        sheet = find_sheet("")
        pack = load(read_house(sheet).plugins if sheet else ())
    except HouseError as error:
        tell(str(error))
        return False
    for trouble in pack.troubles:
        tell(trouble)
    rules = pack.rules
    known = {rule.name: rule for rule in rules}
    paper = paper_of(sys.stdout)
    try:
        if name is None:
            lines = list(rule_list(rules, paper))
        elif name in known:
            lines = list(rule_lines(known[name], paper))
        else:
            told = nearest(name, known)
            where = ' "proofhook why --list" lists all that there are.' if told == "." else ""
            tell(f"There is no rule {name!r}{told}{where}")
            return False
    except ValueError as error:
        tell(_unexplained(error))
        return False
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    print("\n".join(lines))
    return not pack.troubles


def _unexplained(error: ValueError) -> str:
    words = str(error)
    return f"{words[:1].upper()}{words[1:]}."
