"""Following simulated athletes over eight weekly practices: bias, honesty of the SD, calm of marks.

Each athlete's top speed was stated by a coach (2 % SD); each practice is three runs over a wicket
run of 2.6 s, all reviewed and accepted. Day-to-day spread 1 %, timing as the program assumes. The
effort is the one asked, and told, or spreads by 2 % from what was asked, and nobody tells.
"""

import math
import statistics
from datetime import date, timedelta

import numpy as np
import pytest

from wicketlay.running.estimates import Estimate
from wicketlay.running.followed import followed
from wicketlay.running.observed import Evidence
from wicketlay.sources import DEFAULTS

pytestmark = pytest.mark.slow

WEEKS = 8
SECTION_S = 2.6
RUNS = 3
ATHLETES = 1500
FIRST = date(2026, 3, 3)
ROWS = (
    ("gates, no gain, effort told", "gates", 0.0, 0.0),
    ("gates, no gain, effort 2 %", "gates", 0.0, 0.02),
    ("gates, 3 %, effort told", "gates", 0.03, 0.0),
    ("gates, 3 %, effort 2 %", "gates", 0.03, 0.02),
    ("hand, no gain, effort 2 %", "hand", 0.0, 0.02),
    ("hand, 3 %, effort 2 %", "hand", 0.03, 0.02),
)


def readings(rng, timing, gain, effort):
    """Return what eight practices read of one athlete, as shares of the true first top speed."""
    clock = {"gates": DEFAULTS.gate_sd_s, "hand": DEFAULTS.hand_sd_s}[timing]
    clock_sd = float(clock) / SECTION_S / math.sqrt(RUNS)
    effort_sd = effort or float(DEFAULTS.told_share_sd)
    found = []
    for week in range(1, WEEKS + 1):
        log = math.log1p(gain * week / WEEKS)
        log += rng.normal(0.0, 0.01) + rng.normal(0.0, clock_sd) + rng.normal(0.0, effort_sd)
        sd = math.hypot(clock_sd, float(DEFAULTS.between_day_speed_sd), effort_sd)
        found.append(
            Evidence(
                date=FIRST + timedelta(weeks=week),
                value=8.0 * math.exp(log),
                relative_sd=sd,
                effort_sd=effort_sd,
                effort_asked=effort > 0.0,
                over_marks=True,
            )
        )
    return found


def season(timing, gain, effort, *, athletes=ATHLETES, seed=7):
    """Return shares changed, bias told and laid, cover of one and two SD, weeks to half."""
    rng = np.random.default_rng(seed)
    changed, told, laid, one, two, half = 0, [], [], 0, 0, []
    for _ in range(athletes):
        stated = 8.0 * math.exp(rng.normal(0.0, 0.02))
        base = Estimate(value=stated, sd=0.02 * stated, basis="top speed given")
        days = readings(rng, timing, gain, effort)
        before, reached = stated, WEEKS + 1
        for week in range(1, WEEKS + 1):
            after = followed(base, days[:week], days[:week])
            changed += after.laid.value != before
            before = after.laid.value
            if gain and reached > WEEKS and before >= 8.0 * (1.0 + gain / 2.0):
                reached = week
        off = math.log(after.told.value / (8.0 * (1.0 + gain)))
        told.append(off)
        laid.append(math.log(after.laid.value / (8.0 * (1.0 + gain))))
        one += abs(off) <= after.told.relative_sd
        two += abs(off) <= 2.0 * after.told.relative_sd
        half.append(reached)
    return {
        "changed": changed / athletes / WEEKS,
        "told": statistics.fmean(told),
        "laid": statistics.fmean(laid),
        "one": one / athletes,
        "two": two / athletes,
        "half": statistics.median(half),
    }


@pytest.fixture(scope="module")
def table(request):
    found = {name: season(timing, gain, effort) for name, timing, gain, effort in ROWS}
    writer = request.config.get_terminal_writer()
    for name, row in found.items():
        writer.line(
            f"{name:30} changed {row['changed']:5.1%}  told {row['told']:+.2%}  laid "
            f"{row['laid']:+.2%}  one SD {row['one']:.0%}  two SD {row['two']:.0%}  half of the "
            f"gain {row['half']:.0f} weeks"
        )
    return found


@pytest.mark.parametrize("name", [row[0] for row in ROWS])
def test_the_stated_error_is_honest(table, name):
    assert 0.55 <= table[name]["one"] <= 0.80
    assert 0.92 <= table[name]["two"] <= 0.99


@pytest.mark.parametrize("name", [row[0] for row in ROWS if not row[2]])
def test_marks_stay_where_they_are_when_nothing_changes(table, name):
    assert table[name]["changed"] <= 0.08
    assert abs(table[name]["told"]) <= 0.003


def test_a_gain_of_three_percent_is_followed_to_within_six_tenths(table):
    row = table["gates, 3 %, effort told"]
    assert abs(row["told"]) <= 0.006
    assert abs(row["laid"]) <= 0.006
