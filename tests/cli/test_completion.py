"""Completion: a real shell takes the script and completes with it."""

from __future__ import annotations

import shutil
import subprocess
import sys

import pytest

from wicketlay.cli import main

SHELLS = ("bash", "zsh", "fish", "tcsh")

# What bash does when Tab is pressed after the last of some words.
PRESS_TAB = r"""
complete_last() {
    COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMPREPLY=() COMP_LINE="$*" COMP_POINT=${#COMP_LINE}
    function=$(complete -p wicketlay | sed 's/.*-F \([^ ]*\).*/\1/')
    "$function" wicketlay "${COMP_WORDS[COMP_CWORD]}" "${COMP_WORDS[COMP_CWORD - 1]}"
    printf '%s\n' "${COMPREPLY[@]}"
}
"""


@pytest.fixture
def script(tmp_path, capsys):
    """The script for a shell, as a file."""

    def write(shell: str):
        assert main(["completion", shell]) == 0
        path = tmp_path / f"completion.{shell}"
        path.write_text(capsys.readouterr().out, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("sh", {"sheet", "share"}),
        ("sheet --pa", {"--paper"}),
        ("sheet --paper ''", {"a4", "letter", "a5", "phone"}),
        ("sheet tu", {"tuesday.toml"}),
        ("check tuesday.toml t", {"tuesday.toml", "thursday.toml"}),
        ("review tuesday.toml --timing g", {"gates"}),
        ("completion z", {"zsh"}),
    ],
)
def test_bash_completes_commands_options_their_values_and_plans(script, tmp_path, typed, offered):
    path = script("bash")
    for name in ("tuesday.toml", "thursday.toml", "tuesday.pdf", "notes.txt"):
        (tmp_path / name).touch()
    done = subprocess.run(
        [
            "bash",
            "--norc",
            "-euc",
            f"source {path.name}\n{PRESS_TAB}\ncomplete_last wicketlay {typed}",
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert set(done.stdout.split()) == offered
    assert done.stderr == ""


@pytest.mark.parametrize("shell", SHELLS)
def test_the_script_of_each_shell_is_one_it_can_read(script, shell):
    path = script(shell)
    text = path.read_text(encoding="utf-8")
    assert all(command in text for command in ("sheet", "marks", "places", "athlete"))
    if shutil.which(shell) is not None:
        subprocess.run([shell, "-n", str(path)], check=True)


def test_a_shell_nobody_knows_is_told_with_those_there_are(capsys):
    assert main(["completion", "dash"]) == 2
    told = capsys.readouterr().err.replace("'", "")
    assert "invalid choice: dash" in told
    assert "(there are: bash, zsh, fish, tcsh, man); did you mean bash?" in told


def test_only_completion_imports_the_library_for_it():
    code = (
        "import sys\nfrom wicketlay.cli import main\n"
        "main(['--help'])\nmain(['sources'])\nassert 'shtab' not in sys.modules\n"
        "main(['completion', 'bash'])\nassert 'shtab' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)


def test_the_man_page_tells_every_command_and_option(capsys):
    from wicketlay.cli.arguments import _subcommands, make_parser

    assert main(["completion", "man"]) == 0
    page = capsys.readouterr().out
    assert page.startswith(".TH WICKETLAY 1")
    for name, command in _subcommands(make_parser()).items():
        assert f".SS {name}\n" in page
        for action in command._actions:
            for option in action.option_strings:
                assert option in {"-h", "--help"} or option.replace("-", "\\-") in page
    assert "%(" not in page


@pytest.mark.skipif(shutil.which("groff") is None, reason="no typesetter")
def test_the_man_page_is_set_without_a_complaint(capsysbinary):
    assert main(["completion", "man"]) == 0
    page = capsysbinary.readouterr().out
    done = subprocess.run(
        ["groff", "-man", "-Tutf8", "-ww"], input=page, capture_output=True, check=True
    )
    assert done.stderr == b""
    assert "A sound is a cue and not a command" in " ".join(done.stdout.decode().split())
