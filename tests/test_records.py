"""Records: what holds of them when the program runs."""

from __future__ import annotations

import copy
import pickle
import typing

import pytest

from proofhook.counting.attempt import Attempt
from proofhook.pattern import FastenOff, Note, Turn, Unread, What
from proofhook.records import NamedTuple, replace
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


class Basket(NamedTuple):
    """What is in a basket."""

    balls: int
    colours: tuple[str, ...] = ("ochre",)
    held: bool = False

    @property
    def full(self) -> bool:
        return self.balls > 5

    def filled(self) -> Basket:
        return self._replace(balls=6)


class Library(typing.NamedTuple):
    balls: int
    colours: tuple[str, ...] = ("ochre",)
    held: bool = False


def test_a_named_tuple_is_what_the_library_makes_of_it() -> None:
    ours, theirs = Basket(2, held=True), Library(2, held=True)
    assert tuple(ours) == tuple(theirs)
    assert hash(ours) == hash((2, ("ochre",), True))
    assert repr(ours) == repr(theirs).replace("Library", "Basket")
    assert ours._asdict() == Library(2, held=True)._asdict()
    assert Basket._fields == Library._fields
    assert tuple(Basket._make([1, (), False])) == tuple(Library._make([1, (), False]))
    assert (Basket.__name__, Basket.__module__) == ("Basket", __name__)
    assert Basket.__doc__ == "What is in a basket."
    assert typing.get_type_hints(Basket) == typing.get_type_hints(Library)
    assert pickle.loads(pickle.dumps(ours)) == copy.deepcopy(ours) == ours
    assert isinstance(pickle.loads(pickle.dumps(ours)), Basket)


def test_a_named_tuple_has_methods_and_is_frozen() -> None:
    basket = Basket(3)
    assert (basket.full, basket.filled().full) == (False, True)
    assert isinstance(basket.filled(), Basket)
    with pytest.raises(AttributeError):
        basket.balls = 4  # type: ignore[misc]
    with pytest.raises(AttributeError):
        basket.other = 4  # type: ignore[attr-defined]
    with pytest.raises(TypeError):
        Basket()  # type: ignore[call-arg]
    with pytest.raises(ValueError, match="width"):
        basket._replace(width=2)  # type: ignore[call-arg]
