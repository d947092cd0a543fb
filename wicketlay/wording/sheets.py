"""Wording of what making the paper finds."""

from __future__ import annotations

from wicketlay.wording.base import Worded

WORDING: dict[str, Worded] = {
    "character-not-printable": Worded(
        text='{where} "{text}" has characters that cannot be printed: {characters}; each is shown '
        "as a box",
        remedy="write it in Latin, Greek or Cyrillic letters",
    ),
}
