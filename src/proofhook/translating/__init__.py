"""Second editions: a pattern in the other terms, by edits that never change a stitch."""

from __future__ import annotations

from proofhook.translating.edition import Translation, translated
from proofhook.translating.proved import Edition, Refusal, second_edition

__all__ = ["Edition", "Refusal", "Translation", "second_edition", "translated"]
