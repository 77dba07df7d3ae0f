"""The sign in the editor as a value: changes, the way back, what is remembered."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.basics.errors import StudioError
from studio.model.options import BY_KEY
from studio.storage.catalogue import Catalogue
from studio.storage.paths import draft_file
from studio.storage.sign_builder import build_sign
from studio.tui.editor.draft import TEXT, History, SignDraft, SignEditor, second_text, with_second_text
from studio.tui.editor.fields import FIELDS, STATIONS, BlankParts, blank_text, parts_of
from studio.tui.editor.parts import HOLE_PARTS, OUTLINE_PARTS, PAIRS
from studio.tui.lengths import Unit, said
from studio.tui.saved.memory import Habits, habits_file, read_draft, read_habits, write_draft, write_habits


def test_every_option_has_a_field() -> None:
    """Whatever the command line can be told, a field of the editor can be told as well."""
    ours = {"shape", "width", "height", "corner", "text", "also_text", "also_layout", "folder"}
    in_parts = {"also", "shift", "artwork_at", "outline"}
    parts = {*HOLE_PARTS, *PAIRS, *OUTLINE_PARTS}
    assert set(BY_KEY) - in_parts == set(FIELDS) - ours - parts
    assert parts <= set(FIELDS)
    assert [station.name for station in STATIONS] == ["wood", "picture", "name", "look", "make"]


@pytest.fixture
def editor(catalogue: Catalogue) -> SignEditor:
    """Return an editor of a blank as measured, 9 3/8 x 9 5/8 in."""
    return SignEditor(catalogue, {}, SignDraft("Bo", (("blank", "rect:9 3/8inx9 5/8in"),)))


def test_a_hole_is_told_from_the_top_edge(editor: SignEditor, catalogue: Catalogue) -> None:
    """A hole 1/4 in wide, 3/4 in below the top edge of a 9 5/8 in blank, lies 4 1/16 in above its middle."""
    editor.unit = "in"
    editor.type("hole_size", "1/4")
    editor.type("hole_down", "3/4")
    (hole,) = build_sign("Bo", editor.state.values, catalogue).blank.holes
    assert (hole.x_mm, hole.y_mm, hole.diameter_mm) == pytest.approx((0, 4.0625 * 25.4, 6.35))
    assert [editor.shown(key) for key in HOLE_PARTS] == ["0in", "3/4in", "1/4in"]
    editor.type("hole_size", "")
    assert build_sign("Bo", editor.state.values, catalogue).blank.holes == ()


def test_what_is_no_length_yet_stays_as_typed(editor: SignEditor) -> None:
    """Half-typed lengths are kept letter by letter, and told as what they are."""
    editor.type("hole_size", "8mm")
    editor.type("hole_down", "3/")
    assert editor.shown("hole_down") == "3/" and editor.shown("hole_size") == "8mm"


def test_offsets_and_outlines_in_parts(editor: SignEditor) -> None:
    """Each half of an offset, and width and colour of an outline, are fields of their own for one option."""
    editor.type("shift_up", "-4mm")
    editor.type("outline_width", "1.5")
    editor.choose("outline_color", "dark green")
    assert editor.state.values["shift"] == "0mm,-4mm" and editor.state.values["outline"] == "1.5mm:dark green"
    editor.choose("outline_color", "own")
    editor.type("outline_width", "none")
    editor.type("shift_up", "0mm")
    assert set(editor.state.values) == {"blank"}


def test_a_round_stays_round(catalogue: Catalogue) -> None:
    """The width of a true round takes its height along; the height can be measured apart after that."""
    editor = SignEditor(catalogue, {}, SignDraft("Bo", (("blank", "round:254mm"),)))
    editor.type("width", "12in")
    assert editor.state.values["blank"] == "round:12in"
    editor.type("height", "300mm")
    assert editor.state.values["blank"] == "round:12inx300mm"


@pytest.mark.parametrize(
    ("length_mm", "unit", "told"),
    [(33.4, "mm", "33.4 mm (1 5/16 in)"), (238.125, "in", "9 3/8 in (238.1 mm)"), (-3.0, "in", "-1/8 in (-3 mm)")],
)
def test_lengths_in_both_units(length_mm: float, unit: Unit, told: str) -> None:
    """The maker's unit comes first, inches in sixteenths, the other in brackets."""
    assert said(length_mm, unit) == told


def test_choices_are_the_options_own() -> None:
    """Fields with a few choices offer exactly those that the option knows."""
    for key, field in FIELDS.items():
        if field.kind == "choice" and key in BY_KEY:
            assert field.choices == BY_KEY[key].choices


def test_keystrokes_make_one_step() -> None:
    """A name typed in one go is taken back in one go, and another field begins another step."""
    history = History()
    for text in ("M", "Ma", "Mar"):
        history.change(history.state.with_value(TEXT, text), TEXT, joins=True)
    history.change(history.state.with_value("cap", "20mm"), "cap", joins=True)
    assert len(history.steps) == 3
    assert history.undo() == "cap" and history.state.text == "Mar"
    assert history.undo() == TEXT and history.state == SignDraft()
    assert history.undo() is None


def test_leaving_a_field_ends_a_step() -> None:
    """What is typed after coming back to a field is taken back by itself."""
    history = History()
    history.change(SignDraft("A"), TEXT, joins=True)
    history.close_step()
    history.change(SignDraft("AB"), TEXT, joins=True)
    history.undo()
    assert history.state.text == "A"


