"""A sheet tells what concerns its own lane and wave, and the plan as a whole."""

from dataclasses import replace
from pathlib import Path

from wicketlay.findings import Finding, Level
from wicketlay.plan_file import load
from wicketlay.sheets.page.layout import paper_named
from wicketlay.sheets.setting import Setting, findings_of, series_of
from wicketlay.solve import solve
from wicketlay.units import UnitSystem

LAYOUTS = Path(__file__).parents[2] / "layouts"


def _about(wave):
    return Finding(
        level=Level.CAUTION,
        code="bag-too-small-for-lanes",
        wave=wave,
        values={"needed": 20, "lanes": 2, "bag": 14, "dealt": "7 on lane 4, 7 on lane 5"},
    )


def test_a_caution_of_one_wave_is_not_told_on_another():
    solved = solve(load(LAYOUTS / "shared-lanes.toml"))
    told = replace(solved, findings=(_about(1), _about(2), _about(None)))
    paper, unit = paper_named("a4"), UnitSystem.METRIC
    series = series_of(told)
    for laying in told.layings:
        setting = Setting(solved=told, series=series, laying=laying, paper=paper, unit=unit)
        waves = {f.wave for f in findings_of(setting) if f.code == "bag-too-small-for-lanes"}
        assert waves == {laying.wave, None}
