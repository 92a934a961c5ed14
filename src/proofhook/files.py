"""Which files are meant by the names on the command line, and reading them."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import BinaryIO

from proofhook.records import NamedTuple
from proofhook.text import MAX_BYTES, Source, decode

STANDARD_INPUT = "-"
#: What stands in the folder of a git repository: a folder, or a file in a linked one.
REPOSITORY = ".git"
#: The names of a house style sheet and of a list of what stands.
SHEET = "housestyle.toml"
BOOK = "stet.toml"
ENDINGS = (".txt", ".md")


class FileError(Exception):
    """A file that cannot be read; the message is one sentence with its path."""


class Named(NamedTuple):
    """A file to be read; ``folder`` is the folder it was found in, "" if it was named itself."""

    path: str
    folder: str = ""


def named_files(names: Iterable[str], tell: Callable[[str], None]) -> Iterator[Named]:
    """The files that the names on the command line stand for, each once.

    A folder stands for every ``.txt`` and ``.md`` file in it, however deep, in the
    order of their names; hidden folders and links to folders are left out.  What is
    not there or cannot be listed is told of in a sentence.
    """
    seen: set[str] = set()
    for name in names:
        if name == STANDARD_INPUT:
            found: Iterable[Named] = [Named(name)]
        elif _is_folder(name):
            found = _in_folder(name, tell)
        else:
            found = [Named(name)]
        for file in found:
            if file.path not in seen:
                seen.add(file.path)
                yield file


def _is_folder(name: str) -> bool:
    try:
        return os.path.isdir(name)
    except ValueError:
        return False


def _in_folder(folder: str, tell: Callable[[str], None]) -> Iterator[Named]:
    def cannot_list(error: OSError) -> None:
        tell(f"{error.filename}: this folder cannot be listed ({_reason(error)}).")

    for here, folders, files in os.walk(folder, onerror=cannot_list):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            path = os.path.normpath(os.path.join(here, name))
            if name.lower().endswith(ENDINGS) and os.path.isfile(path):
                yield Named(path, folder)


def read_source(path: str) -> Source:
    """The text of a file, or of standard input for ``-``.

    Raises FileError where it cannot be read and TextError where it is no text.
    """
    return decode(read_bytes(path), path)


def read_bytes(path: str) -> bytes:
    """The bytes of a file, cut off where it is larger than any pattern."""
    try:
        if path == STANDARD_INPUT:
            if sys.stdin is None:
                raise FileError("Standard input is closed, so there is nothing to read.")
            return sys.stdin.buffer.read(MAX_BYTES + 1)
        with open(path, "rb") as file:
            if stat.S_ISDIR(os.fstat(file.fileno()).st_mode):
                raise IsADirectoryError
            return file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise FileError(f"{path}: there is no such file or folder.") from None
    except OSError as error:
        raise FileError(f"{path}: this file cannot be read ({_reason(error)}).") from None
    except ValueError:
        raise FileError(f"{path!r} cannot be the name of a file.") from None


def write_whole(
    path: str, data: bytes, durable: bool = True, last_look: Callable[[], None] = lambda: None
) -> None:
    """Put ``data`` in the place of a file, whole or not at all; its mode is kept.

    A link is followed, so that it stays one.  ``last_look`` is called when all is ready
    and may raise; what is not ``durable`` need not outlast a loss of power.  Raises OSError.
    """
    with written_whole(path, durable, last_look) as file:
        file.write(data)


@contextmanager
def written_whole(
    path: str, durable: bool = True, last_look: Callable[[], None] = lambda: None
) -> Iterator[BinaryIO]:
    """A file to write to that takes the place of ``path`` once all is written, or never.

    What is no file, such as a pipe, is written to as it is.  Raises OSError.
    """
    import tempfile

    if os.path.exists(path) and not os.path.isfile(path):
        with open(path, "wb") as there:
            yield there
        return
    path = os.path.realpath(path)
    handle, beside = tempfile.mkstemp(prefix=".proofhook-", dir=os.path.dirname(path))
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            file.flush()
            if durable:
                os.fsync(file.fileno())
        os.chmod(beside, _mode_of(path))
        last_look()
        os.replace(beside, path)
    except BaseException:
        # Where it was stopped just after, the file is in its place and no longer beside it.
        with suppress(FileNotFoundError):
            os.unlink(beside)
        raise


def rewrite(source: Source, text: str) -> None:
    """Put another text in the place of the one that was read, whole or not at all.

    Encoding, byte-order mark and mode are kept.  Raises FileError where the file is not as
    it was read any more, or cannot be written.
    """
    try:
        _check_unchanged(source)
        if not stat.S_IMODE(os.stat(source.path).st_mode) & 0o222:
            raise FileError(f"{source.path}: it is read-only, so it was left alone.")
        write_whole(source.path, source.encoded(text), last_look=lambda: _check_unchanged(source))
    except OSError as error:
        reason = error.strerror or error
        raise FileError(f"{source.path}: it could not be written ({reason}).") from None


def _check_unchanged(source: Source) -> None:
    if read_bytes(source.path) != source.encoded(source.text):
        raise FileError(f"{source.path}: it was changed meanwhile, so it was left alone.")


def _mode_of(path: str) -> int:
    try:
        return stat.S_IMODE(os.stat(path).st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()


def find_upward(folder: str, name: str) -> str | None:
    """The path of the nearest file of that name in ``folder`` or above it, None without one.

    Nothing is looked for above the folder that holds a git repository: what governs the
    patterns in it, and names the rule files that are run, is part of it.
    """
    folder = os.path.abspath(folder)
    while True:
        path = os.path.join(folder, name)
        if os.path.isfile(path):
            return path
        above = os.path.dirname(folder)
        if above == folder or os.path.exists(os.path.join(folder, REPOSITORY)):
            return None
        folder = above


def repository_of(folder: str) -> str | None:
    """The nearest folder, ``folder`` or one above it, that holds a git repository; else None.

    Links are followed: it is about where a file really lies.
    """
    folder = os.path.realpath(folder)
    while not os.path.exists(os.path.join(folder, REPOSITORY)):
        above = os.path.dirname(folder)
        if above == folder:
            return None
        folder = above
    return folder