@given(st.lists(st.tuples(st.sampled_from(["cap", "color", TEXT]), st.text(max_size=4)), max_size=12))
def test_undo_and_redo_are_opposites(changes: list[tuple[str, str]]) -> None:
    """Going all the way back and forth again ends where it began."""
    history = History()
    for key, value in changes:
        history.change(history.state.with_value(key, value), key)
    end, steps = history.state, 0
    while history.undo() is not None:
        steps += 1
    assert history.state == SignDraft()
    for _ in range(steps):
        history.redo()
    assert history.state == end and history.redo() is None


def test_a_change_after_undo_drops_what_was_undone() -> None:
    """Once something new is done, what was taken back cannot be done again."""
    history = History()
    history.change(SignDraft("A"), "a")
    history.undo()
    history.change(SignDraft("B"), "b")
    assert history.redo() is None and history.state.text == "B"


@given(
    st.sampled_from(["round", "oval", "rect"]),
    st.sampled_from(["254mm", "10in", "10 1/2in", "", "12"]),
    st.sampled_from(["254mm", "6in", "x"]),
    st.sampled_from(["", "10mm"]),
)
def test_measures_come_back(shape: str, width: str, height: str, corner: str) -> None:
    """A blank's parts, good or bad, come out of its text as they went in."""
    parts = BlankParts(shape, width, height.replace("x", "7mm"), corner if shape == "rect" else "")
    text = blank_text(parts)
    assert ":" in text
    assert parts_of(text, Catalogue((), (), (), ())) == parts


def test_measuring_a_blank_keeps_its_holes(catalogue: Catalogue) -> None:
    """A catalogue blank that is measured anew keeps the holes that it had."""
    editor_screen = SignEditor(catalogue, {})
    editor_screen.choose("blank", "round-12in-rope")
    editor_screen.type("height", "300mm")
    sign = build_sign("A", editor_screen.state.effective({}), catalogue)
    assert (sign.blank.height_mm, len(sign.blank.holes)) == (300.0, 2)
    assert editor_screen.shown("width") == "304.8mm"


def test_fields_show_settings_and_defaults(catalogue: Catalogue) -> None:
    """A field shows what was typed, else what the settings say, else the default."""
    editor_screen = SignEditor(catalogue, {"surface": "bare", "dpi": "150"})
    assert (editor_screen.shown("surface"), editor_screen.shown("face")) == ("bare", "Pacifico")
    editor_screen.type("dpi", "200")
    assert editor_screen.shown("dpi") == "200"
    editor_screen.type("dpi", "150")
    assert editor_screen.state.said == ()


def test_a_choice_tried_is_not_taken(catalogue: Catalogue) -> None:
    """Trying choices changes what is shown and nothing else."""
    editor_screen = SignEditor(catalogue, {})
    editor_screen.try_out("face", "Lobster")
    assert editor_screen.shown("face") == "Lobster" and editor_screen.history.state == SignDraft()
    editor_screen.stop_trying()
    assert editor_screen.shown("face") == "Pacifico"


def test_second_text_keeps_the_others() -> None:
    """Changing the second text leaves a third as it was; emptying it takes it away."""
    state = SignDraft("A", (("also", ("arc-bottom=one", "box=two")),))
    changed = with_second_text(state, layout="box", text="uno")
    assert changed.value("also") == ("box=uno", "box=two")
    assert second_text(changed).text == "uno"
    assert with_second_text(SignDraft("A"), layout="box", text="  ").said == ()


@given(
    st.text(max_size=20), st.dictionaries(st.sampled_from(["cap", "blank", "face"]), st.text(min_size=1, max_size=8))
)
def test_a_draft_comes_back(text: str, values: dict[str, str]) -> None:
    """The sign in the editor comes back from the disk as it was, whatever letters it holds."""
    if any(0xD800 <= ord(letter) <= 0xDFFF for letter in text + "".join(values.values())):
        return
    state = SignDraft(text).with_values({**values, "also": ("box=x",)})
    write_draft(state)
    assert read_draft() == state


@pytest.mark.parametrize(
    "held", [b"", b"{", b"[1]", b'{"text": 3, "values": {}}', b'{"text": "a", "values": []}', b"\xff"]
)
def test_a_damaged_draft_is_told(held: bytes) -> None:
    """A draft that cannot be read is told in a sentence with its path, and never guessed at."""
    draft_file().parent.mkdir(parents=True)
    draft_file().write_bytes(held)
    with pytest.raises(StudioError, match=r"draft\.json"):
        read_draft()


def test_unknown_options_of_a_draft_are_left_out() -> None:
    """A draft of another version keeps what this one knows."""
    draft_file().parent.mkdir(parents=True)
    draft_file().write_text(json.dumps({"text": "A", "values": {"sparkle": "9", "cap": "20mm", "hole": "no list"}}))
    assert read_draft() == SignDraft("A", (("cap", "20mm"),))


def test_habits_come_back_and_bad_ones_are_left_out() -> None:
    """Habits come back as they were kept; a value of the wrong kind counts as none."""
    habits = Habits(folder="out", cells="sextant", limits_shown=True)
    write_habits(habits)
    assert read_habits() == habits
    habits_file().write_text(json.dumps({"folder": 3, "limits_shown": "yes", "cells": "octant"}))
    assert read_habits() == Habits(cells="octant")
    assert read_habits().cell_kind == "octant" and Habits(cells="tiles").cell_kind is None
