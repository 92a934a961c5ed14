"""The command's second editions: patterns in, the same patterns in the other terms out.

An edition that is not proved is never written.  Each file is replaced as a whole, so that
a run that is broken off leaves every file old or new.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator

from proofhook.desk import Progress
from proofhook.faults import one_line, wants_traceback
from proofhook.files import (
    STANDARD_INPUT,
    FileError,
    Named,
    named_files,
    read_bytes,
    read_source,
    write_whole,
)
from proofhook.records import NamedTuple
from proofhook.remembered import remembering
from proofhook.showing.ink import shown_path, tame
from proofhook.text import Source, TextError
from proofhook.translating import Edition, Refusal, second_edition

SIDES = {"us": "US", "uk": "UK"}
USUAL_NAME = "{stem}-{terms}{suffix}"
MOST_QUOTED = 60
_FIELDS = ("stem", "terms", "suffix")


class Wanted(NamedTuple):
    """What was asked for: the terms, and where the editions go ("" for standard output)."""

    to: str
    side: str = ""
    out: str = ""
    into: str = ""
    name: str = USUAL_NAME
    in_place: bool = False


class PlaceError(ValueError):
    """A pattern for names that gives none; the message is one sentence."""


def translate_files(names: list[str], wanted: Wanted) -> int:
    """Write the second editions and return how many things could not be done."""
    told = Told()
    files = [file for file in named_files(names, told.trouble) if not _made_before(file, wanted)]
    try:
        targets = _targets(files, wanted)
    except PlaceError as error:
        told.trouble(str(error))
        return told.count
    without = {name for name in names if os.path.isdir(name)}
    progress = Progress(len(files))
    with remembering():
        for number, (file, target) in enumerate(zip(files, targets, strict=True), 1):
            progress.at(number, file.path)
            told.before = progress.clear
            if _one(file, target, wanted, told):
                without.discard(file.folder)
    progress.clear()
    for folder in sorted(without):
        told.trouble(f"{folder}: there is no .txt or .md file with rows in this folder.")
    return told.count


def _made_before(file: Named, wanted: Wanted) -> bool:
    """Whether a file was found among the editions themselves."""
    if not (file.folder and wanted.into):
        return False
    into = os.path.realpath(wanted.into)
    return os.path.realpath(file.path).startswith(into + os.sep)


class Told:
    """What was said on standard error, and how much of it is trouble."""

    __slots__ = ("before", "count")

    def __init__(self) -> None:
        self.count = 0
        self.before: Callable[[], None] = _nothing

    def trouble(self, sentence: str) -> None:
        """Say what could not be done."""
        self.count += 1
        self.say(sentence)

    def say(self, sentence: str) -> None:
        """Say something that a person may want to know."""
        self.before()
        print(f"proofhook: {tame(sentence)}", file=sys.stderr)


def _nothing() -> None:
    """There is no line of progress to take away."""


def _one(file: Named, target: str, wanted: Wanted, told: Told) -> bool:
    """Make the edition of a file and write it; whether there was anything to say of it."""
    path = file.path
    try:
        source = read_source(path)
        made = second_edition(source, wanted.to, wanted.side)
    except (FileError, TextError) as error:
        told.trouble(str(error))
        return True
    except Exception as error:
        if wants_traceback():
            raise
        fault = one_line(error)
        told.trouble(f"{path}: proofhook could not get through it ({fault}); please report this.")
        return True
    if isinstance(made, Refusal):
        if file.folder and made.rowless:
            return False
        told.trouble(_refused(source, made))
        return True
    if _written(source, made, target, told):
        for sentence in _remarks(source, made, target, wanted.to):
            told.say(sentence)
    return True


def _refused(source: Source, made: Refusal) -> str:
    remedy = "; say it with --from us or --from uk" if made.asks else ""
    return f"{_place(source, made.at)}: not translated: {made.why}{remedy}."


def _remarks(source: Source, made: Edition, target: str, to: str) -> Iterator[str]:
    """What a person has to know or to look at."""
    if not made.changed:
        yield f"{_place(source)}: it is in {SIDES[to]} terms already."
        return
    if target:
        yield f"{_place(source)}: in {SIDES[to]} terms, written to {target}."
    for left in made.left:
        words = shortened(source.quote(left.span))
        place = _place(source, left.span.start)
        yield f"{place}: “{words}” is left as it is, since {left.why}."
    if made.unstated:
        add = f"add “{SIDES[to]} terms”"
        yield f"{_place(source)}: the text does not say which terms it uses; {add}."


def shortened(words: str) -> str:
    """Words on one line, the end left out where they are many."""
    line = " ".join(words.split())
    return line if len(line) <= MOST_QUOTED else line[: MOST_QUOTED - 1].rstrip() + "…"


def _place(source: Source, at: int = -1) -> str:
    path = shown_path(source.path)
    return f"{path}:{source.line_of(at)}" if at >= 0 else path


def _written(source: Source, made: Edition, target: str, told: Told) -> bool:
    """Whether the edition has gone where it was to go."""
    data = source.encoded(made.text)
    if not target:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return True
    in_place = os.path.exists(target) and _is_same(target, source.path)
    if in_place and not made.changed:
        return True
    try:
        if in_place and read_bytes(source.path) != source.encoded(source.text):
            told.trouble(f"{source.path}: it was changed meanwhile, so it was not translated.")
            return False
        os.makedirs(os.path.dirname(target) or ".", exist_ok=True)
        write_whole(target, data)
    except (OSError, FileError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        told.trouble(f"{target}: it could not be written ({reason}).")
        return False
    return True


def _is_same(one: str, other: str) -> bool:
    return other != STANDARD_INPUT and os.path.realpath(one) == os.path.realpath(other)


# --- where they go --------------------------------------------------------------------


def _targets(files: list[Named], wanted: Wanted) -> list[str]:
    """Where each edition goes, "" for standard output.  Raises PlaceError."""
    if wanted.in_place:
        if any(file.path == STANDARD_INPUT for file in files):
            raise PlaceError("Standard input has no place to be written to; ask for -o.")
        return [file.path for file in files]
    if not wanted.into:
        if len(files) > 1:
            raise PlaceError(
                "Several patterns cannot go to one place; ask for --in-place or --into FOLDER."
            )
        return [wanted.out if wanted.out != STANDARD_INPUT else "" for _ in files]
    return _in_folder(files, wanted)


def _in_folder(files: list[Named], wanted: Wanted) -> list[str]:
    targets = [_target(file, wanted) for file in files]
    taken = {os.path.realpath(file.path): file.path for file in files}
    for file, target in zip(files, targets, strict=True):
        holder = taken.setdefault(os.path.realpath(target), file.path)
        if holder != file.path or _is_same(target, file.path):
            raise PlaceError(
                f"{target}: {holder} and the edition of {file.path} would both stand there; "
                "choose another --name."
            )
    return targets


def _target(file: Named, wanted: Wanted) -> str:
    if file.path == STANDARD_INPUT:
        raise PlaceError("Standard input has no name to make another of; ask for -o.")
    below = os.path.dirname(os.path.relpath(file.path, file.folder)) if file.folder else ""
    stem, suffix = os.path.splitext(os.path.basename(file.path))
    try:
        name = wanted.name.format(stem=stem, terms=wanted.to, suffix=suffix)
    except (KeyError, IndexError, ValueError, AttributeError):
        name = ""
    if not name or os.path.basename(name) != name or name in (".", ".."):
        fields = ", ".join(f"{{{field}}}" for field in _FIELDS)
        raise PlaceError(f"--name {wanted.name}: no name for a file; it may hold {fields}.")
    return os.path.normpath(os.path.join(wanted.into, below, name))
