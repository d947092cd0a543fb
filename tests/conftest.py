"""Random cases are the same ones on every run of CI, and new ones on a desk and at night."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("repeatable")
