"""What is passed about in the domain is a value: nothing changes it after it was made."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil

import pytest

from wicketlay import drills, ground, practice, running, solve

BY_PLACE = {"SpeedCurve", "_Known"}
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
    for package in (running, drills, ground, practice, solve)
    for made in dataclasses_of(package)
]


@pytest.mark.parametrize("made", VALUES, ids=lambda made: f"{made.__module__}.{made.__name__}")
def test_every_dataclass_is_frozen_slotted_and_told_by_name(made):
    assert made.__dataclass_params__.frozen
    assert "__slots__" in vars(made)
    assert all(f.kw_only for f in dataclasses.fields(made)) is (made.__name__ not in BY_PLACE)
