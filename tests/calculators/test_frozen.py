"""A frozen class does what the standard library's does."""

import copy
import dataclasses
import pickle

import pytest

from calculators.frozen import frozen


@frozen
class Ours:
    """Fields of each kind."""

    name: str
    grams: float = 1.0
    parts: dict = dataclasses.field(default_factory=dict, compare=False)
    quiet: int = dataclasses.field(default=3, repr=False)
    twice: float = dataclasses.field(init=False, compare=False)

    def __post_init__(self):
        object.__setattr__(self, "twice", 2 * self.grams)


@frozen
class Longer(Ours):
    """A class below it, with a word of its own."""

    long: float = 5.0

    def __repr__(self):
        return f"long {self.long}"


@dataclasses.dataclass(frozen=True)
class Theirs:
    name: str
    grams: float = 1.0
    parts: dict = dataclasses.field(default_factory=dict, compare=False)
    quiet: int = dataclasses.field(default=3, repr=False)
    twice: float = dataclasses.field(init=False, compare=False)

    def __post_init__(self):
        object.__setattr__(self, "twice", 2 * self.grams)


def test_it_is_made_compared_told_and_hashed_as_the_standard_one():
    ours, theirs = Ours("a", grams=2), Theirs("a", grams=2)
    assert repr(ours).replace("Ours", "Theirs") == repr(theirs)
    assert dataclasses.asdict(ours) == dataclasses.asdict(theirs)
    assert hash(ours) == hash(theirs)
    assert ours == Ours("a", 2, {"other": 1}) != Ours("b", 2)
    assert ours != theirs
    assert dataclasses.replace(ours, grams=3.0).twice == 6.0


def test_a_default_that_can_change_is_made_anew_each_time():
    assert Ours("a").parts is not Ours("a").parts


@pytest.mark.parametrize(
    "change", [lambda x: setattr(x, "name", "b"), lambda x: delattr(x, "name")]
)
def test_nothing_of_it_changes(change):
    with pytest.raises(dataclasses.FrozenInstanceError, match="'name'"):
        change(Ours("a"))


@pytest.mark.parametrize("call", [Ours, lambda: Ours("a", wrong=1), lambda: Ours("a", 1, {}, 3, 4)])
def test_a_wrong_call_is_refused(call):
    with pytest.raises(TypeError, match="__init__"):
        call()


def test_a_class_below_keeps_its_own_words_and_the_fields_above():
    one = Longer("a", long=7.0)
    assert (repr(one), one.grams, one.twice) == ("long 7.0", 1.0, 2.0)
    assert one == Longer("a", long=7.0) != Longer("a")


def test_it_is_copied_and_stored():
    one = Ours("a", 2)
    assert pickle.loads(pickle.dumps(one)) == copy.deepcopy(one) == one
