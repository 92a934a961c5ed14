"""What was found once, kept in a folder of the user's cache under the key it depends on.

The folder may be deleted at any time, and be used by several runs at once: an entry is put
in its place whole, and one that is not as it was written is as good as none.  Entries are
bytes behind a checksum.  ``PROOFHOOK_CACHE`` names another folder, or "" for none.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256

from proofhook.files import write_whole
from proofhook.records import NamedTuple

#: The most that the entries hold together, in bytes, and what is left of it by clearing.
MOST, KEPT = 256_000_000, 0.8
DAY = 86_400
#: So many bytes are the checksum before an entry.
HEAD = 65
#: How the names of files begin that were being written.
UNFINISHED = ".proofhook-"


class Entry(NamedTuple):
    """A file in the cache: when it was last of use, its size and its path."""

    used: float
    size: int
    path: str


def cache_folder() -> str:
    """Where outcomes are kept; "" for nowhere."""
    folder = os.environ.get("PROOFHOOK_CACHE")
    if folder is None:
        home = os.environ.get("XDG_CACHE_HOME", "")
        if not os.path.isabs(home):  # XDG Base Directory Specification: others are ignored
            usual = "~/Library/Caches" if sys.platform == "darwin" else "~/.cache"
            home = os.environ.get("LOCALAPPDATA") or os.path.expanduser(usual)
        folder = os.path.join(home, "proofhook")
    return os.path.join(folder, "outcomes") if os.path.isabs(folder) else ""


class Cache:
    """The entries in a folder; ``fault`` says why no more are written, "" while they are."""

    __slots__ = ("_folder", "_most", "_now", "_room", "fault")

    def __init__(self, folder: str, most: int = MOST) -> None:
        self._folder = folder
        self._most = most
        self._now = time.time()
        self._room: int | None = None
        self.fault = ""

    def get(self, key: str) -> bytes | None:
        """What is kept under a key; None where there is nothing, or nothing whole."""
        path = self._path(key)
        try:
            with open(path, "rb", buffering=0) as file:
                used = os.fstat(file.fileno()).st_mtime
                whole = file.read()
        except (OSError, ValueError):
            return None
        data = whole[HEAD:]
        if whole[:HEAD] != _head(data):
            return None
        if self._now - used > DAY:
            with suppress(OSError):
                os.utime(path)
        return data

    def put(self, key: str, data: bytes) -> None:
        """Keep bytes under a key, if there is room and the folder can be written."""
        if self.fault or not self._folder:
            return
        try:
            if self._room is None:
                self._room = self._most - self._cleared()
            if len(data) > self._room:
                return
            path = self._path(key)
            os.makedirs(os.path.dirname(path), mode=0o700, exist_ok=True)
            write_whole(path, _head(data) + data, durable=False)
            self._room -= len(data) + HEAD
        except OSError as error:
            reason = error.strerror or type(error).__name__
            self.fault = f"{self._folder}: the cache cannot be written ({reason})"

    def _path(self, key: str) -> str:
        return f"{self._folder}{os.sep}{key[:2]}{os.sep}{key[2:]}"

    def _cleared(self) -> int:
        """Make room where there is little, the longest unused first; the bytes still taken."""
        entries = sorted(self._entries())
        taken = sum(entry.size for entry in entries)
        if taken <= self._most * (1 + KEPT) / 2:
            return taken
        for entry in entries:
            if taken <= self._most * KEPT:
                break
            with suppress(FileNotFoundError):  # another run may be first
                os.unlink(entry.path)
            taken -= entry.size
        return taken

    def _entries(self) -> Iterator[Entry]:
        """All entries; what was left over by a run that was ended is taken away."""
        for here, _, files in os.walk(self._folder):
            for name in files:
                path = os.path.join(here, name)
                try:
                    found = os.stat(path)
                    if name.startswith(UNFINISHED):
                        if time.time() - found.st_mtime > DAY:
                            os.unlink(path)
                    else:
                        yield Entry(found.st_mtime, found.st_size, path)
                except FileNotFoundError:
                    continue


def _head(data: bytes) -> bytes:
    return sha256(data).hexdigest().encode("ascii") + b"\n"
