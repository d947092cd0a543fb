"""What is passed about in `drills` is a value: nothing changes it after it was made."""

import dataclasses
import importlib
import inspect
import pkgutil

import pytest

from wicketlay import drills


def dataclasses_of(package):
    for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
        module = importlib.import_module(found.name)
        for _, made in inspect.getmembers(module, inspect.isclass):
            if dataclasses.is_dataclass(made) and made.__module__ == module.__name__:
                yield made


@pytest.mark.parametrize("made", [*dataclasses_of(drills)], ids=lambda made: made.__name__)
def test_every_dataclass_is_frozen_slotted_and_told_by_name(made):
    assert made.__dataclass_params__.frozen
    assert "__slots__" in vars(made)
    assert all(field.kw_only for field in dataclasses.fields(made))
