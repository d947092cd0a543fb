"""Text that survives any terminal: messages to standard error, data to standard output."""

from __future__ import annotations

import sys


def say(text: str) -> None:
    """Write a message for people to standard error, after what is already on its way out."""
    sys.stdout.flush()
    sys.stderr.write(f"{text}\n")


def put_text(text: str) -> None:
    """Write text for people to standard output; what the terminal cannot show becomes `?`."""
    encoding = sys.stdout.encoding or "utf-8"
    sys.stdout.write(text.encode(encoding, errors="replace").decode(encoding))


def put_data(text: str) -> None:
    """Write data for programs to standard output, always UTF-8."""
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode("utf-8"))
    sys.stdout.buffer.flush()
