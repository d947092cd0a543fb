"""Input that means harm: endless depth and length, paths that climb out, names that act."""

from __future__ import annotations

import csv
import io
import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wicketlay.cli import main
from wicketlay.errors import WicketlayError
from wicketlay.files.saving import fingerprint_of
from wicketlay.plan_file import PlanFileError, load

ROOT = Path(__file__).parents[2]
HEAD = 'format = 1\nkind = "plan"\ntitle = "T"\n'
ATHLETE = '\n[[athlete]]\nname = "A"\nheight = "1.7 m"\ntop_speed = "8 m/s"\n'
DRILL = '\n[drill]\nkind = "wicket-run"\nspeed = "95 %"\nwickets = 6\n'

HUGE = {
    "40 kB dotted key": "a." * 20_000 + "a = 1\n",
    "40 kB dotted header": "[" + "a." * 20_000 + "a]\n",
    "1 MB dotted key": "a." * 500_000 + "a = 1\n",
    "many dotted keys": "".join(f"a.b.c.d.e.f.g{i} = 1\n" for i in range(15_000)),
    "deep arrays": "a = " + "[" * 100_000 + "]" * 100_000 + "\n",
    "deep tables": "a = " + "{a = " * 100_000 + "1" + "}" * 100_000 + "\n",
    "deep arrays, never closed": "a = " + "[" * 500_000,
    "a long number": "a = " + "9" * 900_000 + "\n",
    "a number of 4300 digits": "a = " + "9" * 4300 + "\n",
    "a long hexadecimal number": "a = 0x" + "f" * 900_000 + "\n",
    "a long float": "a = 1." + "9" * 900_000 + "\n",
    "a long key": "a" * 900_000 + " = 1\n",
    "a long string": 'title2 = "' + "a" * 900_000 + '"\n',
    "a string never closed": 'a = """' + "a\n" * 19_000,
    "quotation marks": '"' * 900_000,
    "backslashes": 'a = "' + "\\\\" * 400_000 + '"\n',
    "escapes": 'a = "' + "\\u0041" * 150_000 + '"\n',
    "many keys": "".join(f"k{i} = 1\n" for i in range(19_000)),
    "many tables": "".join(f"[t{i}]\n" for i in range(19_000)),
    "many athletes": "[[athlete]]\n" * 19_000,
    "many runs": ATHLETE + "[[athlete.run]]\n" * 15_000,
    "a wide array": "athletes = [" + '"A", ' * 150_000 + "]\n",
    "a wide inline table": "a = {" + ", ".join(f"k{i} = 1" for i in range(60_000)) + "}\n",
    "comments": "#" * 1_000_000 + "\na = 1\n",
    "blanks": " " * 1_000_000 + "a = 1\n",
    "equals signs": "=" * 1_000_000,
    "commas": "a = [" + "," * 1_000_000,
}


QUICK = {
    "40 kB dotted key",
    "40 kB dotted header",
    "deep arrays",
    "deep tables",
    "a long number",
    "a long hexadecimal number",
    "a long string",
    "quotation marks",
    "many runs",
    "comments",
}
"""The cases that differ most; all of them are tried in the slow run."""


@pytest.mark.parametrize(
    "case", [case if case in QUICK else pytest.param(case, marks=pytest.mark.slow) for case in HUGE]
)
def test_endless_things_are_refused_at_once(tmp_path, case):
    path = tmp_path / "plan.toml"
    path.write_text(HEAD + HUGE[case] + DRILL + ATHLETE, encoding="utf-8")
    began = time.process_time()
    with pytest.raises(PlanFileError) as caught:
        load(path)
    assert time.process_time() - began < 3.0
    assert len(str(caught.value)) < 20_000


