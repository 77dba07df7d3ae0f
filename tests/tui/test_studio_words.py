"""Sentences, paths, keys and terminals: what the studio reads and says."""

from __future__ import annotations

import ast
import os
import re
from dataclasses import dataclass
from pathlib import Path

import pytest

import studio
from studio.basics.errors import UnknownNameError
from studio.model.finding import Offer, Where, found
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.storage.catalogue import Catalogue
from studio.storage.settings import Setting
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import KEY_ACTIONS
from studio.terminal.capabilities import first_cell_kind, has_light_ground, is_colourless, reason_against
from studio.tui.editor.apply_remedy import remedies_of
from studio.tui.editor.choices import entries_for
from studio.tui.editor.draft import SignDraft
from studio.tui.editor.fields import label_of
from studio.tui.keys import (
    ALL_KEYS,
    AT_THE_PRESS,
    EVERYWHERE,
    IN_THE_EDITOR,
    IN_THE_LIST,
    ON_PAPER,
    UNDER_THE_LOUPE,
    key_shown,
    keymap_of,
)
from studio.tui.themes import first_theme
from studio.tui.wording import advice_of, dropped_path, file_shown, first_clauses, inches_of, message_of, spoken
from tests.shared import assets

_STILL_SPELLED = frozenset({"serve.py", "list_settings.py", "sign_sheets.py", "ruler_readings.py", "tiling.py"})


@dataclass
class _Stream:
    encoding: str | None = "utf-8"
    tty: bool = True

    def isatty(self) -> bool:
        return self.tty


def test_key_ids_are_the_settings_own() -> None:
    """Every action can be given another key in the settings, and the settings know no other actions."""
    assert {key.id for key in ALL_KEYS} == KEY_ACTIONS


@pytest.mark.parametrize("screen", [IN_THE_EDITOR, IN_THE_LIST, AT_THE_PRESS, ON_PAPER])
def test_at_most_eight_keys_in_a_footer(screen: tuple[object, ...]) -> None:
    """A screen's footer shows eight keys at most, and no key of a screen means two things."""
    keys = (*screen, *EVERYWHERE)
    assert sum(key.in_footer for key in keys) <= 8  # type: ignore[attr-defined]
    bound = [part for key in keys for part in key.keys.split(",")]  # type: ignore[attr-defined]
    assert len(bound) == len(set(bound))


def test_no_key_that_terminals_cannot_tell_apart() -> None:
    """No action lies on a key that many terminals send as another one (Ctrl+I is Tab, and so on)."""
    bound = {part for key in ALL_KEYS for part in key.keys.split(",")}
    assert not bound & {"ctrl+i", "ctrl+m", "ctrl+j", "ctrl+h", "ctrl+left_square_bracket", "ctrl+c"}


def test_keymap_from_settings() -> None:
    """Keys come from the settings by the action's name, several with commas between."""
    settings = (Setting("make", "ctrl+e, f12", Path("s")), Setting("next_weak", "w", Path("s")))
    keymap = keymap_of(settings)
    assert keymap == {"make": "ctrl+e,f12", "next-weak": "w"}
    by_id = {key.id: key for key in (*IN_THE_EDITOR, *UNDER_THE_LOUPE)}
    assert key_shown(by_id["make"], keymap) == "Ctrl+E"
    assert key_shown(by_id["mend"], keymap) == "F8"


def test_where_no_studio_can_open() -> None:
    """Without a terminal, on a dumb one, or without UTF-8, the reason is told with what to do instead."""
    good = _Stream()
    assert reason_against({"TERM": "xterm"}, good, good) is None
    for environment, stdin, screen in (
        ({"TERM": "dumb"}, good, good),
        ({}, _Stream(tty=False), good),
        ({}, good, _Stream(tty=False)),
        ({}, good, _Stream("ascii")),
        ({}, good, _Stream("latin-1")),
    ):
        reason = reason_against(environment, stdin, screen)
        assert reason is not None and "sapwood render" in reason


@pytest.mark.parametrize(
    ("environment", "kind"),
    [
        ({}, "quadrant"),
        ({"TERM": "xterm-256color"}, "quadrant"),
        ({"TERM": "linux"}, "half"),
        ({"KITTY_WINDOW_ID": "1"}, "sextant"),
        ({"TERM": "foot"}, "sextant"),
        ({"TERM_PROGRAM": "WezTerm"}, "sextant"),
        ({"VTE_VERSION": "7006"}, "sextant"),
        ({"VTE_VERSION": "5202"}, "quadrant"),
        ({"KITTY_WINDOW_ID": "1", "TMUX": "/tmp/t"}, "quadrant"),
        ({"KITTY_WINDOW_ID": "1", "NO_COLOR": "1"}, "braille"),
    ],
)
def test_cells_by_terminal(environment: dict[str, str], kind: str) -> None:
    """Finer cells are used only where the terminal is known to draw them; no colours means dots."""
    assert first_cell_kind(environment) == kind


