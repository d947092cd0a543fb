"""The shape of a wording, and of what it becomes."""

from __future__ import annotations

from wicketlay.values import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Worded:
    """Two templates: what is the matter, and what to do about it (may be empty)."""

    text: str
    remedy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """A finding in words: what is the matter, and what to do about it (may be empty)."""

    text: str
    remedy: str

    def __str__(self) -> str:
        """Return both as one line."""
        return f"{self.text}; {self.remedy}" if self.remedy else self.text
