"""Dye in a surface: what fine marks keep, exactly, and how a surface's figures follow from what is known of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.model.dye import bar_share, growth_spreads, ink_kept, kept, rectangle_share, spread_towards, spreads_needed
from studio.model.surface import FinestMarks, Surface
from studio.storage.settings import Entry, KnownKeys, Setting, read_settings
from studio.storage.surface_entry import SURFACE_ENTRY_KEYS, entry_text, surface_of

OAK = Surface("oak", 0.2, Colour(0xDC, 0xBF, 0x94))


def _entry(**said: str) -> Entry:
    return Entry("oak", tuple(Setting(key, value, Path("a.toml")) for key, value in said.items()), Path("a.toml"))


def test_marks_of_no_width_keep_nothing_and_wide_ones_everything() -> None:
    """A mark of no width keeps nothing, one of thirty spreads all of its contrast, in both models."""
    for mark in ("line", "slot", "dot", "counter"):
        for mixing in ("dye", "cover"):
            assert kept(mark, 0.0, 0.2, 1.1, mixing) == pytest.approx(0.0, abs=1e-12)
            assert kept(mark, 6.0, 0.2, 1.1, mixing) == pytest.approx(1.0, abs=1e-6)


def test_without_spread_every_mark_is_kept() -> None:
    """A spread of nothing leaves a mark as it was printed."""
    assert kept("line", 0.01, 0.0) == 1.0
    assert kept("counter", 0.01, 0.0) == 1.0


def test_widths_needed_undo_what_marks_keep() -> None:
    """The width found for a contrast keeps exactly that contrast."""
    for mark in ("line", "slot", "dot", "counter"):
        for mixing in ("dye", "cover"):
            spreads = spreads_needed(mark, 0.63, 0.9, mixing)

            assert kept(mark, spreads * 0.31, 0.31, 0.9, mixing) == pytest.approx(0.63, abs=1e-9)


def test_a_long_rectangle_is_a_bar() -> None:
    """A rectangle keeps the product of its two bars; a very long one is a bar."""
    assert rectangle_share(0.6, 0.9, 0.3) == pytest.approx(bar_share(0.6, 0.3) * bar_share(0.9, 0.3))
    assert rectangle_share(0.6, 90.0, 0.3) == pytest.approx(bar_share(0.6, 0.3))
    assert rectangle_share(0.6, 0.9, 0.3, 0.45) == pytest.approx(bar_share(0.6, 0.3) * bar_share(0.9, 0.45))


def test_dye_that_spreads_favours_lines_over_slots() -> None:
    """Where dye spreads a line keeps more than a slot of its width; where light does both keep alike."""
    assert kept("line", 0.6, 0.2, 1.1, "dye") > kept("slot", 0.6, 0.2, 1.1, "dye") + 0.2
    assert kept("line", 0.6, 0.2, 1.1, "cover") == pytest.approx(kept("slot", 0.6, 0.2, 1.1, "cover"))
    assert growth_spreads(1.1, "cover") == 0.0


def test_a_faint_dye_behaves_like_light() -> None:
    """With hardly any density both models are the same."""
    assert ink_kept(0.3, 0.001, "dye") == pytest.approx(ink_kept(0.3, 0.001, "cover"), abs=1e-3)


def test_the_spread_turns_from_along_to_across() -> None:
    """The spread along the grain turns into that across it a quarter turn on."""
    assert spread_towards(0.0, 0.35, 0.25) == pytest.approx(0.35)
    assert spread_towards(1.5707963267948966, 0.35, 0.25) == pytest.approx(0.25)


def test_an_unmeasured_surface_keeps_three_and_four_spreads() -> None:
    """Without a strip strokes and gaps need 3 spreads, dots and counters 4."""
    assert OAK.finest_stroke_mm == pytest.approx(0.6)
    assert OAK.finest_gap_mm == pytest.approx(0.6)
    assert OAK.finest_dot_mm == pytest.approx(0.8)
    assert OAK.finest_counter_mm == pytest.approx(0.8)
    assert OAK.standing == "starting value"


def test_a_measured_surface_takes_the_model_and_then_the_ladders() -> None:
    """With a strip the four limits are the model's at 70 %, and the ladder's own figures go before those."""
    measured = replace(OAK, mixing="dye", solid_density=1.1, measured="2026-05-31")
    seen = replace(measured, finest=FinestMarks(gap_mm=0.55))

    assert measured.finest_stroke_mm == pytest.approx(0.2 * 1.072, abs=2e-4)
    assert measured.finest_gap_mm == pytest.approx(0.2 * 3.047, abs=2e-4)
    assert measured.finest_dot_mm == pytest.approx(0.2 * 2.049, abs=2e-4)
    assert measured.finest_counter_mm == pytest.approx(0.2 * 4.058, abs=2e-4)
    assert seen.finest_gap_mm == 0.55
    assert seen.finest_stroke_mm == measured.finest_stroke_mm
    assert measured.standing == "measured 2026-05-31"


def test_an_unmeasured_surface_is_judged_by_the_weaker_model() -> None:
    """Nobody knows what spreads, so a mark keeps what the less kind of the two models leaves it."""
    assert OAK.kept("slot", 0.6) == pytest.approx(kept("slot", 0.6, 0.2, 1.1, "dye"))
    assert OAK.kept("line", 0.6) == pytest.approx(kept("line", 0.6, 0.2, 1.1, "cover"))


def test_a_typed_spread_sets_aside_what_was_measured() -> None:
    """A spread typed for one sign is a starting value again, with nothing left of the strip."""
    measured = replace(OAK, mixing="dye", along_mm=0.2, across_mm=0.1, measured="2026-05-31")

    assert measured.with_spread(0.3) == replace(OAK, spread_mm=0.3)


def test_an_entry_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    """A measured surface written as an entry is the same surface when the file is read."""
    surface = Surface(
        'maple film "2"',
        0.31,
        Colour(0xE3, 0xC7, 0x9A),
        "our own \\ stock",
        along_mm=0.31,
        across_mm=0.22,
        mixing="dye",
        solid_density=1.08,
        finest=FinestMarks(0.41, 0.96, None, 1.2),
        measured="2026-05-31",
        wood="maple",
    )
    file = tmp_path / "sapwood.toml"
    file.write_text(entry_text(surface), encoding="utf-8")

    known = KnownKeys(frozenset(), frozenset(), SURFACE_ENTRY_KEYS, frozenset())
    (entry,) = read_settings(file, known).surfaces

    assert surface_of(entry) == surface


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({}, "a.toml: surface oak has no spread."),
        ({"spread_along": "0.3mm"}, "a.toml: surface oak has no spread."),
        ({"spread": "9mm"}, "surface oak: a spread of 9 mm is not possible"),
        ({"spread": "0.3mm", "spread_across": "0mm"}, "surface oak"),
        ({"spread": "0.3mm", "mixing": "paint"}, "surface oak: mixing 'paint' is not known"),
        ({"spread": "0.3mm", "solid_density": "dark"}, "solid_density 'dark' is not a number"),
        ({"spread": "0.3mm", "solid_density": "nan"}, "a solid density of nan is not possible"),
        ({"spread": "0.3mm", "measured": "yesterday"}, "measured 'yesterday' is not a day"),
    ],
)
def test_a_wrong_value_is_named(said: dict[str, str], told: str) -> None:
    """Each wrong value of an entry is told with file, surface and value."""
    with pytest.raises(SettingsError) as raised:
        surface_of(_entry(**said))

    assert told in raised.value.message
    assert raised.value.advice
