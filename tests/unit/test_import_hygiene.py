from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
HEAVY = {"numpy", "textual", "rich", "PIL", "scipy", "uharfbuzz", "freetype", "pathops", "fontTools", "isal"}


def loaded(code: str, folder: Path) -> set[str]:
    """Return which heavy packages a fresh interpreter has loaded after running some code."""
    program = f"import sys\n{code}\nprint('\\n'.join(sys.modules), file=sys.__stderr__)"
    ended = subprocess.run(
        [sys.executable, "-c", program], cwd=folder, env={"PYTHONPATH": str(PROJECT)}, capture_output=True, text=True
    )
    assert ended.returncode == 0, ended.stderr
    return {name.partition(".")[0] for name in ended.stderr.split()} & HEAVY


@pytest.mark.parametrize(
    "argv",
    [["--help"], ["render", "--help"], ["batch", "--help"], ["rendr"], ["render"], ["render", "x", "--fce", "y"]],
)
def test_help_and_typing_errors_load_nothing_heavy(argv: list[str], tmp_path: Path) -> None:
    """Help, and the answer to a slip on the command line, need neither arrays nor pictures nor the studio's toolkit."""
    code = f"import io\nfrom studio.__main__ import main\nsys.stderr = io.StringIO()\nmain({argv!r})"
    assert loaded(code, tmp_path) == set()


@pytest.mark.parametrize("module", ["studio.cli.render", "studio.cli.check", "studio.cli.preview", "studio.cli.batch"])
def test_commands_do_not_load_the_studio(module: str, tmp_path: Path) -> None:
    """No command loads the studio's toolkit, which takes longer than fitting a sign."""
    assert not loaded(f"import {module}", tmp_path) & {"textual", "rich"}


def test_the_options_table_is_light(tmp_path: Path) -> None:
    """The table of options imports nothing but the standard library."""
    assert loaded("import studio.model.options", tmp_path) == set()
