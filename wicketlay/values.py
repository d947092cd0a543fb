"""Values: frozen objects with slots that cost little to declare and little to make.

They are structs of `msgspec`: a plan is solved with some hundred of them and a sheet drawn from
thousands, and a dataclass takes eight times as long to make one. To who reads them, and to type
checkers, they are the dataclasses they are written as, with their fields, `replace` and `match`.
A value is made of what was there before it and never changes, so none is part of a circle of
references, and the collector of such circles does not look at them.
"""

from __future__ import annotations

import dataclasses
import inspect
from operator import attrgetter
from typing import TYPE_CHECKING, Any

import msgspec
import msgspec.structs

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as dataclass  # noqa: PLC0414 - this module gives it on
    from dataclasses import replace as replace  # noqa: PLC0414 - as above
else:
    replace = msgspec.structs.replace

    def dataclass(*, frozen: bool, slots: bool, kw_only: bool = False) -> Callable[[type], type]:
        """Return what makes a class a value; it says `frozen` and `slots`, for who reads it."""
        if not (frozen and slots):
            raise TypeError(
                "a value is frozen and has slots; the standard dataclass makes any other"
            )
        return lambda body: _made(body, kw_only=kw_only)


_Kind: Any = type(msgspec.Struct)
"""What makes the class; one of our own in its place would make values four times as slow."""


class _Type:
    """The type of a field as it is written: a signature shows it, and nobody has to know it."""

    __slots__ = ("written",)

    def __init__(self, written: str) -> None:
        self.written = written

    def __repr__(self) -> str:
        return self.written


def set_when_made(one: Any, name: str, value: object) -> None:  # noqa: ANN401 - any value
    """Set a field of a value from its own ``__post_init__``."""
    msgspec.structs.force_setattr(one, name, value)


def _made(body: type, *, kw_only: bool) -> type:
    own = {name: told for name, told in vars(body).items() if name not in _OF_ANY_CLASS}
    hints = inspect.get_annotations(body)
    own["__annotations__"] = {
        name: written if _of_the_class(written) else _Type(str(written))
        for name, written in hints.items()
    }
    own["__dataclass_fields__"] = _Fields(body, kw_only=kw_only)
    left_out = set()
    for name in hints:
        told = own.get(name)
        if not isinstance(told, dataclasses.Field):
            continue
        if not (told.init and told.repr):
            raise TypeError(
                f"{body.__qualname__}.{name} is told and shown, as all fields of a value are"
            )
        if not told.compare:
            left_out.add(name)
        if told.default_factory is not dataclasses.MISSING:
            own[name] = msgspec.field(default_factory=told.default_factory)
        elif told.default is not dataclasses.MISSING:
            own[name] = told.default
        else:
            del own[name]
    if left_out:
        names = [name for name in hints if name not in left_out]
        own |= {"_compared": attrgetter(*names), "__eq__": _equal, "__hash__": _hash}
    bases = (msgspec.Struct, *(base for base in body.__bases__ if base is not object))
    made: type = _Kind(body.__name__, bases, own, frozen=True, kw_only=kw_only, gc=False)
    made.__qualname__ = body.__qualname__
    return made


def _of_the_class(written: object) -> bool:
    """Return whether what is annotated so is no field."""
    return str(written).removeprefix("typing.").startswith("ClassVar")


_OF_ANY_CLASS = frozenset({"__dict__", "__weakref__"})


class _Fields:
    """``__dataclass_fields__``, worked out when somebody first asks a class for them."""

    def __init__(self, body: type, *, kw_only: bool) -> None:
        self.body = body
        self.kw_only = kw_only

    def __get__(self, one: object, made: type) -> dict[str, dataclasses.Field[Any]]:
        """Return the fields of a class, and keep them there."""
        known = dataclasses.dataclass(init=False, repr=False, eq=False, kw_only=self.kw_only)
        fields: dict[str, dataclasses.Field[Any]] = known(self.body).__dataclass_fields__  # type: ignore[attr-defined]
        made.__dataclass_fields__ = fields  # type: ignore[attr-defined]
        return fields


def _equal(self: Any, other: Any) -> Any:  # noqa: ANN401 - any value; True, False or neither
    if other.__class__ is not self.__class__:
        return NotImplemented
    return self._compared(self) == self._compared(other)


def _hash(self: Any) -> int:  # noqa: ANN401 - any value
    return hash(self._compared(self))
