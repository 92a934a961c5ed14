"""Where the server begins and ends."""

from __future__ import annotations

import logging
import os
import sys

from proofhook.editor.requests import add_requests
from proofhook.editor.server import PatternServer
from proofhook.faults import wants_traceback


def serve(version: str) -> bool:
    """Speak with an editor over standard input and output until it leaves.

    Whatever else writes to standard output, a plug-in perhaps, goes to standard error.
    False where the editor left without saying goodbye (Language Server Protocol 3.17, "Exit").
    """
    if not wants_traceback():
        logging.getLogger("pygls").setLevel(logging.CRITICAL)
    server = PatternServer(version)
    add_requests(server)
    kept, sys.stdout = sys.stdout, sys.stderr
    try:
        with os.fdopen(os.dup(kept.fileno()), "wb") as out:
            server.start_io(sys.stdin.buffer, out)
    finally:
        server.stop()
        sys.stdout = kept
    return server.said_goodbye
