"""How many small faults in the computation the tests would notice.

python -m tests.mutations                     running and drills; a night
python -m tests.mutations running             one room
python -m tests.mutations running.gait        one module
python -m tests.mutations --jobs 2 --afresh   on two processors, forgetting earlier runs

Each module is changed in one place at a time (a sign, a comparison, a number one more or one less)
and the tests of its room are run against it, those named after the module first. A mutant no test
notices has survived: either a test is missing or the change makes no difference, and then
`explained.toml` says why. Verdicts are kept in `.mutations/`: while a module stays as it is, a
mutant once killed is not run again, so that after writing a test only survivors are.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.mutations.explained import Explained, explanations
from tests.mutations.mutants import Change, Mutant, change_of, mutants_of
from tests.mutations.trial import Verdict, copied_house, warm_up, watched

ROOT = Path(__file__).parents[2]
STATE = ROOT / ".mutations"
ROOMS = ("running", "drills")


def main() -> int:
    """Run what was asked for and print the table; 1 when a mutant survived unexplained."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("which", nargs="*", metavar="ROOM[.MODULE]", default=list(ROOMS))
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--afresh", action="store_true", help="forget verdicts of earlier runs")
    asked = parser.parse_args()
    left = 0
    for which in asked.which:
        room, _, module = which.partition(".")
        if room not in ROOMS or (module and not _source(ROOT, room, module).is_file()):
            parser.error(f"there is no {which!r} to mutate; rooms are {', '.join(ROOMS)}")
        left += _run(room, module, jobs=asked.jobs, afresh=asked.afresh)
    return 1 if left else 0


def _source(house: Path, room: str, module: str) -> Path:
    return house / "wicketlay" / room / f"{module}.py"


def _run(room: str, module: str, *, jobs: int, afresh: bool) -> int:
    """Try every mutant of a room or of one module; return how many survived unexplained."""
    STATE.mkdir(exist_ok=True)
    kept = STATE / f"{room}.json"
    known: dict[str, str] = {}
    if kept.is_file() and not afresh:
        known = json.loads(kept.read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory(prefix="mutations-") as folder:
        house = copied_house(ROOT, Path(folder))
        paths = sorted((house / "wicketlay" / room).glob("*.py"))
        mutants = [m for p in paths if module in ("", p.stem) for m in mutants_of(p)]
        # what was found of a module as it no longer is says nothing
        current, tried = {m.key for m in mutants}, {m.module for m in mutants}
        known = {k: v for k, v in known.items() if k in current or k.split(":")[0] not in tried}
        verdicts = {
            m: Verdict(known[m.key])
            for m in mutants
            if known.get(m.key, Verdict.SURVIVED) != Verdict.SURVIVED
        }
        todo = [m for m in mutants if m not in verdicts]
        warm_up(house, room)
        began, told = time.monotonic(), time.monotonic()
        for mutant, verdict in watched(house, room, todo, jobs=jobs):
            verdicts[mutant] = verdict
            known[mutant.key] = verdict
            if time.monotonic() - told > 30.0:
                told = time.monotonic()
                kept.write_text(json.dumps(known), encoding="utf-8")
                sys.stderr.write(f"{room}: {len(verdicts)} of {len(mutants)}\n")
        kept.write_text(json.dumps(known), encoding="utf-8")
        survivors = {
            m: change_of(_source(house, room, m.module).read_text(encoding="utf-8"), m)
            for m, verdict in verdicts.items()
            if verdict is Verdict.SURVIVED
        }
    sys.stderr.write(f"{room}: {len(todo)} tried in {time.monotonic() - began:.0f} s\n")
    return _tell(room, verdicts, survivors, explanations(room))


def _tell(
    room: str,
    verdicts: dict[Mutant, Verdict],
    survivors: dict[Mutant, Change],
    reasons: list[Explained],
) -> int:
    """Print the table and the survivors without a reason; return how many these are."""
    unexplained = sorted(c for c in survivors.values() if not any(r.covers(c) for r in reasons))
    counts: dict[str, Counter[str]] = {}
    for mutant, verdict in verdicts.items():
        counts.setdefault(mutant.module, Counter())[verdict] += 1
    total: Counter[str] = sum(counts.values(), Counter())
    head = f"{room:<16}{'mutants':>8}{'killed':>8}{'timeouts':>9}{'survived':>9}{'explained':>10}"
    lines = [head]
    for name, count in [*sorted(counts.items()), ("all", total)]:
        made = count.total() - count[Verdict.SAME]
        mine = [c for c in survivors.values() if name in (c.module, "all")]
        told = sum(any(r.covers(c) for r in reasons) for c in mine)
        lines.append(
            f"{name:<16}{made:>8}{count[Verdict.KILLED]:>8}{count[Verdict.TIMEOUT]:>9}"
            f"{len(mine):>9}{told:>10}"
        )
    sys.stdout.write("\n".join(lines) + "\n")
    for change in unexplained:
        sys.stdout.write(
            f"\n{change.module}.py:{change.line} in {change.function or 'the module'}\n"
            f"  - {change.was}\n  + {change.now}\n"
        )
    return len(unexplained)


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    sys.exit(main())
