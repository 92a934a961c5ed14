"""proofhook, the proofreader for written crochet patterns.

For programs: :func:`read` a text, then ask the pattern for its :meth:`~Pattern.tally` or
its :meth:`~Pattern.proof`, to :meth:`~Pattern.tidy` or to :meth:`~Pattern.translate` it.
``docs/api.md`` shows how.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from proofhook.api import (
        Edit,
        Edition,
        Finding,
        Grade,
        House,
        HouseError,
        Mend,
        Pattern,
        Proof,
        Refusal,
        RowTally,
        Tally,
        Tidied,
        Verdict,
        apply_edits,
        house,
        proof,
        read,
        tally,
        tidy,
        translate,
    )

__version__ = "0.1.0"
__all__ = [
    "Edit",
    "Edition",
    "Finding",
    "Grade",
    "House",
    "HouseError",
    "Mend",
    "Pattern",
    "Proof",
    "Refusal",
    "RowTally",
    "Tally",
    "Tidied",
    "Verdict",
    "__version__",
    "apply_edits",
    "house",
    "proof",
    "read",
    "tally",
    "tidy",
    "translate",
]


def __getattr__(name: str) -> Any:
    """Import what is called for when it is first used: the command line has no need of it."""
    if name in __all__:
        from proofhook import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, *(name for name in globals() if name.startswith("__"))]
