"""The forms of output: one table, from the name that is asked for to what writes it.

A form has two halves.  One gives the text about one pattern, from nothing but its proof or
its tally and the paper, so that it may be made in another process and be kept; the other
puts these texts together, as they come, with what stands before and after them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from proofhook.records import NamedTuple
from proofhook.showing.ink import Paper

if TYPE_CHECKING:
    from typing import Any, TypeAlias

    from proofhook.counting.result import Tally
    from proofhook.proofing.finding import Grade
    from proofhook.proofing.proof import Proof
    from proofhook.showing.sums import Shown

    #: A plug-in's writer may take the run as nothing but an iterable of proofs.
    Writer: TypeAlias = "Callable[[Run[Proof]], Iterable[str]]"

PROOF, TALLY = "proof", "tally"
#: The forms of a proof and those of a tally, and the modules that have ``proof_text`` and
#: ``write_proofs`` for them, or ``tally_text`` and ``write_tallies``.
PROOF_FORMS = {
    "page": "page",
    "lines": "lines",
    "json": "as_json",
    "sarif": "as_sarif",
    "junit": "as_junit",
}
TALLY_FORMS = {"page": "tally_page", "lines": "lines", "json": "as_json"}
WRITERS = {PROOF: "write_proofs", TALLY: "write_tallies"}
#: The forms that the paper bears on, and those that name the rules that had their look.
ON_PAPER, WITH_RULES = ("page",), ("sarif",)


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
    """What there is to write, one file after another as they come, and the outcome after."""

    __slots__ = ("_done", "outcome", "paper")

    def __init__(self, done: Iterable[Done_co], outcome: Outcome, paper: Paper) -> None:
        self._done = done
        self.outcome = outcome
        self.paper = paper

    def __iter__(self) -> Iterator[Done_co]:
        return iter(self._done)


class Form(NamedTuple):
    """One of our own forms, of a proof or of a tally, on a paper that bears on it."""

    what: str
    name: str
    paper: Paper = Paper()

    def on(self, paper: Paper) -> Form:
        """The same form on this paper."""
        return self._replace(paper=paper) if self.name in ON_PAPER else self

    @property
    def names_rules(self) -> bool:
        """Whether it names the rules that had their look."""
        return self.name in WITH_RULES

    def text(self, made: Proof | Tally) -> str:
        """What it says about one proof, or about one tally."""
        text: str = self._part(f"{self.what}_text")(made, self.paper)
        return text

    def write(self, shown: Iterable[Shown], outcome: Outcome, paper: Paper) -> Iterator[str]:
        """The text of a run, from what is shown of each file."""
        parts: Iterator[str] = self._part(WRITERS[self.what])(Run(shown, outcome, paper))
        return parts

    def of_proof(self, proof: Proof) -> Shown:
        """What it shows of one proof."""
        from proofhook.showing.sums import Shown, sums_of_proof

        path = proof.pattern.source.path
        return Shown(path, self.text(proof), sums_of_proof(proof), proof.failures, proof.rules)

    def of_tally(self, tally: Tally) -> Shown:
        """What it shows of one tally."""
        from proofhook.showing.sums import Shown, sums_of_tally

        return Shown(tally.pattern.source.path, self.text(tally), sums_of_tally(tally))

    def _part(self, function: str) -> Any:
        module = (PROOF_FORMS if self.what == PROOF else TALLY_FORMS)[self.name]
        return getattr(import_module(f"proofhook.showing.{module}"), function)


def proof_form(name: str, brought: Iterable[str] = ()) -> Form:
    """The form of a proof of this name; ``brought`` are the names of plug-ins' forms.

    Raises FormError with the nearest name where there is no such form.
    """
    return _form(PROOF, name, PROOF_FORMS, brought)


def tally_form(name: str) -> Form:
    """The form of a tally of this name.

    Raises FormError with the nearest name where there is no such form.
    """
    return _form(TALLY, name, TALLY_FORMS)


def _form(what: str, name: str, forms: Mapping[str, str], brought: Iterable[str] = ()) -> Form:
    if name not in forms:
        from proofhook.proofing.house import nearest

        known = (*forms, *brought)
        told = nearest(name, known)
        *most, last = known
        there = f" There are {', '.join(most)} and {last}." if told == "." else ""
        raise FormError(f"There is no form {name!r} of a {what}{told}{there}")
    return Form(what, name)
