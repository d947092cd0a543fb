"""What was solved, as a table for people, CSV, a text message, or versioned JSON."""

from __future__ import annotations

from wicketlay.export.document import (
    SCHEMA_VERSION,
    as_json,
    document,
    findings_document,
    json_text,
    places_document,
    report,
    review_document,
    schema,
)
from wicketlay.export.message import as_text, zero_lines
from wicketlay.export.names import (
    closing_check,
    hurdles_left,
    mark_label,
    mark_name,
    move_text,
    moves_text,
    reading_of,
    signed_percent,
    told_of,
    unit_of,
)
from wicketlay.export.tables import as_csv, as_places, as_review, as_sharing, as_stages, as_table

__all__ = [
    "SCHEMA_VERSION",
    "as_csv",
    "as_json",
    "as_places",
    "as_review",
    "as_sharing",
    "as_stages",
    "as_table",
    "as_text",
    "closing_check",
    "document",
    "findings_document",
    "hurdles_left",
    "json_text",
    "mark_label",
    "mark_name",
    "move_text",
    "moves_text",
    "places_document",
    "reading_of",
    "report",
    "review_document",
    "schema",
    "signed_percent",
    "told_of",
    "unit_of",
    "zero_lines",
]
