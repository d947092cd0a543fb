"""Files with other bytes than expected: refused with a line and a remedy, or kept as they are."""

from __future__ import annotations

import pytest
from fault_plans import PLAN, SQUAD, write_plan

from wicketlay.cli import main

UNFIT = {
    "nothing": (b"", 'has no "format"; begin the file with format = 1'),
    "blanks": (b"\n\n \n", 'has no "format"; begin the file with format = 1'),
    "NUL": (PLAN.replace("# the", "\0 the").encode(), "line 1: holds the control character U+0000"),
    "NULs": (b"\0" * 4096, "line 1: holds the control character U+0000"),
    "UTF-16": (PLAN.encode("utf-16"), "line 1: byte 0xff is not UTF-8; save the file as UTF-8"),
    "UTF-16 BE": (PLAN.encode("utf-16-be"), "line 1: holds the control character U+0000"),
    "Latin-1": (
        PLAN.replace("Number -1", "Nürnberg").encode("latin-1"),
        "line 4: byte 0xfc is not UTF-8; save the file as UTF-8",
    ),
    "lone CR": (
        PLAN.replace("\n", "\r").encode(),
        "line 1: holds the control character U+000D; take it out",
    ),
    "one CR": (
        PLAN.replace("# of top", "# of\rtop").encode(),
        "line 9: holds the control character U+000D; take it out",
    ),
    "too large": (b"#" * (1024 * 1024 + 1), "is larger than 1 MiB"),
    "too many lines": (b"\n" * 20_001, "has 20001 lines; keep a file to 20000 lines"),
    "cut off": (PLAN.encode()[:-30], "is not valid TOML"),
    "a PDF": (
        b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n",
        "this is a PDF; give the plan it was made from (.toml)",
    ),
    "a zip": (b"PK\x03\x04\x14\x00\x00\x00", "line 1: holds the control character U+0003"),
}


@pytest.mark.parametrize("which", ["plan.toml", "squad.toml"])
@pytest.mark.parametrize("case", UNFIT)
def test_a_file_of_other_bytes_is_refused_with_its_name(tmp_path, capsys, which, case):
    path = write_plan(tmp_path)
    data, told = UNFIT[case]
    (tmp_path / which).write_bytes(data)
    assert main(["marks", str(path)]) == 4
    err = capsys.readouterr().err
    assert f"{tmp_path / which}" in err
    assert told in err


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"], ids=["plain", "BOM"])
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_a_record_is_written_in_the_line_ends_and_with_the_mark_the_squad_has(
    tmp_path, capsys, bom, end
):
    path = write_plan(tmp_path)
    squad = tmp_path / "squad.toml"
    before = bom + SQUAD.replace("\n", end).encode()
    squad.write_bytes(before)
    arguments = ["--athlete", "Wren", "--time", "2.3s", "--timing", "gates"]
    assert main(["review", str(path), *arguments, "--date", "2026-03-04", "--accept"]) == 0
    after = squad.read_bytes()
    assert b"2026-03-04" in after
    assert after.startswith(bom)
    assert after.count(b"\r") == (after.count(b"\n") if end == "\r\n" else 0)
    # Every line of before is still there, in order.
    lines = iter(after.split(b"\n"))
    assert all(line in lines for line in before.split(b"\n"))
