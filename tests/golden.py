"""What the commands must print for the shipped patterns, in README.md and in the docs.

``python tests/renew.py`` writes these files and sample outputs anew; the tests compare.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PATTERNS = ROOT / "fixtures" / "patterns"
GOLDEN = ROOT / "fixtures" / "golden"

#: The golden files of a pattern: what ends the file's name, and the words of the command.
KINDS = {
    "proof.txt": "proof",
    "proof.lines": "proof --format lines",
    "proof.json": "proof --format json",
    "tally.txt": "tally",
    "tally.json": "tally --format json",
}

#: A console block: commands after ``$``, each followed by what it prints.
CONSOLE = re.compile(r"(?<=^```console\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)
COMMAND = re.compile(r"^\$ (.*)$", re.MULTILINE)

#: A block of a page: its kind, the name of the file that it is, its lines.
BLOCK = re.compile(
    r"^```(?P<kind>\w+)(?: (?P<name>[\w./-]+))?\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL
)

#: The pages that are followed from top to bottom in a folder of their own.
WALKS = ("docs/first-pattern.md", "docs/ci.md", "docs/api.md", "docs/how-it-works.md")

#: The table of rules.
TABLE = re.compile(r"^\| rule \| grade \|.*\n(?:\|.*\n)+", re.MULTILINE)

#: What would change the look of a page, or make every start slow.
NOT_KEPT = ("COLUMNS", "NO_COLOR", "PYTHONDONTWRITEBYTECODE")

END_OF_OUTPUT = "-- end of output --"


def pattern_names() -> list[str]:
    return sorted(path.name for path in PATTERNS.iterdir())


def golden_file(pattern: str, kind: str) -> Path:
    return GOLDEN / f"{Path(pattern).stem}.{kind}"


def environment(folder: Path) -> dict[str, str]:
    """The environment to run the commands of a page in: ``proofhook`` is that of the checkout."""
    python = shlex.quote(sys.executable)
    for name, call in {"proofhook": f"{python} -m proofhook", "python3": python}.items():
        program = folder / name
        if not program.exists():
            program.write_text(f'#!/bin/sh\nexec {call} "$@"\n')
            program.chmod(0o755)
    paths = [str(ROOT / "src"), str(ROOT / "rules")]
    kept = {k: v for k, v in os.environ.items() if k not in NOT_KEPT}
    return {
        **kept,
        "PATH": os.pathsep.join([str(folder), os.environ["PATH"]]),
        "PYTHONPATH": os.pathsep.join(paths),
        "PYTHONPYCACHEPREFIX": str(folder / "cache"),
        "PYTHONUTF8": "1",
    }


def printed(commands: list[str], folder: Path, place: Path = ROOT) -> list[str]:
    """What each of the commands prints, run one after the other in one shell in ``place``.

    The status of a command is there for the next one, as on a terminal.
    """
    script = "".join(
        f"{line}\nstatus=$?; echo '{END_OF_OUTPUT}'; (exit $status)\n" for line in commands
    )
    done = subprocess.run(
        ["bash", "-c", script],
        cwd=place,
        env=environment(folder),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
        timeout=120,
    )
    return done.stdout.split(f"{END_OF_OUTPUT}\n")[:-1]


def golden_outputs(pattern: str, folder: Path) -> dict[str, str]:
    """What the golden files of a pattern must hold, by their kind."""
    path = (PATTERNS / pattern).relative_to(ROOT).as_posix()
    outputs = printed([f"proofhook {words} {path}" for words in KINDS.values()], folder)
    return dict(zip(KINDS, outputs, strict=True))


def walked(page: str, tools: Path, place: Path) -> str:
    """The page with the output under each command as it is now, followed from top to bottom.

    A block that is named, as in ``text turnip.txt``, is put into the folder ``place``
    under that name when it comes, and the commands are run there.
    """
    place.mkdir(parents=True, exist_ok=True)

    def followed(match: re.Match[str]) -> str:
        if match["name"]:
            file = place / match["name"]
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(match["body"], "utf-8")
        if match["kind"] != "console":
            return match[0]
        commands = COMMAND.findall(match["body"])
        outputs = printed(commands, tools, place)
        shown = "".join(f"$ {c}\n{out}" for c, out in zip(commands, outputs, strict=True))
        return f"```console\n{shown}```"

    return BLOCK.sub(followed, page)


def rule_table() -> str:
    """The table of all rules, with the first sentence of their documentation."""
    from proofhook.proofing.plugins import load_rules

    lines = ["| rule | grade | what holds |", "|---|---|---|"]
    for rule in sorted(load_rules(), key=lambda rule: rule.name):
        holds = " ".join((rule.check.__doc__ or "").partition("\n\n")[0].split())
        lines.append(f"| `{rule.name}` | {rule.grade.word} | {holds} |")
    return "\n".join(lines) + "\n"


def samples(page: str) -> Iterator[tuple[str, str]]:
    """The commands of the console blocks of a page, each with the output shown."""
    for block in CONSOLE.findall(page):
        parts = COMMAND.split(block)
        yield from zip(
            parts[1::2], (shown.removeprefix("\n") for shown in parts[2::2]), strict=True
        )


def renewed(page: str, folder: Path) -> str:
    """The page with the output under each command, and the rules, as they are now."""

    def block_now(match: re.Match[str]) -> str:
        commands = COMMAND.findall(match[0])
        outputs = printed(commands, folder)
        return "".join(f"$ {c}\n{out}" for c, out in zip(commands, outputs, strict=True))

    page = CONSOLE.sub(block_now, page)
    return TABLE.sub(lambda _: rule_table(), page)


def block(kind: str) -> str:
    """The one code block of README.md that is of this kind."""
    [found] = re.findall(rf"^```{kind}\n(.*?)^```$", readme(), re.MULTILINE | re.DOTALL)
    assert isinstance(found, str)
    return found


@cache
def readme() -> str:
    return (ROOT / "README.md").read_text("utf-8")
