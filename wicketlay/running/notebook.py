"""What is found while a runner is made of facts, and the refusal when none can be made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wicketlay.declared import range_of
from wicketlay.errors import DomainError
from wicketlay.findings import Finding
from wicketlay.running.facts import Athlete
from wicketlay.running.observed import apart, combined
from wicketlay.sources import DISAGREE_SDS

if TYPE_CHECKING:
    from wicketlay.findings import Value
    from wicketlay.running.estimates import Estimate
    from wicketlay.running.observed import Evidence


class NotEnoughKnown(DomainError):  # noqa: N818 - it names the state of the record, not a fault
    """No runner can be made of the facts; `finding` says why, as a stop."""

    def __init__(self, finding: Finding) -> None:
        values = ", ".join(
            f"{key} {value:.4g}" if isinstance(value, float) else f"{key} {value}"
            for key, value in finding.values.items()
        )
        what = f"{finding.athlete or 'the athlete'}: {finding.code.replace('-', ' ')}"
        super().__init__(f"{what} ({values})" if values else what)
        self.finding = finding


class Notebook:
    """Findings and defaults gathered while a runner is made."""

    def __init__(self, athlete: Athlete) -> None:
        self.athlete = athlete
        self.findings: list[Finding] = []
        self.defaults: dict[str, Value] = {}

    def caution(self, code: str, /, **values: Value) -> None:
        """Write down a caution."""
        self.findings.append(Finding.caution(code, self.athlete.name, **values))

    def note(self, code: str, /, **values: Value) -> None:
        """Write down a note."""
        self.findings.append(Finding.note(code, self.athlete.name, **values))

    def stop(self, code: str, /, **values: Value) -> NotEnoughKnown:
        """Return the refusal to raise."""
        return NotEnoughKnown(Finding.stop(code, self.athlete.name, **values))

    def compare(self, code: str, unit: str, prior: Estimate, days: tuple[Evidence, ...]) -> None:
        """Report when the observed days together lie away from what was known before.

        `unit` is what the keys of both values end in.
        """
        if not days:
            return
        seen = combined(None, days, seen_as="")
        sds = apart(prior, seen)
        if sds > DISAGREE_SDS:
            self.caution(
                code,
                **{f"known_{unit}": prior.value, f"seen_{unit}": seen.value},
                days=len(days),
                told_on=f"{len(days)} day{'' if len(days) == 1 else 's'}",
                sds=f"{sds:.1f}",
            )


def refuse_impossible(top_mps: float, basis: str, book: Notebook) -> None:
    """Stop when a top speed [m/s] is faster than anyone or no run."""
    low, high = range_of(Athlete, "top_speed_mps")
    if top_mps > high:
        raise book.stop("faster-than-anyone", top_mps=top_mps, limit_mps=high, basis=basis)
    if top_mps < low:
        raise book.stop("slower-than-a-run", top_mps=top_mps, limit_mps=low, basis=basis)