def test_theme_follows_the_terminal() -> None:
    """A light terminal gets the light theme, NO_COLOR the terminal's own colours, a chosen theme wins otherwise."""
    assert has_light_ground({"COLORFGBG": "0;15"}) is True
    assert has_light_ground({"COLORFGBG": "15;default;0"}) is False
    assert has_light_ground({}) is None
    assert first_theme({"COLORFGBG": "0;15"}) == "pikewater-noon"
    assert first_theme({}) == "pikewater-dusk"
    assert first_theme({"NO_COLOR": "1"}, "pikewater-noon") == "ansi-dark"
    assert first_theme({}, "ansi-light") == "ansi-light"
    assert not is_colourless({"NO_COLOR": ""})


@pytest.mark.parametrize(
    ("typed", "path"),
    [
        ("/a/b.png", "/a/b.png"),
        ("'/a/b c.png'", "/a/b c.png"),
        ("/a/b\\ c.png ", "/a/b c.png"),
        ("file:///a/b%20c.png", "/a/b c.png"),
        ("~/x.csv", "~/x.csv"),
        ("./x.csv", "./x.csv"),
        ("C:\\art\\x.png", "C:\\art\\x.png"),
        ("Marlow & Tess", None),
        ("Marlow's", None),
        ("", None),
        ("/a\n/b", None),
    ],
)
def test_dropped_files(typed: str, path: str | None) -> None:
    """What terminals paste for a dropped file is understood, and a name is never taken for one."""
    assert dropped_path(typed) == path


def test_sentences_in_the_studios_words() -> None:
    """A problem's option is called by the label of its field, and its way out by no spelling of the command line."""
    problem = UnknownNameError("There is no face called 'x'.", advice="Choose one by its name.", option="face")
    assert spoken(problem) == "There is no face called 'x'. Choose one by its name."
    weight = found("option-without-effect", "Pacifico has one weight; 600 changes nothing.", option="weight")
    assert message_of(weight) == f"{label_of('weight')}: Pacifico has one weight; 600 changes nothing."
    apart = found("texts-collide", "Two texts meet.", remedy="Move one of them.", ways=("shift", "max_cap"))
    assert advice_of(apart) == f"Move one of them. See {label_of('shift')} and {label_of('max_cap')}."


def test_no_sentence_of_the_engine_speaks_command_line(catalogue: Catalogue) -> None:
    """Neither findings nor errors name an option as it is typed; what lends letters never says that it refuses them."""
    lent = plan(build_sign("Tess \u0416", {"artwork": "none", "face": "Yellowtail"}, catalogue), assets())
    (told,) = [one for one in lent.findings if one.code == "fallback-face"]
    assert "refuse" not in f"{message_of(told)} {advice_of(told)}"
    for file in Path(studio.__file__).parent.rglob("*.py"):
        if file.relative_to(Path(studio.__file__).parent).parts[0] in ("cli", "terminal", "orders", "strip"):
            continue
        texts = _texts_of(ast.parse(file.read_text("utf-8")))
        spelled = [text for text in texts if re.search(r"(^|[\s(])(--[a-z]{2,}|-o\b)", text)]
        assert spelled == [] or file.name in _STILL_SPELLED, (file, spelled)


def _texts_of(tree: ast.Module) -> list[str]:
    """Return the texts of a module, docstrings left out."""
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    constants = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in told)
    return [node.value for node in constants if isinstance(node.value, str)]


def test_painted_holds_with_a_house_spread(catalogue: Catalogue) -> None:
    """With a spread of the house's own, 'on painted it holds' holds: its options set the surface's own spread again."""
    house: dict[str, Value] = {"artwork": "none", "surface": "bare", "spread": "0.5mm"}
    asked: dict[str, Value] = {"face": "Lobster", "cap": "11mm"}
    ill = plan(build_sign("Tess", {**house, **asked}, catalogue), assets())
    offers = [(one.code, offer) for one in ill.findings for offer in one.offers if offer.is_of_the_wood]
    assert "thin-stroke" in [code for code, _ in offers]
    for code, offer in offers:
        after = plan(build_sign("Tess", {**house, **asked, **dict(offer.changes)}, catalogue), assets(), remedies=False)
        assert not [one for one in after.findings if one.code == code], offer


