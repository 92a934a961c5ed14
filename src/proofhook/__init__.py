"""proofhook, the proofreader for written crochet patterns.

For programs: :func:`read` a text, :func:`tally` its rows, :func:`proof` it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from proofhook.api import proof, read, tally

__version__ = "0.1.0"
__all__ = ["__version__", "proof", "read", "tally"]


def __getattr__(name: str) -> Any:
    """Import the calls when they are first used: the command line has no need of them."""
    if name in ("read", "tally", "proof"):
        from proofhook import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