@pytest.mark.slow
@pytest.mark.parametrize("case", HUGE)
def test_endless_things_take_little_memory(tmp_path, case):
    path = tmp_path / "plan.toml"
    path.write_text(HEAD + HUGE[case] + DRILL + ATHLETE, encoding="utf-8")
    # The peak is the child's own: what the system accounts also counts the parent it forked from.
    code = (
        "import sys; from pathlib import Path; from wicketlay.cli import main\n"
        f"code = main(['check', {str(path)!r}])\n"
        "status = Path('/proc/self/status').read_text()\n"
        "print([line.split()[1] for line in status.splitlines() if 'VmHWM' in line][0])\n"
        "sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        cwd=ROOT,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (2**31, 2**31)),
    )
    assert done.returncode == 4
    assert b"Traceback" not in done.stderr
    assert int(done.stdout.split()[-1]) / 1024.0 < 250.0


# -- other files -----------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ['squad = "{}"\n', '[ground]\nfile = "{}"\n'])
@pytest.mark.parametrize(
    "name",
    [
        "../../outside.toml",
        "a/../../outside.toml",
        "./../outside.toml/../../x.toml",
        "/etc/outside.toml",
        "~/outside.toml",
        "//host/outside.toml",
        "C:/outside.toml",
        "..\\\\outside.toml",
        "file:///outside.toml",
        "/dev/zero",
        "/dev/stdin",
        "plan.txt",
        "",
        ".toml\\u0000.toml",
        "folder.toml",
        "pipe.toml",
        "circle.toml",
        "zero.toml",
        "nowhere.toml",
        "a" * 300 + ".toml",
    ],
)
def test_names_of_files_that_are_none_of_a_plans_are_refused(tmp_path, key, name):
    folder = tmp_path / "plans" / "here"
    folder.mkdir(parents=True)
    (tmp_path / "outside.toml").write_text('format = 1\nkind = "squad"\n' + ATHLETE)
    (folder / "folder.toml").mkdir()
    os.mkfifo(folder / "pipe.toml")
    (folder / "circle.toml").symlink_to("circle.toml")
    (folder / "zero.toml").symlink_to("/dev/zero")
    line = key.format(name)
    parts = (HEAD, line, DRILL) if line.startswith("squad") else (HEAD, DRILL, ATHLETE, line)
    path = folder / "plan.toml"
    path.write_text("".join(parts), encoding="utf-8")
    with pytest.raises(PlanFileError) as caught:
        load(path)
    assert not str(caught.value).count("there is no such file")


def test_a_plan_that_names_itself_is_refused(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(HEAD + 'squad = "plan.toml"\n' + DRILL, encoding="utf-8")
    with pytest.raises(PlanFileError, match='"plan" is not what is wanted here'):
        load(path)


def test_a_squad_that_names_another_is_refused(tmp_path):
    (tmp_path / "squad.toml").write_text('format = 1\nkind = "squad"\nsquad = "more.toml"\n')
    path = tmp_path / "plan.toml"
    path.write_text(HEAD + 'squad = "squad.toml"\n' + DRILL, encoding="utf-8")
    with pytest.raises(PlanFileError, match="is not a known key"):
        load(path)


# -- names that act --------------------------------------------------------------------------------

ACTING = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "=HYPERLINK(0)",
    "<b>bold</b>",
    "<img src=x.png/>",
    "&amp;",
    "[red]x[/red]",
    "{0}{athlete}",
    "%s%n",
    "$(reboot)",
    "`id`",
    "a;b,c",
    'say "x"',
    "a\\nb",
    "\\(x\\)",
    "(((",
    "../../x",
    "null",
    "__class__",
]


