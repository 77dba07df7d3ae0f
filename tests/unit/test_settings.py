from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from studio.basics.errors import SettingsError
from studio.storage.settings import KnownKeys, Settings, gather_settings, merged, read_settings

KNOWN = KnownKeys(
    sign=frozenset({"blank", "max-cap", "sweep", "fallback", "hole", "also", "face"}),
    blanks=frozenset({"shape", "holes", "margin"}),
    surfaces=frozenset({"spread", "base-color"}),
    keys=frozenset({"flip", "export"}),
)
FULL = """
[sign]
blank = "oval:300mmx200mm"
max-cap = "30mm"
sweep = 180
fallback = false
hole = ["0mm,110mm,8mm", "0mm,-110mm,8mm"]

[blanks.paddle]
shape = "rect:12inx6in"
[surfaces."lake white"]
spread = "0.2mm"
base_color = "#fefefe"
[keys]
flip = "f6"
"""


def saved(folder: Path, text: str) -> Path:
    """Write a settings file and return its path."""
    file = folder / "sapwood.toml"
    file.write_text(text, encoding="utf-8")
    return file


def pairs(found: Settings) -> dict[str, str]:
    """Return the sign options by name."""
    return {setting.name: setting.value for setting in found.sign}


def test_every_table_is_read_as_cells(tmp_path: Path) -> None:
    """Numbers, truth and lists become the text a CSV cell would hold, under names with underscores."""
    file = saved(tmp_path, FULL)
    found = read_settings(file, KNOWN)
    assert pairs(found) == {
        "blank": "oval:300mmx200mm",
        "max_cap": "30mm",
        "sweep": "180",
        "fallback": "no",
        "hole": "0mm,110mm,8mm\n0mm,-110mm,8mm",
    }
    assert [(entry.name, entry.settings[0].value) for entry in found.blanks] == [("paddle", "rect:12inx6in")]
    surface = found.surfaces[0]
    assert (surface.name, [setting.name for setting in surface.settings]) == ("lake white", ["base_color", "spread"])
    assert [(setting.name, setting.value) for setting in found.keys] == [("flip", "f6")]
    assert {setting.file for setting in found.sign} == {file}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[sign]\nfaec = 'x'\n", r"line 2: 'faec' is not known as a key of \[sign\]; did you mean 'face'\?"),
        ("[sign]\nmax_kap = '3mm'\n", "did you mean 'max-cap'"),
        ("[sings]\nface = 'x'\n", "did you mean 'sign'"),
        ("face = 'x'\n", r"'face' stands outside its table; put it below a line \[sign\]"),
        (
            "zzz = 'x'\n",
            "'zzz' is not known as a table; known are blanks, keys, lists, papers, press, printer",
        ),
        ("[blanks.paddle]\nform = 'x'\n", r"'form' is not known as a key of \[blanks.paddle\]"),
        ("[surfaces.x]\nspred = 'x'\n", "did you mean 'spread'"),
        ("[keys]\nfilp = 'f6'\n", "did you mean 'flip'"),
        ("[sign]\nface = 2026-01-01\n", "'face' in .* is a date"),
        ("[sign.face]\nname = 'x'\n", "'face' in .* is a table"),
        ("[sign]\nhole = [['x']]\n", "is a list"),
        ("[sign]\nmax-cap='1mm'\nmax_cap='2mm'\n", "stands twice"),
        ("sign = 3\n", "must be a table"),
        ("blanks = 'x'\n", r"must be a table, such as \[blanks.name\]"),
        ("[blanks]\npaddle = 'x'\n", r"\[blanks.paddle\] must be a table"),
        ("[sign\n", "not valid TOML.*line 1"),
        ("[sign]\nsweep = " + "9" * 4000 + "\n", "sweep|TOML"),
        ("x = " + "[" * 3000 + "\n", "not valid TOML"),
    ],
)
def test_each_mistake_is_named_by_file_and_key(tmp_path: Path, text: str, says: str) -> None:
    """A mistake names the file, the key and what was probably meant."""
    file = saved(tmp_path, text)
    with pytest.raises(SettingsError, match=says) as caught:
        read_settings(file, KNOWN)
    assert str(file) in caught.value.message
    assert caught.value.advice


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    """Two mistakes in one file are told in one message."""
    file = saved(tmp_path, "[sign]\nfaec = 'x'\nblnak = 'y'\n")
    with pytest.raises(SettingsError, match=r"(?s)blnak.*faec"):
        read_settings(file, KNOWN)


def test_files_that_are_no_settings_are_refused(tmp_path: Path) -> None:
    """A folder, a huge file and a file in another encoding are refused with their names."""
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "huge.toml").write_bytes(b"#" * 1_000_001)
    (tmp_path / "western.toml").write_bytes(b"[sign]\nface = 'Zo\xeb'\n")
    for name, says in (("folder", "is a folder"), ("huge", "over 1 MB|at most 1 MB"), ("western", "line 2: not UTF-8")):
        with pytest.raises(SettingsError, match=says):
            read_settings(tmp_path / f"{name}.toml", KNOWN)


def test_a_mark_at_the_front_does_no_harm(tmp_path: Path) -> None:
    """A byte order mark, which some editors write, is dropped."""
    assert pairs(read_settings(saved(tmp_path, "\ufeff[sign]\nface = 'x'\n"), KNOWN)) == {"face": "x"}


def test_the_folder_wins_over_the_user(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both files count, and where both say something the working folder's does."""
    user, folder = tmp_path / "user", tmp_path / "work"
    user.mkdir(), folder.mkdir()
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(user))
    monkeypatch.chdir(folder)
    assert gather_settings(KNOWN) == Settings()
    first = saved(user, "[sign]\nface = 'Lobster'\nsweep = 90\n[blanks.a]\nshape='round:5in'\nmargin='9mm'\n")
    second = saved(folder, "[sign]\nface = 'Oswald'\n[blanks.a]\nshape='round:6in'\n[blanks.b]\nshape='round:7in'\n")
    found = gather_settings(KNOWN)
    assert pairs(found) == {"face": "Oswald", "sweep": "90"}
    assert [setting.file for setting in found.sign] == [second, first]
    assert [(entry.name, len(entry.settings)) for entry in found.blanks] == [("a", 1), ("b", 1)]
    assert found.files == (first, second)
    assert gather_settings(KNOWN, folder=tmp_path) == read_settings(first, KNOWN)


def test_one_file_in_both_places_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Working in the user's own settings folder reads its file once."""
    file = saved(tmp_path, "[sign]\nface = 'Lobster'\n")
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    assert gather_settings(KNOWN).files == (file,)


def test_merging_with_nothing_changes_nothing(tmp_path: Path) -> None:
    """Empty settings are neutral on either side."""
    found = read_settings(saved(tmp_path, FULL), KNOWN)
    assert merged(found, Settings()) == found == merged(Settings(), found)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(st.binary(max_size=80) | st.text(st.sampled_from("[]sign.=\"'\n#x1-_{},"), max_size=60).map(str.encode))
def test_any_bytes_are_settings_or_a_settings_error(tmp_path: Path, data: bytes) -> None:
    """Whatever the file holds, it is read or refused with its name."""
    file = tmp_path / "sapwood.toml"
    file.write_bytes(data)
    try:
        found = read_settings(file, KNOWN)
    except SettingsError as problem:
        assert str(file) in problem.message
    else:
        assert {setting.name for setting in found.sign} <= {name.replace("-", "_") for name in KNOWN.sign}
