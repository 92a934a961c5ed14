"""Reading a text into the model of a pattern."""

from __future__ import annotations

from proofhook.reading.outline import read

__all__ = ["read"]
