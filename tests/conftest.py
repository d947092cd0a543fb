"""What every test may count on, whoever runs them and from where.

Random cases are the same ones on every run of CI, and new ones on a desk and at night. The signals
that end a program do so in the programs tests start, even when a shell started the tests in the
background, or with nohup, and had them ignored.
"""

from __future__ import annotations

import os
import signal

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("repeatable")

for _each in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
    if signal.getsignal(_each) is signal.SIG_IGN:
        signal.signal(_each, signal.SIG_DFL)
