"""The proof sheet: a pattern's proof as one page to read, to print and to hand on.

:func:`sheet` and :func:`index` give whole HTML pages as text and touch no file.  A page
needs nothing from outside itself and runs no script.  The pages are made with Jinja2,
which comes with the extra ``proofhook[sheet]``.
"""

from __future__ import annotations

from proofhook.showing.sheet.listing import Listed, index
from proofhook.showing.sheet.page import sheet, title_of
from proofhook.showing.sheet.rendering import MARK, ExtraError, ready

__all__ = ["MARK", "ExtraError", "Listed", "index", "ready", "sheet", "title_of"]
