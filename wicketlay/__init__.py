"""Where to put wickets and other sprint-drill marks, and sheets to lay them out from."""

from __future__ import annotations

__version__ = "1.0.0"
