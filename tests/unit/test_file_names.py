from __future__ import annotations

import unicodedata
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.production.file_names import row_stem, single_stem, slug

WICKED = [
    *("../../x", "CON", "con.txt", "NUL", "COM1", "COM¹", "lpt9", "Aux ", "a.", "a ", ".", "..", "~", "-rf", "C:\\x"),
    *('=HYPERLINK("http://x")', "x" * 300, "é" * 300, "न" * 300, "e" + "\u0301" * 300, "\u0301", "😀", "", " ", "a\0b"),
    *("a/b\\c", "a\nb", "\u202ea", "\ufeff", "CLOCK$", "İstanbul", "Straße", "ﬁ", "$(x)", "`x`", "%n", "\ud800"),
]


@pytest.mark.parametrize(
    ("row", "text", "order", "stem"),
    [
        (1, "Marlow & Tess", "", "0001-marlow-tess"),
        (12, "Marlow & Tess", "P-77", "0012-p-77-marlow-tess"),
        (12345, "Zoë", "", "12345-zoë"),
        (2, "../../x", "../etc", "0002-etc-x"),
        (3, "CON", "", "0003-con"),
        (4, "=HYPERLINK(1)", "", "0004-hyperlink-1"),
        (5, "😀", "", "0005-sign"),
        (6, "नमस्ते", "", "0006-नमस्ते"),
        (7, "O'Brien's", "", "0007-o-brien-s"),
        (8, "e\u0301", "", "0008-\u00e9"),
    ],
)
def test_names_as_expected(row: int, text: str, order: str, stem: str) -> None:
    """The name holds row, order and text in small letters of any script."""
    assert row_stem(row, text, order) == stem


@pytest.mark.parametrize("name", ["con", "COM1", "COM¹", "nul", "Aux.", "lpt9"])
def test_a_sign_made_alone_never_has_a_device_name(name: str) -> None:
    """Without a number in front, a device name of Windows gets a word before it."""
    assert single_stem(name).startswith("sign-")
    assert not PureWindowsPath(single_stem(name) + ".png").is_reserved()


@pytest.mark.parametrize("text", WICKED)
def test_wicked_texts_make_files_in_their_folder_and_nowhere_else(tmp_path: Path, text: str) -> None:
    """Every wicked text and order gives a name that a real disk takes, inside the folder."""
    for stem in (row_stem(1, text, text), single_stem(text)):
        file = tmp_path / f"{stem}.png"
        file.write_bytes(b"")
        assert [entry.name for entry in tmp_path.iterdir()] == [f"{stem}.png"]
        file.unlink()


@given(st.text(max_size=80), st.text(max_size=40), st.integers(1, 200_000))
def test_any_name_is_good_on_every_file_system(text: str, order: str, row: int) -> None:
    """A name is one safe path part, short, in composed form, and not changed by folding its case."""
    for stem in (row_stem(row, text, order), single_stem(text)):
        name = f"{stem}.png"
        assert PurePosixPath(name).parts == PureWindowsPath(name).parts == (name,)
        assert not PureWindowsPath(name).is_reserved()
        assert all(unicodedata.category(letter)[0] in "LNM" or letter == "-" for letter in stem)
        assert stem == unicodedata.normalize("NFC", stem)
        assert len(name.encode()) <= 143
        assert stem.strip("-") == stem and "--" not in stem and stem
        assert not unicodedata.category(stem[0]).startswith("M")


@given(st.lists(st.tuples(st.text(max_size=20), st.text(max_size=10)), min_size=2, max_size=10))
def test_no_two_rows_share_a_name_even_where_case_and_accents_fold(rows: list[tuple[str, str]]) -> None:
    """Names of different rows differ after folding case, decomposing, and dropping accents."""
    stems = [row_stem(place, text, order) for place, (text, order) in enumerate(rows, 1)]
    bare = [
        "".join(c for c in unicodedata.normalize("NFD", stem.casefold()) if not unicodedata.combining(c))
        for stem in stems
    ]
    assert len(set(bare)) == len(rows)


@given(st.text(max_size=300), st.integers(4, 60))
def test_a_slug_keeps_its_limits(text: str, longest: int) -> None:
    """A slug is never longer than asked, in letters or bytes, and gives itself when made again."""
    made = slug(text, longest=longest, empty="x")
    assert len(made) <= longest and len(made.encode()) <= longest * 1.75
    assert slug(made, longest=longest, empty="x") == made
