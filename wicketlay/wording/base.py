"""The shape of a wording, and how the values of a finding become text."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Worded:
    """Two templates: what is the matter, and what to do about it (may be empty)."""

    text: str
    remedy: str = ""
