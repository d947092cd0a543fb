"""Two looks, for shade and for sun. Neither tells anything by colour alone."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="wicketlay-dark",
    primary="#8fb8de",
    secondary="#6f8fa8",
    accent="#ffd166",
    warning="#ffb347",
    error="#ff7b72",
    success="#9ad19a",
    foreground="#f2f2ec",
    background="#101418",
    surface="#181e24",
    panel="#222b33",
    dark=True,
    variables={
        "bench-mark": "#ffd166",
        "bench-run": "#8fb8de",
        "bench-faint": "#93a1ad",
        "bench-rule": "#3a4651",
    },
)
LIGHT = Theme(
    name="wicketlay-light",
    primary="#1b4f7a",
    secondary="#44617a",
    accent="#8a4b00",
    warning="#8a4b00",
    error="#b00020",
    success="#1f6b2d",
    foreground="#101010",
    background="#ffffff",
    surface="#f4f4ef",
    panel="#e4e4dc",
    dark=False,
    variables={
        "bench-mark": "#8a3b00",
        "bench-run": "#1b4f7a",
        "bench-faint": "#545b61",
        "bench-rule": "#b7b7ae",
    },
)
THEMES = (DARK, LIGHT)
