"""From templates to pages: one environment, in which everything is escaped and tamed.

A pattern is text from anywhere.  Whatever a template puts in is escaped for HTML by
Jinja2, and before that freed of the characters that would turn the writing round.
"""

from __future__ import annotations

import os
from functools import cache
from typing import TYPE_CHECKING, Any

from proofhook import __version__
from proofhook.showing.ink import tame

if TYPE_CHECKING:
    import jinja2

#: How a page says that it was made here: only such a page is ever written over.
MARK = '<meta name="generator" content="proofhook'

TEMPLATES = os.path.join(os.path.dirname(__file__), "templates")


class ExtraError(Exception):
    """Jinja2 is not there; the message is one sentence that names the extra."""


def ready() -> None:
    """Raise ExtraError where pages cannot be made."""
    _environment()


def rendered(template: str, **values: Any) -> str:
    """The page that a template makes of the values.

    Raises ExtraError where Jinja2 is not installed.
    """
    page: str = _environment().get_template(template).render(version=__version__, **values)
    return page


@cache
def _environment() -> jinja2.Environment:
    try:
        import jinja2
    except ImportError:
        raise ExtraError(
            "A proof sheet is made with Jinja2, which is not installed; "
            "pip install 'proofhook[sheet]' brings it."
        ) from None
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        finalize=_tamed,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _tamed(value: Any) -> Any:
    """What a template puts in; text that is not yet HTML loses its unruly characters."""
    return tame(value) if type(value) is str else value
