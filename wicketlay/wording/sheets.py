"""Wording of what making the paper finds."""

from __future__ import annotations

from wicketlay.wording.base import Worded

WORDING: dict[str, Worded] = {
    "character-not-printable": Worded(
        text="{where} has a character that cannot be printed, {character}; it is shown as a box",
        remedy="write the name in Latin, Greek or Cyrillic letters",
    ),
}
