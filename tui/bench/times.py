"""The time of a run as it is typed, at the track and in a review alike."""

from __future__ import annotations

import re

from wicketlay.errors import DomainError
from wicketlay.log_file.typed import off_expected
from wicketlay.review.reviewed import far_off
from wicketlay.units import format_time

LEAST_S, MOST_S = 0.3, 60.0
_DIGITS = re.compile(r"[0-9]+\.?[0-9]*|\.[0-9]+")


def read_time(typed: str, expected_s: float | None) -> tuple[float, str]:
    """Return the time [s] that digits stand for, and why it is asked about, "" when it is not.

    Without a point the digits stand for the time nearest to the expected one: ``271`` is 2.71 s
    where 2.7 s is expected. More than 25 % off the expected time is asked about; where every
    reading of the digits is, they are read as a stopwatch shows them, the last two hundredths.

    Raises
    ------
    DomainError
        When they are no time of a run.
    """
    text = typed.replace(",", ".")
    if not _DIGITS.fullmatch(text):
        raise DomainError(f"{typed or 'nothing'} is no time; type it such as 2.71 or 271")
    if "." in text:
        read = [float(text)]
    else:
        read = [float(f"0{text[:at]}.{text[at:]}0") for at in range(len(text) + 1)]
        read = [each for each in read if LEAST_S <= each <= MOST_S] or [float(text)]
    aim = expected_s or min(read, key=lambda each: abs(each - 3.0))
    time_s = min(read, key=lambda each: max(each, aim) / max(min(each, aim), 1e-9))
    if expected_s is not None and len(read) > 1 and far_off(time_s, expected_s):
        shown_s = float(text) / 100.0
        time_s = shown_s if shown_s in read else time_s
    if not LEAST_S <= time_s <= MOST_S:
        message = f"{format_time(time_s)} is no time of a run; {LEAST_S:g} s to {MOST_S:g} s"
        raise DomainError(message)
    if expected_s is None:
        return time_s, "" if "." in text else "no time is expected here"
    return time_s, off_expected(time_s, expected_s)
