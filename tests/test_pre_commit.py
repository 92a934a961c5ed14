"""The hook, run by the real pre-commit in a repository made for the test.

pre-commit sets the hook up from a copy of this checkout, which fetches the build back
end and the dependencies from the package index.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from golden import block

CHECKOUT = Path(__file__).resolve().parents[1]
TIDY_PAGE = (CHECKOUT / "docs" / "tidy.md").read_text("utf-8")

WRONG = """\
MARROW

Rnd 1: 6 sc in a magic ring. (6)
Rnd 2: 2 sc in each st around. (12)
Rnd 3: (Sc in next st, 2 sc in next st) 6 times. (20)
"""
RIGHT = WRONG.replace("(20)", "(18)")

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")


class Repository:
    """A git repository of its own, out of reach of the user's settings."""

    def __init__(self, folder: Path, home: Path) -> None:
        self.folder = folder
        self.environment = {
            "HOME": str(home),
            "PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]),
            "PRE_COMMIT_HOME": str(home / "pre-commit"),
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_NOSYSTEM": "1",
            **{
                f"GIT_{who}_{what}": value
                for who in ("AUTHOR", "COMMITTER")
                for what, value in (("NAME", "Pat Tern"), ("EMAIL", "pat@example.org"))
            },
            **{
                k: v for k, v in os.environ.items() if k.startswith(("PIP_", "SSL_", "LANG", "LC_"))
            },
        }
        folder.mkdir()
        self.git("init", "--quiet")

    def git(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["git", *words],
            cwd=self.folder, env=self.environment, capture_output=True, text=True, check=False,
        )  # fmt: skip

    def call(self, *words: str) -> str:
        done = subprocess.run(
            words,
            cwd=self.folder,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def commit(self, name: str, text: str) -> tuple[int, str]:
        """Status and output of committing one file."""
        (self.folder / name).write_text(text, "utf-8")
        self.git("reset", "--quiet")
        assert self.git("add", name).returncode == 0
        done = self.git("commit", "--message", f"Change {name}")
        return done.returncode, done.stdout + done.stderr

    def head(self) -> str:
        return self.git("rev-parse", "HEAD").stdout.strip()


def copy_of_checkout(home: Path) -> Repository:
    """What a clone of this checkout would hold, as a repository with one commit."""
    names = ["src", "rules", "pyproject.toml", "README.md", "LICENSE", ".pre-commit-hooks.yaml"]
    hook = Repository(home / "hook", home)
    for name in names:
        place = CHECKOUT / name
        if place.is_dir():
            ignored = shutil.ignore_patterns("__pycache__", "*.egg-info")
            shutil.copytree(place, hook.folder / name, ignore=ignored)
        else:
            shutil.copy(place, hook.folder / name)
    hook.call("git", "add", "--all")
    hook.call("git", "commit", "--quiet", "--message", "The hook as it stands")
    return hook


@pytest.fixture(scope="module")
def patterns(tmp_path_factory: pytest.TempPathFactory) -> Repository:
    """A repository of patterns with the hook installed, as README.md shows it."""
    home = tmp_path_factory.mktemp("home")
    hook = copy_of_checkout(home)
    patterns = Repository(home / "patterns", home)
    config = patterns.folder / ".pre-commit-config.yaml"
    shown = block("yaml")
    assert "../proofhook" in shown
    assert "COMMIT" in shown
    config.write_text(
        shown.replace("../proofhook", str(hook.folder)).replace("COMMIT", hook.head()), "utf-8"
    )
    patterns.call("pre-commit", "install", "--install-hooks")
    status, output = patterns.commit(".pre-commit-config.yaml", config.read_text("utf-8"))
    assert status == 0, output
    return patterns


def test_a_wrong_total_is_refused_and_the_corrected_one_accepted(patterns: Repository) -> None:
    before = patterns.head()
    status, output = patterns.commit("marrow.txt", WRONG)
    assert status != 0, output
    assert patterns.head() == before
    assert "The round makes 18 sts, but the total says 20. (stitch-total)" in output
    assert "line 5" in output
    assert "Write 18 in the total" in output
    status, output = patterns.commit("marrow.txt", RIGHT)
    assert status == 0, output
    assert patterns.head() != before


def test_the_tidy_hook_lays_out_anew_and_the_second_commit_is_accepted(
    patterns: Repository,
) -> None:
    text = "LEEK\n\nRnd 1:  6 sc in a magic ring .  (6)  \n"
    with tidy_hook_alone(patterns):
        status, output = patterns.commit("leek.txt", text)
        assert status != 0, output
        assert "leek.txt: tidied." in output
        tidied = (patterns.folder / "leek.txt").read_text("utf-8")
        assert tidied == "LEEK\n\nRnd 1: 6 sc in a magic ring. (6)\n"
        status, output = patterns.commit("leek.txt", tidied)
        assert status == 0, output
        status, output = patterns.commit("NEWS.md", "# News  \n\nNo rows here.")
        assert status == 0, output
        assert (patterns.folder / "NEWS.md").read_text("utf-8").endswith("here.")


@contextmanager
def tidy_hook_alone(patterns: Repository) -> Iterator[None]:
    """The repository with the hook that docs/tidy.md shows, and then as it was."""
    config = patterns.folder / ".pre-commit-config.yaml"
    before = config.read_text("utf-8")
    [shown] = re.findall(r"^```yaml\n(.*?)^```$", TIDY_PAGE, re.MULTILINE | re.DOTALL)
    assert isinstance(shown, str)
    hook, commit = re.findall(r"^(?:- repo|  rev): (\S+)$", before, re.MULTILINE)
    config.write_text(shown.replace("../proofhook", hook).replace("COMMIT", commit), "utf-8")
    patterns.call("git", "add", config.name)
    patterns.call("git", "commit", "--quiet", "--no-verify", "--message", "Tidy alone")
    try:
        yield
    finally:
        patterns.commit(config.name, before)


def test_a_readme_among_the_patterns_is_passed_over(patterns: Repository) -> None:
    status, output = patterns.commit("README.md", "# Patterns of the season\n\nAll our own.\n")
    assert status == 0, output
    assert "Passed" in output


def test_what_is_no_text_of_a_pattern_is_not_looked_at(patterns: Repository) -> None:
    status, output = patterns.commit("shapes.py", "Rnd = 1\n")
    assert status == 0, output
    assert "no files to check" in output
