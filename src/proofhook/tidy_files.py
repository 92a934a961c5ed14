"""The command that tidies: files laid out anew, shown, or handed on from input to output."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from proofhook.desk import Desk
from proofhook.files import STANDARD_INPUT, FileError, rewrite
from proofhook.records import NamedTuple
from proofhook.showing.ink import counted, shown_path, tame
from proofhook.tidying.tidy import tidied

if TYPE_CHECKING:
    from proofhook.pattern import Pattern
    from proofhook.tidying.tidy import Tidied


class Outcome(NamedTuple):
    """How many things could not be done, and how many files were changed or would be."""

    trouble: int
    changed: int


def tidy_files(names: list[str], show: bool, pass_over: bool) -> Outcome:
    """Tidy the files and write them; with ``show`` write only the difference.

    Standard input is handed on to standard output, tidied where that can be done.
    """
    desk, changed, tidy = Desk(), 0, 0
    for pattern in desk.patterns(names, pass_over):
        done = _tidied(pattern, desk)
        if done is not None and done.changed and _kept(done, desk, show):
            changed += 1
        elif done is not None and not done.reason and not done.changed:
            tidy += 1
        if pattern.source.path == STANDARD_INPUT and not show:
            _hand_on(done.after if done else pattern)
    if not show and STANDARD_INPUT not in names:
        print(_closing(changed, tidy, desk))
    return Outcome(desk.trouble, changed)


def _tidied(pattern: Pattern, desk: Desk) -> Tidied | None:
    """The pattern tidied in its house; None after saying why not."""
    path = pattern.source.path
    held = desk.house_for(path)
    if held is None:
        return None
    try:
        done = tidied(pattern, *held)
    except Exception as error:
        desk.failed(path, error)
        return None
    if done.reason:
        desk.not_read(f"{shown_path(path)}: left as it was. {done.reason}")
    return done


def _kept(done: Tidied, desk: Desk, show: bool) -> bool:
    """Show or write what was tidied; False after saying why it was not written."""
    source, text = done.before.source, done.after.source.text
    if show:
        from proofhook.showing.difference import difference

        sys.stdout.writelines(difference(source, text, "tidied"))
    elif source.path != STANDARD_INPUT:
        try:
            rewrite(source, text)
        except FileError as error:
            desk.not_read(str(error))
            return False
        print(f"{tame(source.path)}: tidied.")
    return True


def _hand_on(pattern: Pattern) -> None:
    """Write a text to standard output as the bytes that a file would have."""
    data = pattern.source.encoded(pattern.source.text)
    sys.stdout.flush()
    getattr(sys.stdout, "buffer").write(data)  # noqa: B009


def _closing(changed: int, tidy: int, desk: Desk) -> str:
    said = [f"{counted(changed, 'file')} tidied"]
    if tidy:
        said.append(f"{tidy} tidy already")
    if desk.not_done:
        said.append(f"{desk.not_done} left as {'it was' if desk.not_done == 1 else 'they were'}")
    if desk.passed_over:
        said.append(f"{desk.passed_over} without rows passed over")
    return ", ".join(said) + "."
