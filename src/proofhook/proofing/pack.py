"""What the plug-ins of a house bring together: rules, words and forms of output."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from proofhook.pattern import NO_WORDS, OwnWords
from proofhook.records import NamedTuple

if TYPE_CHECKING:
    from typing import TypeAlias

    from proofhook.proofing.proof import Proof
    from proofhook.proofing.rule import Rule

#: Writes proofs in a form of output: the proofs one by one, the text part by part.
Writer: TypeAlias = "Callable[[Iterable[Proof]], Iterable[str]]"


class Pack(NamedTuple):
    """What there is to proof with.

    ``troubles`` holds a sentence for everything that a plug-in should have brought and
    that cannot be used; where there is one, less was checked than the house wants.
    ``form_owners`` names the plug-in that brings each form.
    """

    rules: tuple[Rule, ...] = ()
    words: OwnWords = NO_WORDS
    forms: Mapping[str, Writer] = {}
    troubles: tuple[str, ...] = ()
    form_owners: Mapping[str, str] = {}
