from __future__ import annotations

from pathlib import Path

import pytest

from studio.storage import paths as places


@pytest.fixture(autouse=True)
def _plain_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (places.SETTINGS_VARIABLE, places.STATE_VARIABLE):
        monkeypatch.delenv(name, raising=False)


def test_shipped_fonts_are_found_in_a_checkout() -> None:
    """Beside a package without data of its own the checkout's folder is used."""
    folder = places.shipped_folder("fonts")
    assert folder.is_dir()
    assert list(folder.glob("Pacifico/*.ttf"))


def test_an_installed_package_carries_its_own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Data inside the package win over a folder beside it."""
    inside = tmp_path / "studio" / "_data" / "fonts"
    inside.mkdir(parents=True)
    (tmp_path / "fonts").mkdir()
    monkeypatch.setattr(places, "files", lambda name: tmp_path / name)
    assert places.shipped_folder("fonts") == inside
    assert places.shipped_folder("assets") == tmp_path / "assets"


@pytest.mark.parametrize("value", ["", "   "])
def test_an_empty_variable_counts_as_unset(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, value: str) -> None:
    """An empty variable leaves the system's usual place."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv(places.SETTINGS_VARIABLE, value)
    monkeypatch.setenv(places.STATE_VARIABLE, value)
    assert places.user_settings_file() == tmp_path / "config" / "sapwood" / "sapwood.toml"
    assert places.state_folder() == tmp_path / "state" / "sapwood"
    assert places.draft_file().parent == places.state_folder()
    assert tmp_path / "state" in places.log_file().parents


def test_settings_variable_names_a_file_or_a_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The variable may hold the file or its folder, and ~ is the home folder."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv(places.SETTINGS_VARIABLE, "~/shop/our.toml")
    assert places.user_settings_file() == tmp_path / "shop" / "our.toml"
    assert places.user_settings_folder() == tmp_path / "shop"
    monkeypatch.setenv(places.SETTINGS_VARIABLE, str(tmp_path / "shop"))
    assert places.user_settings_file() == tmp_path / "shop" / "sapwood.toml"


def test_state_variable_moves_draft_and_log_together(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Draft and log both lie under the folder the variable names, made absolute."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(places.STATE_VARIABLE, "state")
    assert places.draft_file() == tmp_path / "state" / "draft.json"
    assert tmp_path / "state" in places.log_file().parents


def test_an_unknown_home_stays_as_typed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A ~ that names nobody is no crash."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(places.STATE_VARIABLE, "~nobody_of_this_name/state")
    assert places.state_folder() == tmp_path / "~nobody_of_this_name" / "state"


def test_asking_makes_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Naming a place does not create it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(places.STATE_VARIABLE, str(tmp_path / "state"))
    monkeypatch.setenv(places.SETTINGS_VARIABLE, str(tmp_path / "settings"))
    places.draft_file(), places.log_file(), places.user_settings_file()
    assert places.project_settings_file() == tmp_path / "sapwood.toml"
    assert list(tmp_path.iterdir()) == []