@pytest.mark.parametrize(
    ("offered", "lettering", "changes"),
    [
        ((("weight", "540"),), 0, (("weight", "540"),)),
        ((("weight", "540"),), 1, None),
        ((("layout", "arc-top"),), 0, (("layout", "arc-top"),)),
        ((("layout", "box"),), 1, (("also", ("box=est. 2019", "box=more")),)),
        ((("text", "est. 2020"),), 1, (("also", ("arc-bottom=est. 2020", "box=more")),)),
        ((("text", "less"),), 2, None),
        ((("repair", "offset"),), 1, (("repair", "offset"),)),
        ((("face", "Alfa Slab One"),), 0, (("face", "Alfa Slab One"),)),
        ((("face", "Alfa Slab One"),), 1, (("also_face", "Alfa Slab One"),)),
        ((("cap", "9.1mm"), ("max_cap", "")), 0, (("cap", "9.1mm"), ("max_cap", ""))),
        ((("face", "Lobster"), ("cap", "9.1mm")), 1, None),
        ((("fallback", "yes"),), 1, (("fallback", "yes"),)),
    ],
)
def test_remedies_are_changes(
    offered: tuple[tuple[str, str], ...], lettering: int, changes: tuple[object, ...] | None
) -> None:
    """What a finding offers becomes changes in the editor, for the text that it is about, or nothing."""
    state = SignDraft("A", (("also", ("arc-bottom=est. 2019", "box=more")),))
    finding = found("thin-stroke", "m", where=Where(lettering), offers=(Offer("Do so.", offered),))
    remedies = remedies_of(finding, state)
    assert [(one.sentence, one.changes) for one in remedies] == ([("Do so.", changes)] if changes else [])


def test_several_remedies_of_one_finding() -> None:
    """Each offer is a remedy of its own, in its order; a sentence that sets nothing is none."""
    offers = (Offer("Box holds.", (("layout", "box"),)), Offer("Lobster holds.", (("face", "Lobster"),)))
    finding = found("narrow-gap", "m", where=Where(0), offers=offers)
    assert finding.remedy == "Box holds. Lobster holds."
    assert [one.changes for one in remedies_of(finding, SignDraft())] == [
        (("layout", "box"),),
        (("face", "Lobster"),),
    ]
    assert remedies_of(found("narrow-gap", "m", where=Where(0), remedy="Wood is wood."), SignDraft()) == ()


def test_lists_to_choose_from(catalogue: Catalogue, tmp_path: Path) -> None:
    """Lists are narrowed by what is typed, go into folders, and show only files of the right kind."""
    assert [entry.value for entry in entries_for("face", "lobs", catalogue)] == ["Lobster"]
    assert entries_for("artwork", "", catalogue)[-1].value == "none"
    assert entries_for("blank", "oval:300mmx200mm", catalogue)[0].value == "oval:300mmx200mm"
    (tmp_path / "art").mkdir()
    (tmp_path / "art" / "fern.png").write_bytes(b"x")
    (tmp_path / "art" / "notes.txt").write_text("x")
    (tmp_path / "art" / "deep").mkdir()
    inside = entries_for("artwork", f"{tmp_path}/art/", catalogue)
    assert [entry.title for entry in inside] == [f"deep{os.sep}", "fern.png"]
    assert inside[0].is_folder and not inside[1].is_folder
    assert [entry.title for entry in entries_for("artwork", f"{tmp_path}/art/fe", catalogue)] == ["fern.png"]
    with pytest.raises(OSError):
        entries_for("artwork", f"{tmp_path}/nowhere/", catalogue)


@pytest.mark.parametrize(
    ("measured", "limit", "unit", "said"),
    [
        (0.61, 0.8128, "mm", "0.024 in, limit 0.032 in"),
        (28.8, None, "mm", "1 1/8 in"),
        (3.1, None, "m", "10 ft"),
        (238.1, 244.5, "mm", "9 3/8 in, limit 9 5/8 in"),
        (None, 0.8128, "mm", "limit 0.032 in"),
        (0.0, 0.0, "mm", ""),
        (72.0, 150.0, "dpi", ""),
        (None, None, "", ""),
    ],
)
def test_findings_in_inches(measured: float | None, limit: float | None, unit: str, said: str) -> None:
    """What was measured is told in inches or feet too, from the finding's own figures; what is no length is not.

    Reckoned by hand: 0.61/25.4 = 0.0240, 0.8128/25.4 = 0.0320, 28.8/25.4 = 1.134 = 1 2/16, 3.1/0.3048 = 10.2,
    238.1/25.4 = 9.374, 244.5/25.4 = 9.626.
    """
    assert inches_of(found("thin-stroke", "thin", measured=measured, limit=limit, unit=unit)) == said


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        ("oval:9 3/8inx9 5/8in", "oval:9 3/8inx9 5/8in"),
        ("/home/ann/my art/fern wreath.png", "fern wreath.png"),
        ("~/fern.png", "fern.png"),
        ("pine-ring", "pine-ring"),
    ],
)
def test_files_are_shown_by_their_name(value: str, shown: str) -> None:
    """A file is called by its own name where room is scarce; a measure with a fraction in it stays whole."""
    assert file_shown(value) == shown


@pytest.mark.parametrize(
    ("sentence", "width", "shown"),
    [
        ("set in one line, since it is a single word", 30, "set in one line"),
        ("set as A / B; in one line it would be 28 % smaller", 20, "set as A / B"),
        ("set as Halvorsens / of Long Point", 20, "set as Halvorsens / …"),
    ],
)
def test_a_sentence_is_cut_between_its_clauses(sentence: str, width: int, shown: str) -> None:
    """What does not fit a title is left out clause by clause, and ends in an ellipsis only where a clause is cut."""
    assert first_clauses(sentence, width) == shown
