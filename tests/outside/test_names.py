"""Names and phrases in many languages: what the shipped faces can set, and that ordinary spelling raises no alarm.

Source: names.csv was compiled from general knowledge of how the languages are written; what a face has is read from
its character map with fontTools, away from our own shaper. `expect` is ``set`` when every letter, composed, is wholly
in one of the faces, else ``refused``.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from uniseg.graphemecluster import grapheme_clusters

from studio.proofreading.cleaning import cleaned
from studio.proofreading.proofread import remarks
from studio.proofreading.spell_out import spelled
from studio.text.bidi import embedding_levels
from studio.text.itemise import composed, script_runs

HERE = Path(__file__).parent
FACES = sorted((HERE.parents[1] / "fonts").glob("*/*.ttf"))
NEED_NO_GLYPH = {0x200C, 0x200D, 0xFE0E, 0xFE0F}
RUNS_WITHIN = {"Jpan": {"Hani", "Hira", "Kana"}, "Kore": {"Hang", "Hani"}, "Zsye": {"Latn"}}

with (HERE / "names.csv").open(encoding="utf-8", newline="") as lines:
    NAMES = list(csv.DictReader(lines))


@pytest.fixture(scope="module")
def has() -> Callable[[str], bool]:
    """Tell whether one face has every character of a letter."""
    maps = []
    for path in FACES:
        with TTFont(path, lazy=True) as font:
            maps.append(set(font.getBestCmap()))
    return lambda letter: any(set(map(ord, letter)) - NEED_NO_GLYPH <= codes for codes in maps)


def test_the_list_is_wide() -> None:
    """At least 300 different texts in at least 40 languages, some to be refused."""
    assert len({name["text"] for name in NAMES}) == len(NAMES) >= 300
    assert len({name["language"] for name in NAMES}) >= 40
    assert {name["expect"] for name in NAMES} == {"set", "refused"}
    assert sum(name["expect"] == "set" for name in NAMES) >= 300


def test_the_faces_have_what_the_list_expects(has: Callable[[str], bool]) -> None:
    """A text is to be set exactly when each of its letters is wholly in one shipped face."""
    found = {
        name["text"]: "set" if all(map(has, grapheme_clusters(composed(name["text"])))) else "refused" for name in NAMES
    }
    print(f"names the faces cover: {list(found.values()).count('set')} of {len(found)}")
    assert found == {name["text"]: name["expect"] for name in NAMES}


def test_ordinary_spelling_raises_no_alarm() -> None:
    """No text of the list is cleaned, warned of or noted."""
    changed = [name["text"] for name in NAMES if cleaned(name["text"]) != (name["text"], ())]
    remarked = [(name["text"], remark.code) for name in NAMES for remark in remarks(name["text"])]
    assert (changed, remarked) == ([], [])


def test_names_in_capitals_and_beside_typographic_signs_raise_no_alarm() -> None:
    """Quotation marks, dashes, ellipses and hard spaces round a name, also in capitals, do not look garbled.

    But for a capital Ã right before an en dash and a letter: that is far more often a garbled Ö.
    """
    manners = ("{}", "“{}”", "„{}“", "« {}\u00a0»", "{}…", "{}’s", "{}–{}", "{}\u00a0& {}", "{}™", "{} — {}", "{}.")
    alarms = [
        (text, remark.message)
        for name in NAMES
        for spelling in (name["text"], name["text"].upper())
        for text in (manner.format(spelling, spelling) for manner in manners)
        if "Ã–A" not in text
        for remark in remarks(text)
    ]
    assert alarms == []


def test_runs_are_of_the_language_s_script() -> None:
    """A text's runs are of the script its language is written in, but for Latin words beside it."""
    wrong = []
    for name in NAMES:
        text = composed(name["text"])
        scripts = {run.script for run in script_runs(text, embedding_levels(text))}
        expected = RUNS_WITHIN.get(name["script"], {name["script"]})
        if not (scripts & expected and scripts <= expected | {"Latn"}):
            wrong.append((text, name["script"], scripts))
    assert wrong == []


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1"])
def test_a_garbled_name_is_repaired(encoding: str) -> None:
    """Every text saved as UTF-8 and opened as Windows-1252 or Latin-1 is warned of, and the text itself offered."""
    wrong = []
    for name in NAMES:
        pieces = (bytes([byte]) for byte in name["text"].encode())
        garbled = "".join(piece.decode(encoding, "ignore") or chr(piece[0]) for piece in pieces)
        offers = [remark.offer for remark in remarks(garbled)]
        if not name["text"].isascii() and offers != [name["text"]]:
            wrong.append((name["text"], offers))
    assert wrong == []


def test_every_name_can_be_spelled() -> None:
    """The spelling of a text begins with its first letter or that letter's name in brackets."""
    for name in NAMES:
        first = next(iter(grapheme_clusters(name["text"])))
        assert spelled(name["text"]).startswith((first, "["))
