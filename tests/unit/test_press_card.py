"""The press card: the figures of every surface as they ship, the order of its steps, and a shop's own figures."""

from __future__ import annotations

from pathlib import Path

import pytest

from studio.basics.errors import SettingsError
from studio.model.press_figures import PRESS_KEYS, Span, figures_of, parse_heat_step, parse_span
from studio.sheets.pressing.card_text import card_lines
from studio.sheets.pressing.steps import press_card
from studio.storage.catalogue import Catalogue, known_keys, read_catalogue
from studio.storage.settings import read_settings

SURFACES = ("factory", "laminate", "film", "clear-coat", "painted", "bare")


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """What ships with the program."""
    return read_catalogue()


def _timed(catalogue: Catalogue, surface: str) -> list[tuple[str, str]]:
    """Return title and figures of the steps that have any."""
    card = press_card(catalogue.press_figures(surface))
    return [(step.title, step.figures) for step in card.steps if step.figures]


@pytest.mark.parametrize(
    ("surface", "expected"),
    [
        ("factory", [("Preheat", "365 °F (185 °C), 10 s"), ("Press", "365 °F (185 °C), 90 s")]),
        (
            "laminate",
            [
                ("Moisture out", "380 °F (193 °C), 50 s"),
                ("Film on", "375 °F (191 °C), 15 s"),
                ("Press", "375 °F (191 °C), 90 s"),
            ],
        ),
        (
            "film",
            [
                ("Moisture out", "380 °F (193 °C), 50 s"),
                ("Film on", "320 °F (160 °C), 20 s"),
                ("Film cools", "5 to 10 min"),
                ("Press", "380 °F (193 °C), 50 s"),
            ],
        ),
        (
            "clear-coat",
            [
                ("Moisture out", "380 °F (193 °C), 50 s"),
                ("Coat", "at least 1 h"),
                ("Press", "375 °F (191 °C), 90 s"),
            ],
        ),
        (
            "painted",
            [
                ("Paint", "about 1 h"),
                ("Moisture out", "380 °F (193 °C), 50 s"),
                ("Press", "380 °F (193 °C), 50 s"),
            ],
        ),
        ("bare", [("Moisture out", "380 °F (193 °C), 50 s"), ("Press", "380 °F (193 °C), 50 s")]),
    ],
)
def test_figures_as_they_ship(catalogue: Catalogue, surface: str, expected: list[tuple[str, str]]) -> None:
    """Heat and time of each surface are those of the trade (common practice, no source), in both scales, in order."""
    assert _timed(catalogue, surface) == expected


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        ("factory", ("both sides", "Do not feather")),
        ("laminate", ("dull side down", "Trim the film", "Feather them")),
        ("film", ("lint roller", "Trim the film", "peel off", "Do not feather", "Do not trim", "card under the wood")),
        ("clear-coat", ("one coat", "cool before you lift", "ghost", "Dampen")),
        ("painted", ("white latex",)),
        ("bare", ("muted", "warp")),
    ],
)
def test_words_of_each_surface(catalogue: Catalogue, surface: str, words: tuple[str, ...]) -> None:
    """What is peeled, torn, taped, trimmed and dampened stands on the card of each surface."""
    text = " ".join(" ".join(card_lines(press_card(catalogue.press_figures(surface)))).split())

    assert [word for word in words if word not in text] == []


@pytest.mark.parametrize("surface", SURFACES)
def test_cautions_stand_first(catalogue: Catalogue, surface: str) -> None:
    """Cautions come before any step: makers' papers first, burns, fumes, blades, local codes and licensed practice."""
    lines = card_lines(press_card(catalogue.press_figures(surface)))
    first_step = next(number for number, line in enumerate(lines) if line.startswith(" 1  "))
    cautions = " ".join(" ".join(lines[:first_step]).split())

    for words in (
        "makers of press, ink, paper",
        "come first",
        "burns",
        "fumes",
        "away from your hand",
        "local codes",
        "licensed",
    ):
        assert words in cautions


@pytest.mark.parametrize("surface", SURFACES)
def test_every_card_names_its_source(catalogue: Catalogue, surface: str) -> None:
    """Shipped figures are marked as common practice without a source, for a 10 in wood round."""
    card = press_card(catalogue.press_figures(surface))

    assert card.figures_from == "common practice, no source, for a 10 in wood round"
    assert any(
        "damp its bare side and weight it flat overnight; take thicker wood next time" in note for note in card.notes
    )