@pytest.mark.parametrize("name", ACTING)
def test_a_name_is_a_name_wherever_it_is_written(tmp_path, capsysbinary, name):
    path = tmp_path / "plan.toml"
    quoted = json.dumps(name, ensure_ascii=False)
    path.write_text(HEAD + DRILL + ATHLETE.replace('"A"', quoted), encoding="utf-8")
    assert main(["marks", str(path), "--format", "json"]) in {0, 3}
    document = json.loads(capsysbinary.readouterr().out)
    assert document["layings"][0]["athletes"] == [name]
    assert main(["marks", str(path), "--format", "csv"]) in {0, 3}
    rows = list(csv.reader(io.StringIO(capsysbinary.readouterr().out.decode())))
    cells = {cell for row in rows for cell in row if name in cell}
    assert cells
    # A spreadsheet takes what begins so for a formula.
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)


@pytest.mark.parametrize(
    "escape",
    ["\\u001b[31m", "\\u0007", "\\u202e", "\\u2066", "\\u0085", "\\u0000", "\\u200b", "\\n"],
)
def test_a_name_that_acts_on_a_terminal_is_refused_and_not_repeated(tmp_path, capsys, escape):
    path = tmp_path / "plan.toml"
    path.write_text(HEAD + DRILL + ATHLETE.replace('"A"', f'"A{escape}"'), encoding="utf-8")
    assert main(["check", str(path)]) == 4
    assert capsys.readouterr().err.replace("\n", "").isprintable()


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    values=st.lists(
        st.one_of(
            st.integers(),
            st.integers(-(10**400), 10**400),
            st.floats(),
            st.booleans(),
            st.text(max_size=30),
            st.from_regex(r"-?[0-9]{1,6}([.,][0-9]{1,4})? ?(m|cm|ft|in|s|min|%|m/s|steps/s)?"),
        ),
        min_size=4,
        max_size=4,
    )
)
def test_any_values_are_read_or_refused(tmp_path, values):
    texts = [
        json.dumps(value) if isinstance(value, str) else str(value).lower() for value in values
    ]
    height, speed, wickets, offset = texts
    path = tmp_path / "plan.toml"
    path.write_text(
        HEAD
        + f'\n[drill]\nkind = "wicket-run"\nspeed = {speed}\nwickets = {wickets}\n'
        + f'\n[[athlete]]\nname = "A"\nheight = {height}\n\n[place]\noffset = {offset}\n',
        encoding="utf-8",
    )
    told = ""
    try:
        load(path)
    except WicketlayError as error:
        told = str(error)
    assert told.replace("\n", "").isprintable() or not told


NAMED = st.sampled_from(
    ["plan.toml", "other.toml", "../other.toml", "/etc/hostname", "", ".", "plan.toml/x", "a\0b"]
)
JOURNALS = st.one_of(
    st.binary(max_size=200),
    st.recursive(
        st.none() | st.integers() | st.text(max_size=5),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
        max_leaves=10,
    ).map(lambda content: json.dumps(content).encode()),
    st.builds(
        lambda *parts: json.dumps(
            {"format": parts[0], "saving": [list(each) for each in parts[1]]}
        ).encode(),
        st.sampled_from([1, 2, "1"]),
        st.lists(
            st.tuples(
                st.sampled_from(["squad", "ground", "x"]),
                NAMED,
                st.sampled_from([fingerprint_of((HEAD + ATHLETE + DRILL).encode()), "", "x"]),
                st.text(max_size=9),
                st.sampled_from([".other.toml.0123abcd.new", "", "../x"]),
            ),
            max_size=4,
        ),
    ),
)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(journal=JOURNALS)
def test_no_journal_of_a_save_harms_a_plan_or_any_file_beside_it(tmp_path, journal):
    """A journal may come with a plan from anybody; it moves nothing and stops no reading."""
    text = HEAD + ATHLETE + DRILL
    files = {"plan.toml": text, "other.toml": text, ".other.toml.0123abcd.new": "theirs"}
    for name, content in files.items():
        (tmp_path / name).write_text(content, encoding="utf-8")
    (tmp_path / ".plan.toml.recover").write_bytes(journal)
    assert load(tmp_path / "plan.toml").title == "T"
    assert {name: (tmp_path / name).read_text(encoding="utf-8") for name in files} == files
