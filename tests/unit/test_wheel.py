from __future__ import annotations

import json
import os
import site
import subprocess
import sys
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
pytestmark = pytest.mark.slow


def built(folder: Path, kind: str) -> Path:
    """Build a wheel or an sdist of the project and return its path."""
    command = [sys.executable, "-m", "build", f"--{kind}", "--no-isolation", "--outdir", str(folder), str(PROJECT)]
    ended = subprocess.run(command, capture_output=True, text=True)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return next(folder.glob("*.whl" if kind == "wheel" else "*.tar.gz"))


def test_wheel_renders_a_sign_from_another_folder(tmp_path: Path) -> None:
    """The wheel, installed where the project is not, carries fonts, licences and artwork, and makes a sign."""
    wheel = built(tmp_path / "dist", "wheel")
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    assert "studio/_data/fonts/Pacifico/Pacifico-Regular.ttf" in names
    assert "studio/_data/fonts/Pacifico/OFL.txt" in names
    assert "studio/_data/assets/artwork/pine-ring.png" in names
    assert not any(name.startswith("tests/") for name in names)
    fresh = tmp_path / "fresh"
    venv.create(fresh, with_pip=False)
    python = fresh / "bin" / "python"
    installed = subprocess.run(
        [python, "-c", "import site; print(site.getsitepackages()[0])"], capture_output=True, text=True
    )
    packages = Path(installed.stdout.strip())
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(packages)
    # The libraries come from the running environment, as building them anew would only test the network.
    (packages / "libraries.pth").write_text("\n".join(site.getsitepackages()) + "\n")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "SAPWOOD_"))}
    program = "import sys, studio.__main__ as door; print(door.__file__, file=sys.stderr); sys.exit(door.main())"
    ended = subprocess.run(
        [python, "-c", program, "render", "Marlow & Tess", "--dpi", "72"],
        cwd=elsewhere,
        env=environment,
        capture_output=True,
        text=True,
    )
    assert ended.returncode == 0, ended.stderr
    assert str(packages) in ended.stderr
    report = json.loads((elsewhere / "marlow-tess-report.json").read_text(encoding="utf-8"))
    assert report["canvas"]["width_px"] == 771  # 272 mm at 72 dpi
    assert report["lettering"][0]["face"] == "Pacifico"


def test_sdist_holds_what_a_wheel_is_built_from(tmp_path: Path) -> None:
    """The source archive carries program, fonts, assets, demo and tests, and nothing of the working folder."""
    with tarfile.open(built(tmp_path, "sdist")) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    for needed in ("studio/__main__.py", "fonts/catalogue.toml", "assets/blanks.toml", "tests/run", "demo/run"):
        assert needed in names
    assert not any(name.startswith((".venv", ".git/", "demo/out")) for name in names)
