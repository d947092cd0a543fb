"""The command line: data to standard output, messages to standard error, one exit code a cause."""

from __future__ import annotations

import sys
from contextlib import suppress
from typing import TYPE_CHECKING

from wicketlay.errors import UsageError, WicketlayError

if TYPE_CHECKING:
    from collections.abc import Sequence

FINE, CAUTIONS, USAGE, STOPS, BUG, INTERRUPTED = 0, 1, 2, 3, 70, 130


def main(argv: Sequence[str] | None = None) -> int:  # noqa: PLR0911 - one return a cause
    """Run one command and return its exit code.

    0 fine, 1 cautions with ``--strict``, 2 usage, 3 stop findings, 4 bad input file, 5 cannot
    write, 6 changed on disk, 70 a bug of ours, 130 interrupted.
    """
    from wicketlay.cli.arguments import parse

    try:
        arguments = parse(sys.argv[1:] if argv is None else argv)
        code: int = arguments.run(arguments)
        sys.stdout.flush()
    except UsageError as error:
        return _say(error, error.exit_code)
    except WicketlayError as error:
        return _say(error, error.exit_code)
    except BrokenPipeError:
        return _closed_pipe()
    except KeyboardInterrupt:
        return _say("interrupted; nothing half-written was left", INTERRUPTED)
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except Exception as bug:  # noqa: BLE001 - the last line of defence: a sentence, not a traceback
        kind = type(bug).__name__
        return _say(
            f"this is a bug in wicketlay ({kind}: {bug}); your files are as they were. "
            "Set WICKETLAY_DEBUG=1 to see where, and report it",
            BUG,
            bug,
        )
    return code


def _say(message: object, code: int, bug: BaseException | None = None) -> int:
    import os

    if bug is not None and os.environ.get("WICKETLAY_DEBUG"):
        raise bug
    with suppress(OSError):  # a closed pipe must not hide the message
        sys.stdout.flush()
    sys.stderr.write(f"wicketlay: {message}\n")
    return code


def _closed_pipe() -> int:
    """Leave quietly when the reader went away; Python must not flush into it again."""
    import os

    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)
    return FINE
