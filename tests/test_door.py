"""The door: the wheel alone, in an empty folder with an empty home, does the whole job."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

pytestmark = pytest.mark.slow


def run(*argv: str | Path, cwd: Path, home: Path) -> subprocess.CompletedProcess[str]:
    kept = {name: os.environ[name] for name in ("PATH", "SSL_CERT_FILE") if name in os.environ}
    kept |= {n: v for n, v in os.environ.items() if n.startswith(("PIP_", "HTTP", "http", "no_"))}
    return subprocess.run(
        [str(word) for word in argv],
        cwd=cwd,
        env={**kept, "HOME": str(home)},
        capture_output=True,
        text=True,
        check=True,
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(
        sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder, ROOT,
        cwd=folder, home=folder,
    )  # fmt: skip
    (built,) = folder.glob("wicketlay-*.whl")
    return built


def test_the_wheel_carries_code_and_data_and_nothing_else(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    assert {name.split("/")[0] for name in names if ".dist-info" not in name} == {
        "wicketlay",
        "tui",
    }
    for needed in (
        "wicketlay/schema/solved.v1.schema.json",
        "wicketlay/starter/starter.toml",
        "wicketlay/starter/layouts/tuesday-wickets.toml",
        "wicketlay/starter/layouts/harbour-track.toml",
        "wicketlay/py.typed",
        "wicketlay/sheets/page/draw.py",
    ):
        assert needed in names
    assert any(name.endswith(".tcss") for name in names)
    assert not [name for name in names if name.endswith((".ttf", ".otf", ".pyc"))]


def test_installed_alone_it_prints_a_first_plan(wheel, tmp_path):
    home, folder = tmp_path / "home", tmp_path / "empty"
    home.mkdir()
    folder.mkdir()
    run(sys.executable, "-m", "venv", tmp_path / "venv", cwd=folder, home=home)
    python = tmp_path / "venv" / "bin" / "python"
    run(python, "-m", "pip", "install", "-q", wheel, cwd=folder, home=home)
    command = tmp_path / "venv" / "bin" / "wicketlay"
    run(command, "new", "mine.toml", cwd=folder, home=home)
    run(command, "sheet", "mine.toml", cwd=folder, home=home)
    assert (folder / "mine.pdf").read_bytes().startswith(b"%PDF")
    assert sorted(path.name for path in folder.iterdir()) == ["mine.pdf", "mine.toml"]
    assert "complete" in run(command, "completion", "bash", cwd=folder, home=home).stdout
    # The README's first screen: the example's sheets, and marks from a height and a cadence.
    run(command, "new", "tuesday-wickets.toml", "--like", "tuesday-wickets", cwd=folder, home=home)
    run(command, "sheet", "tuesday-wickets.toml", cwd=folder, home=home)
    assert (folder / "tuesday-wickets.pdf").read_bytes().startswith(b"%PDF")
    readme = (ROOT / "README.md").read_text("utf-8")
    quick = re.search(r"```console\n\$ wicketlay (quick [^\n]+)\n(.*?)```", readme, re.DOTALL)
    told = run(command, *quick[1].split(), "-o", "q.pdf", "--save", "q.toml", cwd=folder, home=home)
    assert (folder / "q.pdf").read_bytes().startswith(b"%PDF")
    assert told.stdout == ""
    marks = run(command, "marks", "q.toml", cwd=folder, home=home).stdout
    assert marks == run(command, *quick[1].split(), cwd=folder, home=home).stdout == quick[2]
    imports = "import tui; from wicketlay.export import schema; print(schema()['title'])"
    done = run(python, "-c", imports, cwd=folder, home=home)
    assert "wicketlay" in done.stdout
