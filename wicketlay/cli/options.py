"""What options say, read as the keys of a plan are."""

from __future__ import annotations

import datetime as dt
import re
from typing import TYPE_CHECKING, Any

from wicketlay.errors import UsageError

if TYPE_CHECKING:
    import argparse
    from datetime import date

    from wicketlay.plan import Plan
    from wicketlay.plan_file import PlanFile


def time_of(text: str) -> float:
    """Return a time [s] of ``--time``; a bare number is seconds."""
    from wicketlay.errors import QuantityError
    from wicketlay.units import parse_duration

    try:
        return parse_duration(f"{text} s" if re.fullmatch(r"\d+([.,]\d+)?", text) else text)
    except QuantityError as error:
        raise UsageError(f"--time: {error}") from error


def of_run(option: str, key: str, text: str, example: str) -> Any:  # noqa: ANN401 - as declared
    """Return what an option holds, read as that key of a run; None for an empty one."""
    from wicketlay.declared import keys_of
    from wicketlay.keys.codecs import codec_of
    from wicketlay.keys.typed import FieldError, from_text
    from wicketlay.running.facts import Observation

    if not text:
        return None
    try:
        return from_text(codec_of(keys_of(Observation)[key]), text, example=example)
    except FieldError as error:
        raise UsageError(f"{option} {error}") from error


def day_of(text: str) -> date:
    """Return the day of ``--date``."""
    from wicketlay.keys.codecs import Date, UnfitError
    from wicketlay.keys.problems import one_line

    try:
        return Date().read(text)
    except UnfitError as error:
        remedy = error.remedy or "write a day as 2026-03-04"
        told = one_line(error.message, error.allowed, error.nearest, remedy)
        raise UsageError(f"--date {told}") from error


def athlete_of(plan: Plan, written: str, option: str = "--athlete") -> str:
    """Return the athlete of a plan that is meant, told as in a table of times."""
    from wicketlay.keys.codecs import UnfitError
    from wicketlay.keys.problems import one_line
    from wicketlay.log_file.typed import Names

    try:
        return Names(each.name for each in plan.athletes).found(written)
    except UnfitError as error:
        told = one_line(error.message, error.allowed, error.nearest, error.remedy)
        raise UsageError(f"{option}: {told}") from error


def day_of_runs(arguments: argparse.Namespace, plan: Plan) -> date:
    """Return the day of the runs that are told: ``--date``, the plan's, or today."""
    from wicketlay import reviewing

    today = dt.date.today()
    day = day_of(arguments.date) if arguments.date else reviewing.day_of_runs(plan, today)
    if day > today:
        raise UsageError(f"{day} is a day to come; give the day of the runs")
    return day


def saved_text(saved: PlanFile) -> str:
    """Return that a plan is saved, with its squad where that is a file."""
    return f"{saved.path}{' and its squad are' if 'squad' in saved.paths else ' is'} saved"
