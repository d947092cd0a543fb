"""What was solved, as a table for people, CSV, a text message, or versioned JSON."""

from __future__ import annotations

from wicketlay.export.document import (
    as_json,
    document,
    findings_document,
    json_text,
    places_document,
    reading_of,
    report,
    review_document,
    schema,
)
from wicketlay.export.message import as_text
from wicketlay.export.tables import as_csv, as_places, as_review, as_sharing, as_stages, as_table

__all__ = [
    "as_csv",
    "as_json",
    "as_places",
    "as_review",
    "as_sharing",
    "as_stages",
    "as_table",
    "as_text",
    "document",
    "findings_document",
    "json_text",
    "places_document",
    "reading_of",
    "report",
    "review_document",
    "schema",
]
