"""The plan a newcomer starts from."""

from __future__ import annotations

from importlib import resources


def starter_text() -> str:
    """Return the commented starter plan as TOML."""
    return resources.files(__name__).joinpath("starter.toml").read_text("utf-8")
