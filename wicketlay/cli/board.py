"""The review of misses at the board: what they tell, writing them down, taking the slide."""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING

from wicketlay.cli.options import day_of_runs, saved_text
from wicketlay.cli.output import put_data, put_text, say
from wicketlay.errors import DomainError, UsageError

if TYPE_CHECKING:
    import argparse

    from wicketlay.plan import Plan
    from wicketlay.plan_file import PlanFile
    from wicketlay.running.facts import BoardMisses


def review_board(arguments: argparse.Namespace, plan: Plan, opened: PlanFile | None) -> None:
    """Say by how much to slide all marks; with ``--accept`` write the misses, take the slide.

    Nothing is written unless both can be.
    """
    from wicketlay.board_misses import SLIDE, slide_taken, slide_told, with_misses
    from wicketlay.export import json_text
    from wicketlay.export.progress import board_document, board_text
    from wicketlay.reviewing import board_days_in
    from wicketlay.wording import word
    from wicketlay.wording.solved import unit_of

    who = arguments.athlete
    if who is None:
        raise UsageError("whose misses are they? give --athlete NAME")
    if arguments.format == "csv":
        raise UsageError("misses have no CSV; give --format table, text or json")
    changed = plan
    try:
        if arguments.misses is not None:
            changed = with_misses(plan, who, _told(arguments, plan))
        told = slide_told(changed, who)
        slid = slide_taken(changed, who) if arguments.slide else changed
    except DomainError as error:
        raise UsageError(f"{error}; nothing was written") from error
    if told is None:
        raise UsageError(f"no miss of {who} at the board is known; --misses tells them")
    unit = unit_of(plan)
    if arguments.format == "json":
        put_data(json_text(board_document(board_days_in(changed, who), told, unit)))
    else:
        put_text(board_text(board_days_in(changed, who), told, unit))
    more = told.code.startswith(SLIDE) and not arguments.slide
    if opened is None or not arguments.accept:
        would = ["writes the misses to the athlete's record"] if changed is not plan else []
        would += ["slides all marks"] if slid is not changed else []
        also = "; with --slide it also slides all marks" if more else ""
        say(f"nothing was written; --accept {' and '.join(would)}{also}")
        return
    saved = opened.save(slid)
    wrote = [f"misses written to the record of {who}"] if changed is not plan else []
    wrote += ["all marks slid"] if slid is not changed else []
    say(f"{', '.join(wrote)}; {saved_text(saved)}")
    if more:
        say(f"{word(told, unit)}; {slide_command(arguments.plan, who)}")


def slide_command(plan: str, who: str) -> str:
    """Return what takes the slide that an athlete's misses ask for."""
    return shlex.join(["wicketlay", "review", plan, "--athlete", who, "--slide", "--accept"])


def _told(arguments: argparse.Namespace, plan: Plan) -> BoardMisses:
    """Return the misses that were typed, under the slide that stands."""
    from wicketlay.board_misses import slide_of
    from wicketlay.keys.codecs import UnfitError
    from wicketlay.keys.codecs.special import typed_miss
    from wicketlay.keys.typed import words
    from wicketlay.running.facts import BoardMisses
    from wicketlay.wording.names import small_unit
    from wicketlay.wording.solved import unit_of

    day = day_of_runs(arguments, plan)
    misses = []
    small, _ = small_unit(unit_of(plan))
    for text in arguments.misses.split(","):
        try:
            misses.append(typed_miss(text, small))
        except UnfitError as error:
            raise UsageError(f"--misses: {words(error)}") from error
    try:
        return BoardMisses(
            date=day, misses_m=tuple(misses), slide_m=slide_of(plan, arguments.athlete)
        )
    except DomainError as error:
        raise UsageError(str(error)) from error
