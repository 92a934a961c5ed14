"""Records: what holds of them when the program runs."""

from __future__ import annotations

import copy
import pickle

import pytest

from proofhook.counting.attempt import Attempt
from proofhook.pattern import FastenOff, Note, Turn, Unread, What
from proofhook.records import replace
from proofhook.text import Span

HERE = Span(3, 7)


def test_a_frozen_record_cannot_be_changed() -> None:
    turn = Turn(HERE)
    with pytest.raises(AttributeError):
        turn.span = Span(0, 1)  # type: ignore[misc]
    with pytest.raises(AttributeError):
        turn.other = 1  # type: ignore[attr-defined]


def test_records_of_two_kinds_are_never_equal() -> None:
    kinds = [Turn(HERE), FastenOff(HERE), Unread(HERE)]
    assert len(set(kinds)) == len(kinds)
    assert Turn(HERE) == Turn(Span(3, 7))
    others: list[object] = [FastenOff(HERE), (HERE,)]
    assert Turn(HERE) not in others
    assert {Turn(HERE): 1}.get(Turn(Span(3, 7))) == 1


def test_defaults_names_and_copies() -> None:
    assert What("sp") == What("sp", None, "")
    assert repr(What("sp", 2)) == "What(name='sp', length=2, of='')"
    assert replace(What("sp"), length=2) == What("sp", 2)
    with pytest.raises(ValueError, match="width"):
        replace(What("sp"), width=2)  # type: ignore[call-arg]
    assert pickle.loads(pickle.dumps(Note(HERE, "aside"))) == Note(HERE, "aside")
    assert copy.deepcopy(Note(HERE)) == Note(HERE)


def test_an_open_record_has_defaults_of_its_own() -> None:
    one, other = Attempt(), Attempt(reason="none")
    one.units.append("a unit")  # type: ignore[arg-type]
    assert other.units == []
    assert other.reason == "none"
    with pytest.raises(AttributeError):
        one.nonsense = 1  # type: ignore[attr-defined]
    assert repr(one).startswith("Attempt(worked=None, fabric=None, units=['a unit'], ")
