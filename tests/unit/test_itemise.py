"""Runs of one level and one script."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.text.bidi import embedding_levels
from studio.text.itemise import JOINING_SCRIPTS, NO_TRACKING_SCRIPTS, TextRun, composed, script_runs

HEBREW = "\u05e8\u05d5\u05ea"
ARABIC = "\u0644\u064a\u0644\u0649"
HINDI = "\u092e\u0940\u0930\u093e"


def _runs(text: str) -> list[tuple[str, int, str]]:
    return [(text[run.start : run.end], run.level, run.script) for run in script_runs(text, embedding_levels(text))]


def test_a_latin_phrase_is_one_run() -> None:
    """Spaces, digits, signs and a loose mark stay with the Latin letters beside them."""
    assert _runs("Marlow & Tess, 1987!") == [("Marlow & Tess, 1987!", 0, "Latn")]
    assert _runs("\u201cZoe\u0308\u201d") == [("\u201cZoe\u0308\u201d", 0, "Latn")]


def test_the_empty_text_has_no_runs() -> None:
    """Nothing gives no runs."""
    assert script_runs("", ()) == ()


def test_a_text_without_letters_counts_as_latin() -> None:
    """A year alone is set with the Latin rules."""
    assert _runs("1987 & 2024") == [("1987 & 2024", 0, "Latn")]


def test_two_scripts_of_one_direction_are_two_runs() -> None:
    """The sign between two scripts goes with the first."""
    assert _runs(f"Tess & {HINDI}") == [("Tess & ", 0, "Latn"), (HINDI, 0, "Deva")]
    assert _runs("\u0410\u043d\u044f \u0398") == [("\u0410\u043d\u044f ", 0, "Cyrl"), ("\u0398", 0, "Grek")]


def test_leading_signs_go_with_the_letters_after_them() -> None:
    """A bracket or a digit before the first letter takes that letter's script."""
    assert _runs(f"(1) {HINDI}") == [(f"(1) {HINDI}", 0, "Deva")]


def test_a_closing_bracket_goes_with_its_opening_one() -> None:
    """Both brackets round a word of another script are of the script outside."""
    assert _runs(f"Tess ({HINDI}) a") == [("Tess (", 0, "Latn"), (HINDI, 0, "Deva"), (") a", 0, "Latn")]
    assert _runs(f"Tess ([{HINDI}) a")[-1] == (") a", 0, "Latn")


def test_a_change_of_direction_cuts_a_run() -> None:
    """Hebrew in a Latin line is a run of level 1."""
    assert _runs(f"Tess & {HEBREW}") == [("Tess & ", 0, "Latn"), (HEBREW, 1, "Hebr")]


def test_digits_in_an_arabic_line_have_its_script() -> None:
    """A year in an Arabic line runs left to right and is still set by the Arabic rules."""
    assert _runs(f"{ARABIC} 19") == [(f"{ARABIC} ", 1, "Arab"), ("19", 2, "Arab")]


def test_the_sign_beside_a_right_to_left_name_goes_with_the_letters_of_its_own_direction() -> None:
    """In a left-to-right line the ampersand after Hebrew joins the Latin that follows."""
    text = f"{HEBREW} & Tess"
    levels = embedding_levels(text, base="ltr")
    assert script_runs(text, levels) == (TextRun(0, 3, 1, "Hebr"), TextRun(3, 10, 0, "Latn"))


def test_a_mark_stays_with_its_letter_whatever_its_own_scripts() -> None:
    """A mark that is not used with a letter's script is still not cut off from it."""
    assert _runs("\u0915\u0301\u0915") == [("\u0915\u0301\u0915", 0, "Deva")]


def test_a_shared_sign_goes_to_the_script_it_is_used_with() -> None:
    """The Japanese length mark after a Latin letter goes with the kana that follow it."""
    assert _runs("a\u30fc\u30ab") == [("a", 0, "Latn"), ("\u30fc\u30ab", 0, "Kana")]
    assert _runs("\u0640\u064e")[0][2] == "Arab"


def test_levels_of_another_length_are_refused() -> None:
    """A level per character, no more and no fewer."""
    with pytest.raises(ValueError, match="1 levels for 2 characters"):
        script_runs("ab", (0,))


def test_scripts_that_join_are_never_letter_spaced() -> None:
    """Arabic and Devanagari are not to be set apart, Hebrew and Latin may be."""
    assert JOINING_SCRIPTS < NO_TRACKING_SCRIPTS
    assert {"Arab", "Syrc", "Mong", "Deva", "Beng", "Guru"} <= NO_TRACKING_SCRIPTS
    assert NO_TRACKING_SCRIPTS.isdisjoint({"Latn", "Cyrl", "Grek", "Hebr"})


def test_marks_are_composed_where_unicode_has_the_letter() -> None:
    """Decomposed letters become single code points, and composing twice changes nothing more."""
    assert composed("Zoe\u0308") == "Zo\u00eb"
    assert composed("x\u0301") == "x\u0301"
    assert composed("Vie\u0323\u0302t") == "Vi\u1ec7t"


@given(text=st.text(alphabet=f"aB 1&()[{HEBREW}{ARABIC}{HINDI}\u0301\u064e\u30fc\u30ab\u6f22\n\u200d", max_size=20))
def test_runs_cover_the_text_once_and_differ_from_their_neighbours(text: str) -> None:
    """Runs follow each other without a gap, keep their level, and never repeat the run before them."""
    levels = embedding_levels(text)
    runs = script_runs(text, levels)
    assert [run.start for run in runs] + [len(text)] == [0, *(run.end for run in runs)]
    assert all(set(levels[run.start : run.end]) == {run.level} for run in runs)
    assert all(a.level != b.level or a.script != b.script for a, b in pairwise(runs))
