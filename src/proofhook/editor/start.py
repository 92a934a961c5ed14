"""Where the server begins and ends."""

from __future__ import annotations

import logging
import sys

from proofhook.editor.requests import add_requests
from proofhook.editor.server import PatternServer
from proofhook.faults import wants_traceback


def serve(version: str) -> None:
    """Speak with an editor over standard input and output until it says goodbye.

    Whatever else writes to standard output, a plug-in perhaps, goes to standard error.
    """
    if not wants_traceback():
        logging.getLogger("pygls").setLevel(logging.CRITICAL)
    out, sys.stdout = sys.stdout, sys.stderr
    server = PatternServer(version)
    add_requests(server)
    try:
        server.start_io(sys.stdin.buffer, out.buffer)
    finally:
        server.stop()
        sys.stdout = out
