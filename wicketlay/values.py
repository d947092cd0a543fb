"""Values: frozen dataclasses with slots that cost an import little.

`dataclasses.dataclass` writes and compiles six methods for every class, up to Python 3.12 each by
itself, and that was three quarters of the time this house took to be imported. Here `__init__`
alone is compiled for a class, when many of it are made; the others are shared. In all else it
is that dataclass, with its fields, `replace` and `match`, and it is all that type checkers see.
"""

from __future__ import annotations

import dataclasses
import inspect
from functools import partial
from operator import attrgetter
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import Field
    from dataclasses import dataclass as dataclass  # noqa: PLC0414 - this module gives it on

    Fields = tuple[Field[Any], ...]
else:

    def dataclass(*, frozen: bool, slots: bool, kw_only: bool = False) -> Callable[[type], type]:
        """Return what makes a class a value; it says `frozen` and `slots`, for who reads it."""
        if not (frozen and slots):
            message = "a value is frozen and has slots; the standard dataclass makes any other"
            raise TypeError(message)
        return lambda body: _made(body, kw_only=kw_only)


def _made(body: type, *, kw_only: bool) -> type:
    for name, method in _SHARED.items():
        if body.__dict__.get(name) is None:
            setattr(body, name, method)
    hints = inspect.get_annotations(body)
    # Every text is searched three times for what is no field; ours say so plainly.
    body.__annotations__ = {
        name: hint if str(hint).startswith("ClassVar") else object for name, hint in hints.items()
    }
    made: Any = dataclasses.dataclass(
        init=False, repr=False, eq=False, slots=True, kw_only=kw_only
    )(body)
    made.__dataclass_params__.frozen = True
    made.__annotations__ = hints
    fields = dataclasses.fields(made)
    for each in fields:
        each.type = hints.get(each.name, each.type)
    names = [each.name for each in fields if each.compare]
    made._compared = attrgetter(*(names or ["__class__"]))  # noqa: SLF001 - our own class
    made.__init__ = _WhenMade(made, fields)
    return made  # type: ignore[no-any-return]


class _WhenMade:
    """``__init__`` until a class has been made often: a command makes a few of most of them."""

    __slots__ = ("by_place", "fields", "left", "made")

    def __init__(self, made: Any, fields: Fields) -> None:  # noqa: ANN401 - classes and functions
        self.made = made
        self.fields = fields
        self.by_place = [each.name for each in self.fields if each.init and not each.kw_only]
        self.left = _WORTH_COMPILING

    def __get__(self, one: object, owner: type | None = None) -> Any:  # noqa: ANN401
        """Return what fills `one`; the compiled one takes its place at last, or when looked at."""
        self.left -= 1
        if one is None or self.left < 0:
            self.made.__init__ = _init_of(self.made)
            return self.made.__init__.__get__(one, owner)
        return partial(self._fill, one)

    def _fill(self, one: Any, /, *by_place: object, **by_name: object) -> None:  # noqa: ANN401
        given = {**dict(zip(self.by_place, by_place, strict=False)), **by_name}
        right = len(given) == len(by_place) + len(by_name)
        for each in self.fields:
            if each.init and each.name in given:
                value = given.pop(each.name)
            elif each.default_factory is not dataclasses.MISSING:
                value = each.default_factory()
            elif each.default is not dataclasses.MISSING:
                value = each.default
            elif each.init:
                right = False
                break
            else:
                continue  # for __post_init__ to fill
            object.__setattr__(one, each.name, value)
        if given or not right:
            _init_of(self.made)(one, *by_place, **by_name)  # it says what is missing or too much
        elif hasattr(one, "__post_init__"):
            one.__post_init__()


def _init_of(made: Any) -> Any:  # noqa: ANN401 - classes and functions alike
    """Compile ``__init__``, which fills the slots past the ``__setattr__`` that refuses."""
    known: dict[str, Any] = {"MADE": _MADE}
    by_place: list[str] = []
    by_name: list[str] = []
    body: list[str] = []
    for each in dataclasses.fields(made):
        name = each.name
        known[f"set_{name}"] = getattr(made, name).__set__
        value = name
        if each.default_factory is not dataclasses.MISSING:
            known[f"make_{name}"] = each.default_factory
            value = f"make_{name}()" + (f" if {name} is MADE else {name}" if each.init else "")
            parameter = f"{name}=MADE"
        elif each.default is not dataclasses.MISSING:
            known[f"default_{name}"] = each.default
            parameter = f"{name}=default_{name}"
            value = name if each.init else f"default_{name}"
        else:
            parameter = name
        if each.init:
            (by_name if each.kw_only else by_place).append(parameter)
        elif value == name:
            continue  # for __post_init__ to fill
        body.append(f" set_{name}(self, {value})")
    if hasattr(made, "__post_init__"):
        body.append(" self.__post_init__()")
    parameters = ", ".join(["self", *by_place, *(["*", *by_name] if by_name else [])])
    text = "\n".join([f"def __init__({parameters}):", *(body or [" pass"])])
    exec(text, known)  # noqa: S102 - names of fields alone, as dataclasses does
    return known["__init__"]


_MADE = object()
_WORTH_COMPILING = 24
"""Objects of a class from which on it is quicker to compile its ``__init__``."""


def _equal(self: Any, other: Any) -> Any:  # noqa: ANN401 - any value; True, False or neither
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._compared(self) == self._compared(other)


def _hash(self: Any) -> int:  # noqa: ANN401 - any value
    return hash(self._compared(self))


def _repr(self: Any) -> str:  # noqa: ANN401 - any value
    shown = (f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse(_self: object, name: str, _value: object = None) -> NoReturn:
    message = f"cannot change {name!r}: a value stays as it was made"
    raise dataclasses.FrozenInstanceError(message)


def _restore(self: object, state: tuple[None, dict[str, object]]) -> None:
    for name, value in state[1].items():
        object.__setattr__(self, name, value)


_SHARED = {
    "__eq__": _equal,
    "__hash__": _hash,
    "__repr__": _repr,
    "__setattr__": _refuse,
    "__delattr__": _refuse,
    "__setstate__": _restore,
}
