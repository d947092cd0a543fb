import re

from ground_layouts import wicket_layout
from hypothesis import given, settings
from test_placing import layings

from wicketlay.ground import Track
from wicketlay.ground.placing import Place, place
from wicketlay.ground.tape import TapeLies, TapeSpec, tape_sheet
from wicketlay.units import UnitSystem
from wicketlay.wording import _catalogue, word
from wicketlay.wording.ground import WORDING

_FIELD = re.compile(r"\{(\w+)\}")


def _read(found):
    """Word a finding; every field its templates name must have a value."""
    worded = _catalogue()[found.code]
    have = {*found.values, "meant", "here"} | {
        k for k in ("mark", "lane") if getattr(found, k) is not None
    }
    assert {*_FIELD.findall(worded.text + worded.remedy)} <= have, found
    return word(found)


@settings(max_examples=150, deadline=None)
@given(laying=layings())
def test_every_finding_of_a_laying_has_all_that_its_wording_names(laying):
    layout, ground, where = laying
    placed = place(layout, ground, where, lane=where.lanes[0])
    tape = tape_sheet(placed, TapeSpec(zero="w99", length_m=4.0, lies=TapeLies.STRAIGHT))
    for found in (*placed.findings, *tape.findings):
        phrase = _read(found)
        assert phrase.text
        assert phrase.remedy


def test_a_start_behind_the_ground_reads_as_a_coach_would_say_it():
    where = Place(landmark="finish", mark="w1", offset_m=-99.0)
    (stop,) = place(wicket_layout(), Track(), where, lane=1).findings
    phrase = word(stop)
    assert phrase.text == "lane 1: START is 2.30 m behind the end of the surface"
    assert phrase.remedy == "slide everything 2.30 m forward"
    assert "7 ft" in word(stop, UnitSystem.FEET).text


def test_every_wording_says_what_and_what_to_do():
    assert WORDING
    for code in WORDING:
        worded = _catalogue()[code]
        assert worded.text[0].islower() or worded.text[0] == "{", code
        assert worded.remedy, code
