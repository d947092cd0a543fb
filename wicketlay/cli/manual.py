"""The manual page, made from the parser: no command or option is told twice."""

from __future__ import annotations

import argparse

from wicketlay import __version__


def man_page(parser: argparse.ArgumentParser) -> str:
    """Return the page in the language of man(7)."""
    about, _, rest = " ".join((parser.description or "").split()).partition(". ")
    lines = [
        f'.TH WICKETLAY 1 "" "wicketlay {__version__}"',
        ".SH NAME",
        f"wicketlay \\- {_plain(about)}",
        ".SH SYNOPSIS",
        ".B wicketlay",
        "[COMMAND] [OPTIONS]",
        ".SH DESCRIPTION",
        _plain(rest),
        ".SH COMMANDS",
    ]
    for action in parser._actions:  # noqa: SLF001 - argparse has no other way to its own
        if isinstance(action, argparse._SubParsersAction):  # noqa: SLF001
            for name, command in action.choices.items():
                lines += _command(name, command)
    lines += [".SH EXAMPLES AND EXIT CODES", ".nf", _plain(parser.epilog or ""), ".fi"]
    return "\n".join(lines) + "\n"


def _command(name: str, command: argparse.ArgumentParser) -> list[str]:
    lines = [f".SS {name}", *_plain(command.description or "").splitlines()]
    # The metavar of a percentage is written for argparse, which fills it in.
    formatter = argparse.HelpFormatter(command.prog)
    for action in command._actions:  # noqa: SLF001
        if "--help" in action.option_strings:
            continue
        names = ", ".join(action.option_strings)
        value = "" if action.nargs == 0 else (action.metavar or "|".join(action.choices or ()))
        told = formatter._expand_help(action) if action.help else ""  # noqa: SLF001
        lines += [".TP", f".B {_plain(f'{names} {value}'.strip())}", _plain(told)]
    return lines


def _plain(text: str) -> str:
    """Return text that the typesetter takes as it is: no escapes, no requests, real hyphens."""
    text = text.replace("\\", "\\e").replace("-", "\\-").replace("%%", "%")
    return "\n".join(f"\\&{line}" if line[:1] in {".", "'"} else line for line in text.splitlines())
