"""Text that survives any terminal: messages to standard error, data to standard output."""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, BinaryIO, TextIO

from wicketlay.errors import CannotWriteError

if TYPE_CHECKING:
    from collections.abc import Iterator

FINE, CAUTIONS, STOPS, BUG, INTERRUPTED = 0, 1, 3, 70, 130
"""Exit codes; those of errors stand with the errors."""
_NARROWEST = 20
_BEFORE_UNIT = re.compile(r"(?<=[0-9]) (?=(?:[cm]?m|ft|in|s|min|h|m/s|km/h|mph|steps/s)\b|%)")


def say(text: str) -> None:
    """Write a message for people to standard error, after what is already on its way out."""
    flush()
    tell(f"{text}\n")


def tell(text: str) -> None:
    """Write to standard error; when it is closed or full there is nobody left to tell."""
    if sys.stderr is not None:
        with suppress(OSError):
            sys.stderr.write(_wrapped(text, sys.stderr))
            sys.stderr.flush()


def width_of(stream: TextIO | None) -> int | None:
    """Return the width: what COLUMNS asks for, else the terminal's, else None."""
    asked = os.environ.get("COLUMNS", "").isdecimal()
    if stream is None or not (asked or stream.isatty()):
        return None
    return max(_NARROWEST, shutil.get_terminal_size().columns)


def _wrapped(text: str, stream: TextIO) -> str:
    """Return text with its sentences wrapped to a terminal's width; columns stay."""
    width = width_of(stream)
    if width is None:
        return text
    return "".join(
        line
        if len(line) <= width or "  " in line
        else textwrap.fill(
            _BEFORE_UNIT.sub("\u00a0", line),
            width,
            subsequent_indent="  ",
            break_long_words=False,
            break_on_hyphens=False,
        ).replace("\u00a0", " ")
        + "\n"
        for line in text.splitlines(keepends=True)
    )


def error_text(error: object) -> str:
    """Return what is wrong, and below it what was noted with it."""
    notes = [f"note: {note}" for note in getattr(error, "__notes__", ())]
    return "\n".join([f"wicketlay: {error}", *notes])


def put_text(text: str) -> None:
    """Write text for people to standard output; what the terminal cannot show becomes `?`."""
    with _standard_output() as stream:
        encoding = stream.encoding or "utf-8"
        shown = text.encode(encoding, errors="replace").decode(encoding)
        stream.write(_wrapped(shown, stream))


def put_data(text: str) -> None:
    """Write data for programs to standard output, always UTF-8."""
    with data_stream() as stream:
        stream.write(text.encode("utf-8"))


@contextmanager
def data_stream() -> Iterator[BinaryIO]:
    """Give standard output for bytes, after the text before them, and see them off.

    Raises
    ------
    CannotWriteError
        When standard output is closed or full.
    """
    with _standard_output() as stream:
        stream.flush()
        yield stream.buffer
        stream.buffer.flush()


def flush() -> None:
    """See off what was written to standard output; CannotWriteError when it cannot be."""
    if sys.stdout is not None:
        with _standard_output() as stream:
            stream.flush()


@contextmanager
def _standard_output() -> Iterator[TextIO]:
    if sys.stdout is None:
        raise CannotWriteError("cannot write to standard output: it is closed")
    try:
        yield sys.stdout
    except BrokenPipeError:
        raise  # the reader has seen enough, which is no fault
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise CannotWriteError(f"cannot write to standard output: {why}") from error
