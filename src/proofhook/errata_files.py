"""The command that compares two editions: two files, or a file and an earlier revision of it."""

from __future__ import annotations

import os
import sys

from proofhook.errata.compare import errata
from proofhook.errata.records import Errata
from proofhook.faults import one_line, wants_traceback
from proofhook.files import STANDARD_INPUT, FileError, read_source
from proofhook.pattern import Pattern
from proofhook.reading import read
from proofhook.records import NamedTuple
from proofhook.remembered import remembering
from proofhook.showing.ink import counted, shown_path, tame
from proofhook.text import MAX_BYTES, Source, TextError, decode


class Outcome(NamedTuple):
    """Whether the editions could be compared, and whether there are errata."""

    compared: bool
    found: bool = False


def errata_files(
    old: str, new: str, form: str, wording: bool, revision: str | None = None
) -> Outcome:
    """Write the errata from one file to another; with ``revision``, ``old`` as it was there."""
    with remembering():
        return _compared(old, new, form, wording, revision)


def _compared(old: str, new: str, form: str, wording: bool, revision: str | None) -> Outcome:
    try:
        earlier = read_source(old) if revision is None else committed(revision, old)
        before, after = (_with_rows(read(source)) for source in (earlier, read_source(new)))
    except (FileError, TextError) as error:
        return _not_compared(str(error))
    try:
        found = errata(before, after)
    except Exception as error:
        if wants_traceback():
            raise
        fault = one_line(error)
        said = f"{new}: proofhook could not get through it ({fault}); please report this."
        return _not_compared(said)
    _show(found, before, after, form, wording)
    _tell(found, after, wording)
    changed = bool(found.changes or found.renumbered or (wording and found.worded))
    return Outcome(True, changed)


def _with_rows(pattern: Pattern) -> Pattern:
    if pattern.rows:
        return pattern
    path = shown_path(pattern.source.path)
    if not pattern.source.text.strip():
        raise FileError(f"{path}: it is empty.")
    raise FileError(f"{path}: no rows or rounds were found in it.")


def _show(found: Errata, old: Pattern, new: Pattern, form: str, wording: bool) -> None:
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    if form == "json":
        from proofhook.showing.as_json import dumped, errata_value

        paths = (old.source.path, new.source.path)
        sys.stdout.write(dumped(errata_value(found, paths, wording)) + "\n")
        return
    from proofhook.showing.errata_page import errata_page

    for line in errata_page(found, wording, form == "markdown"):
        sys.stdout.write(line + "\n")


def _tell(found: Errata, new: Pattern, wording: bool) -> None:
    """What is not for the reader of the errata but for who publishes them."""
    path = shown_path(new.source.path)
    changes, worded = len(found.changes), len(found.worded)
    if found.reserve:
        _say(f"{path}: {found.reserve}")
    if not changes and not found.renumbered:
        _say(f"{path}: no errata.")
    if worded and not wording:
        places = counted(worded, "place is", "places are")
        _say(f"{path}: {places} only worded differently; --wording shows them.")


def _not_compared(sentence: str) -> Outcome:
    _say(sentence)
    return Outcome(False)


def _say(sentence: str) -> None:
    if sys.stderr is not None:
        sys.stdout.flush()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)


# --- an earlier revision ----------------------------------------------------------------


def committed(revision: str, path: str) -> Source:
    """The text that a file had in a revision that git keeps.

    Raises FileError with one sentence where there is no git, repository, revision or file of
    that name in it, and TextError where it was no text.
    """
    if path == STANDARD_INPUT:
        raise FileError("Standard input has no earlier revision; name a file.")
    if not os.path.isfile(path):
        raise FileError(f"{path}: there is no such file.")
    folder, name = os.path.split(os.path.abspath(path))
    if not _git(folder, "rev-parse", "--git-dir").done:
        raise FileError(f"{path}: it is not in a git repository, so it has no earlier revision.")
    if not revision or revision.startswith("-") or not _is_commit(folder, revision):
        raise FileError(f"{path}: git knows no revision {revision!r} here.")
    held = _git(folder, "cat-file", "blob", f"{revision}:./{name}")
    if not held.done:
        raise FileError(f"{path}: the file was not there in revision {revision!r}.")
    return decode(held.output[: MAX_BYTES + 1], f"{revision}:{path}")


class _Answer(NamedTuple):
    done: bool
    output: bytes


def _is_commit(folder: str, revision: str) -> bool:
    return _git(folder, "rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}").done


def _git(folder: str, *words: str) -> _Answer:
    import subprocess

    try:
        run = subprocess.run(
            ["git", *words], cwd=folder, capture_output=True, check=False,
            stdin=subprocess.DEVNULL,
        )  # fmt: skip
    except FileNotFoundError:
        raise FileError("git was not found; install it, or name both editions.") from None
    except (OSError, ValueError) as error:
        raise FileError(f"git could not be run ({error}).") from None
    return _Answer(run.returncode == 0, run.stdout)
