"""What is passed about in the domain is a value: nothing changes it after it was made."""

from __future__ import annotations

import copy
import dataclasses
import gc
import importlib
import inspect
import pkgutil
import typing

import pytest

from wicketlay import drills, ground, lanes, review, running, session, solve, values

BY_PLACE = {"SpeedCurve"}
"""Dataclasses of two or three numbers whose order everybody knows."""


def dataclasses_of(package):
    yield from _made_in(package)
    for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        yield from _made_in(importlib.import_module(found.name))


def _made_in(module):
    for _, made in inspect.getmembers(module, inspect.isclass):
        if dataclasses.is_dataclass(made) and made.__module__ == module.__name__:
            yield made


VALUES = [
    made
    for package in (running, drills, ground, lanes, session, review, solve)
    for made in dataclasses_of(package)
]


def test_every_dataclass_is_frozen_slotted_and_told_by_name():
    assert VALUES
    for made in VALUES:
        how = getattr(made, "__struct_config__", None) or made.__dataclass_params__
        assert how.frozen, made
        assert "__dict__" not in dir(made), made
        by_name = all(field.kw_only for field in dataclasses.fields(made))
        assert by_name is (made.__name__ not in BY_PLACE), made


@pytest.fixture(params=[values.dataclass, dataclasses.dataclass], ids=["ours", "the standard one"])
def point(request):
    put = values.set_when_made if request.param is values.dataclass else object.__setattr__

    @request.param(frozen=True, slots=True, kw_only=True)
    class Point:
        """A place with a note."""

        x: float
        y: float = 2.0
        notes: list[str] = dataclasses.field(default_factory=list, compare=False)
        far: bool = dataclasses.field(default=False, metadata={"what": "how far"})

        def __post_init__(self):
            put(self, "far", self.x > 5)

    return Point


def test_a_value_is_what_the_standard_dataclass_makes(point):
    one, other = point(x=1.0), point(x=1.0, y=2.0, notes=["here"])
    assert one == other
    assert hash(one) == hash(other)
    assert one not in (point(x=1.0, y=3.0), (1.0, 2.0, False), dataclasses.replace(one, x=9.0))
    assert (one.y, one.notes, one.far, point(x=6.0).far) == (2.0, [], False, True)
    assert dataclasses.replace(one, x=6.0).far
    assert one.notes is not point(x=1.0).notes
    assert repr(other).endswith("Point(x=1.0, y=2.0, notes=['here'], far=False)")
    assert dataclasses.asdict(copy.deepcopy(other)) == {
        "x": 1.0, "y": 2.0, "notes": ["here"], "far": False
    }  # fmt: skip
    fields = dataclasses.fields(point)
    assert [f.name for f in fields] == [f.name for f in dataclasses.fields(one)]
    assert [(f.name, f.type, f.default) for f in fields[:2]] == [
        ("x", "float", dataclasses.MISSING), ("y", "float", 2.0)
    ]  # fmt: skip
    assert (fields[2].default_factory, fields[3].metadata["what"]) == (list, "how far")
    assert list(inspect.signature(point).parameters) == ["x", "y", "notes", "far"]


@pytest.mark.parametrize("given", [(), {"y": 1.0}, (1.0,), {"x": 1.0, "one": 2.0}], ids=str)
def test_a_value_takes_its_fields_by_name(point, given):
    with pytest.raises(TypeError, match="argument"):
        point(**given) if isinstance(given, dict) else point(*given)


def test_a_value_stays_as_it_was_made(point):
    one = point(x=1.0)
    for change in (lambda: setattr(one, "x", 2.0), lambda: delattr(one, "x")):
        with pytest.raises(AttributeError):
            change()
    with pytest.raises((AttributeError, TypeError)):
        one.z = 3.0
    assert one.x == 1.0


def test_the_collector_does_not_look_at_values():
    @values.dataclass(frozen=True, slots=True)
    class Around:
        inner: list[int]

    assert not gc.is_tracked(Around([1]))


def test_what_replaces_a_value_is_looked_at_as_what_is_made():
    @values.dataclass(frozen=True, slots=True, kw_only=True)
    class Share:
        kind: typing.ClassVar[str] = "share"
        of: float

        def __post_init__(self):
            if self.of > 1.0:
                raise ValueError("more than all")
            values.set_when_made(self, "of", round(self.of, 1))

    half = Share(of=0.5)
    assert values.replace(half, of=0.61) == Share(of=0.6)
    with pytest.raises(ValueError, match="more than all"):
        values.replace(half, of=2.0)
    assert repr(half).endswith("Share(of=0.5)")


@pytest.mark.parametrize("hidden", [{"init": False}, {"repr": False}], ids=str)
def test_a_field_of_a_value_is_told_and_shown(hidden):
    with pytest.raises(TypeError, match=r"Place\.x is told and shown"):

        @values.dataclass(frozen=True, slots=True)
        class Place:
            """A field that is neither."""

            x: float = dataclasses.field(default=0.0, **hidden)


def test_values_of_no_field_are_equal_and_places_are_places():
    @values.dataclass(frozen=True, slots=True)
    class Nothing:
        """No field."""

    @values.dataclass(frozen=True, slots=True)
    class Pair:
        """Told by place."""

        first: int
        second: int = 2

    assert Nothing() == Nothing()
    assert hash(Nothing()) == hash(Nothing())
    assert Pair(1) == Pair(1, 2) != Pair(second=1, first=2)
    match Pair(1):
        case Pair(first, second):
            assert (first, second) == (1, 2)
    with pytest.raises(TypeError, match="frozen and has slots"):
        values.dataclass(frozen=False, slots=True)
