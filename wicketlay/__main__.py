"""``python -m wicketlay`` is the command ``wicketlay``."""

from __future__ import annotations

import sys

from wicketlay.cli import main

if __name__ == "__main__":
    sys.exit(main())
