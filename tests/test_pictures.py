"""The pictures of the README are those of the present output."""

from __future__ import annotations

import os

import pytest

from tests.pictures import PICTURES, ROOT, main, pictures

NAMES = ("tape-sheet.svg", "workbench.svg")


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_shows_the_present_output(name):
    if os.environ.get("WICKETLAY_REWRITE"):
        main()
    assert (PICTURES / name).read_text(encoding="utf-8") == pictures()[name]
    assert (PICTURES / name).stat().st_size < 100_000
    assert f"layouts/pictures/{name}" in (ROOT / "README.md").read_text(encoding="utf-8")
