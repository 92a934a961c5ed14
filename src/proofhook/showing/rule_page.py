"""What a rule is for, on a terminal and as a page of Markdown: both from its docstring."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from proofhook.proofing.rule import Option, Rule, Value, explain
from proofhook.showing.ink import Paper, tame, wrapped

#: There is to be room for so much of a title beside the name of a rule.
LEAST_TITLE = 24

EXAMPLES = (
    ("house", "In the style sheet", "toml"),
    ("flagged", "Flagged", "text"),
    ("passes", "Passes", "text"),
)


def rule_lines(rule: Rule, paper: Paper) -> Iterator[str]:
    """The page of a rule for a terminal.

    Raises ValueError where the docstring of the rule does not have the form it needs.
    """
    told = explain(rule)
    yield f"{paper.ink(rule.name, 'title')}  {paper.ink(rule.grade.word, rule.grade.word)}"
    yield ""
    yield from wrapped(tame(told.title), paper.width)
    for paragraph in told.reason.split("\n\n"):
        yield ""
        yield from wrapped(tame(" ".join(paragraph.split())), paper.width)
    for part, title, _ in EXAMPLES:
        text = getattr(told, part)
        if text.strip():
            yield ""
            yield paper.ink(f"{title}:", "piece")
            yield ""
            yield from (f"    {tame(line)}".rstrip() for line in text.splitlines())
    if rule.options:
        yield ""
        yield paper.ink("Options:", "piece")
        yield ""
        for option in rule.options:
            words = f"{option.name} = {as_toml(option.default)}: {meaning_of(option)}"
            first, *rest = wrapped(tame(words), paper.width - 6)
            yield f"    {first}"
            yield from (f"      {line}" for line in rest)


def rule_list(rules: Iterable[Rule], paper: Paper) -> Iterator[str]:
    """Every rule in one line or two, by families: its name, its grade and what it wants."""
    known = list(rules)
    wide = max((len(rule.name) for rule in known), default=0)
    for number, (family, members) in enumerate(families(known)):
        if number:
            yield ""
        yield from (paper.ink(line, "piece") for line in wrapped(tame(family), paper.width))
        for rule in members:
            taken = 2 + wide + 2 + 5 + 2
            beneath = paper.width - taken < LEAST_TITLE
            indent = 6 if beneath else taken
            title = wrapped(tame(explain(rule).title), paper.width - indent)
            first = "" if beneath else title.pop(0)
            grade = paper.ink(f"{rule.grade.word:<5}", rule.grade.word)
            yield f"  {rule.name:<{wide}}  {grade}  {first}".rstrip()
            yield from (" " * indent + line for line in title)


def families(rules: Iterable[Rule]) -> list[tuple[str, list[Rule]]]:
    """The rules by families, each under what the module it stands in says it is about."""
    found: dict[str, list[Rule]] = {}
    for rule in rules:
        about = str(getattr(rule.check, "__globals__", {}).get("__doc__") or "")
        title = " ".join(about.partition("\n\n")[0].split()).rstrip(".")
        found.setdefault(title or f"Of the plug-in {rule.plugin}", []).append(rule)
    return sorted(found.items())


def rule_page(rule: Rule) -> str:
    """The page of a rule in Markdown."""
    told = explain(rule)
    parts = [f"# {rule.name}", told.title, f"Grade: {rule.grade.word}.", told.reason]
    for part, title, kind in EXAMPLES:
        text = getattr(told, part)
        if text.strip():
            parts.append(f"## {title}\n\n```{kind}\n{text}```")
    if rule.options:
        rows = [f"| `{o.name}` | `{as_toml(o.default)}` | {meaning_of(o)} |" for o in rule.options]
        parts.append("\n".join(("## Options\n\n| option | usual value | meaning |",
                                "|---|---|---|", *rows)))  # fmt: skip
    return "\n\n".join(parts) + "\n"


def rule_index(rules: Iterable[Rule]) -> str:
    """The page that lists all rules, in Markdown."""
    rows = [
        f"| [{rule.name}]({rule.name}.md) | {rule.grade.word} | {explain(rule).title} |"
        for rule in rules
    ]
    head = "# The rules\n\nWritten by `python docs/renew_rules.py` from the rules themselves.\n\n"
    return head + "\n".join(("| rule | grade | what it wants |", "|---|---|---|", *rows)) + "\n"


def meaning_of(option: Option) -> str:
    """What an option means, with the words it may have."""
    if not option.choices:
        return option.meaning
    return f"{option.meaning}: {', '.join(as_toml(choice) for choice in option.choices)}"


def as_toml(value: Value) -> str:
    """A value as a style sheet writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, tuple):
        return f"[{', '.join(as_toml(each) for each in value)}]"
    return str(value)