def test_film_on_paint_is_painted_and_dried_first(catalogue: Catalogue) -> None:
    """A surface on painted wood begins with the paint, then the moisture, then its own steps."""
    card = press_card(catalogue.press_figures("film"), paint=catalogue.press_figures("painted"))

    assert [step.title for step in card.steps[:4]] == ["Paint", "Moisture out", "Lint-roll", "Film on"]
    assert card.surface == "film on painted wood"


def test_one_figure_of_the_shop_leaves_the_others(tmp_path: Path) -> None:
    """A key in sapwood.toml takes the place of that key alone, and the card says which figures are the shop's."""
    file = tmp_path / "sapwood.toml"
    file.write_text('[press.film]\npress = "196C 45s"\n', encoding="utf-8")
    own = read_catalogue(read_settings(file, known_keys())).press_figures("film")

    assert own.press.told == "385 °F (196 °C) for 45 s"
    assert own.film_on is not None and own.film_on.told == "320 °F (160 °C) for 20 s"
    assert own.source == "your own settings (press); the rest: common practice, no source"


def test_a_step_is_taken_out_by_none(tmp_path: Path) -> None:
    """`none` in the shop's settings takes a step out."""
    file = tmp_path / "sapwood.toml"
    file.write_text('[press.bare]\nmoisture = "none"\n', encoding="utf-8")
    card = press_card(read_catalogue(read_settings(file, known_keys())).press_figures("bare"))

    assert "Moisture out" not in [step.title for step in card.steps]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('press = "warm"', "press film: press: 'warm' is not a heat and a time"),
        ('press = "550F 50s"', r"550 °F \(288 °C\) is not a heat for pressing wood; it goes from 200 to 450 °F"),
        ('press = "380C 50s"', r"716 °F \(380 °C\) is not a heat"),
        ('press = "380F"', "press film: press: '' is not a time"),
        ('film-cool = "10-5min"', "'10-5min' is not a time that a step can take"),
        ('film-cool = "soon"', "'soon' is not a time"),
        ('feather = "perhaps"', "'perhaps' is neither yes nor no"),
        ('heat = "380F"', "'heat' is not known as a key of"),
    ],
)
def test_bad_figures_are_refused_with_the_file(tmp_path: Path, line: str, said: str) -> None:
    """A figure that cannot be is named with its file, surface and key."""
    file = tmp_path / "sapwood.toml"
    file.write_text(f"[press.film]\n{line}\n", encoding="utf-8")

    with pytest.raises(SettingsError, match=said) as caught:
        read_catalogue(read_settings(file, known_keys()))
    assert str(file) in str(caught.value)


@pytest.mark.parametrize(
    ("text", "span", "told"),
    [
        ("50s", Span(50, 50), "50 s"),
        ("90 s", Span(90, 90), "90 s"),
        ("2min", Span(120, 120), "2 min"),
        ("5-10min", Span(300, 600), "5 to 10 min"),
        ("90s to 5min", Span(90, 300), "90 to 300 s"),
        ("about 1h", Span(3600, 3600, "about"), "about 1 h"),
        ("at least 1 h", Span(3600, 3600, "at least"), "at least 1 h"),
    ],
)
def test_times_as_people_write_them(text: str, span: Span, told: str) -> None:
    """A time is read as it is said, and told again in the same words."""
    assert parse_span(text, what="t") == span
    assert span.told == told


def test_heat_in_either_scale() -> None:
    """380 °F is 193.3 °C: both are read, and 193.3C comes back as 380 °F."""
    assert parse_heat_step("193.3C 50s", what="t").heat.told == "380 °F (193 °C)"
    assert parse_heat_step("380 °F for 50 s", what="t").told == "380 °F (193 °C) for 50 s"


def test_a_surface_without_figures_is_told_what_to_write(tmp_path: Path) -> None:
    """A surface of the shop's own without press figures is refused with the table to write."""
    file = tmp_path / "sapwood.toml"
    file.write_text('[surfaces.slate]\nspread = "0.1mm"\n', encoding="utf-8")

    with pytest.raises(SettingsError, match=r"no press figures for the surface 'slate'.*\[press.slate\]"):
        read_catalogue(read_settings(file, known_keys())).press_figures("slate")


def test_every_key_is_a_field() -> None:
    """A settings table of press figures knows exactly what the figures hold."""
    assert {"press", "moisture", "film-on", "coat-dry", "feather", "under", "over", "source", "made-for"} <= PRESS_KEYS
    assert "surface" not in PRESS_KEYS
    assert figures_of("x", {"press": "380F 50s", "under": "two cards"}).under == "two cards"
