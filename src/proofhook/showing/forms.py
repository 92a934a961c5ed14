"""The forms of output: one table, from the name that is asked for to what writes it.

A writer gets a run, which gives the proofs or tallies one by one as they are done, and
gives the text part by part, so that a run over many patterns takes no more memory than
one over few.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from proofhook.showing.ink import Paper

if TYPE_CHECKING:
    from typing import Any, TypeAlias

    from proofhook.counting.result import Tally
    from proofhook.proofing.finding import Grade
    from proofhook.proofing.proof import Proof

    #: A plug-in's writer may take the run as nothing but an iterable of proofs.
    Writer: TypeAlias = "Callable[[Run[Proof]], Iterable[str]]"
    TallyWriter: TypeAlias = "Callable[[Run[Tally]], Iterable[str]]"

#: The forms of a proof: the module and the function that write it.
PROOF_FORMS = {
    "page": "page:write",
    "lines": "lines:write_proofs",
    "json": "as_json:write_proofs",
    "sarif": "as_sarif:write",
    "junit": "as_junit:write",
}

#: The forms of a tally.
TALLY_FORMS = {
    "page": "tally_page:write",
    "lines": "lines:write_tallies",
    "json": "as_json:write_tallies",
}


class FormError(ValueError):
    """A form of output that does not exist; the message is one sentence."""


class Outcome(Protocol):
    """What a run came to, whole once its last file is done.

    ``told`` are the sentences about what could not be done, ``not_done`` counts the files
    that were not read or not proofed, ``passed_over`` those without rows.  ``least`` is
    the lowest grade that fails the run, None where no house was asked.
    """

    told: list[str]
    not_done: int
    passed_over: int
    least: Grade | None


Done_co = TypeVar("Done_co", covariant=True)


class Run(Generic[Done_co]):
    """What there is to write: the proofs or tallies as they come, and the outcome after."""

    __slots__ = ("_done", "outcome", "paper")

    def __init__(self, done: Iterable[Done_co], outcome: Outcome, paper: Paper) -> None:
        self._done = done
        self.outcome = outcome
        self.paper = paper

    def __iter__(self) -> Iterator[Done_co]:
        return iter(self._done)


def proof_writer(name: str, brought: Mapping[str, Writer] | None = None) -> Writer:
    """What writes proofs in the form of this name; ``brought`` are those of plug-ins.

    Raises FormError with the nearest name where there is no such form.
    """
    if brought and name in brought:
        return brought[name]
    writer: Writer = _writer(name, PROOF_FORMS, (*PROOF_FORMS, *(brought or ())), "proof")
    return writer


def tally_writer(name: str) -> TallyWriter:
    """What writes tallies in the form of this name.

    Raises FormError with the nearest name where there is no such form.
    """
    writer: TallyWriter = _writer(name, TALLY_FORMS, TALLY_FORMS, "tally")
    return writer


def _writer(name: str, forms: Mapping[str, str], known: Iterable[str], what: str) -> Any:
    if name not in forms:
        from proofhook.proofing.house import nearest

        told = nearest(name, known)
        *most, last = known
        there = f" There are {', '.join(most)} and {last}." if told == "." else ""
        raise FormError(f"There is no form {name!r} of a {what}{told}{there}")
    module, _, function = forms[name].partition(":")
    return getattr(import_module(f"proofhook.showing.{module}"), function)
