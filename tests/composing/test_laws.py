"""What holds of every composed sign: air, middle, leading, levels, arcs, and that it hardly changes with the wood.

The suite tries some of each; `COMPOSING_ALL=1 python -m pytest tests/composing` tries all faces, blanks and names.
"""

from __future__ import annotations

import itertools
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from studio.basics.errors import SettingsError
from studio.composing.compose import compose
from studio.composing.prices import TERMS
from studio.layout.arrange import lay
from studio.layout.placement import PlacedLettering
from studio.model.sign import Composing
from studio.pipeline import plan as planning
from studio.pipeline.cache import area_for
from studio.pipeline.types import Plan
from studio.storage.assets import shipped_words
from studio.storage.sign_builder import build_sign
from tests.composing.signs import (
    BLANKS,
    IS_WHOLE,
    assets,
    broken,
    catalogue,
    centroid_x_mm,
    ink_of,
    name_of,
    off_middle,
    planned,
)

NAMES = (
    "Juniper",
    "Bo",
    "Wrenna & Otto",
    "The Birch Cabin",
    "Cabin 7",
    "Welcome to our cabin",
    "Otter Creek Lodge est. 1968",
    "Grandma & Grandpa’s Porch",
    "The Okafor Family",
    "Bartholomew & Jo",
    "Lady of the Lake",
    "Мария и Павел",
)
FACES = ("Pacifico", "Nunito", "Young Serif", "Oswald", "Lobster", "Alfa Slab One", "Rubik", "Roboto Slab")
ARTWORKS = ("none", "pine-ring", "loon-lake", "fern-berries", "lantern", "leaping-trout", "canoe-dawn")
AIR = {"full": 0.15, "balanced": 0.28, "calm": 0.44}


def _some(step: int) -> list[tuple[str, str, str]]:
    every = list(itertools.product(FACES, BLANKS.values(), NAMES))
    return every if IS_WHOLE else every[3::step]


@pytest.mark.parametrize(("face", "blank", "text"), _some(17))
def test_ink_keeps_its_air_on_bare_wood(face: str, blank: str, text: str) -> None:
    """Every edge keeps the composition's air to the safe zone, in cap heights; no check refuses."""
    made = planned(text, face=face, blank=blank)
    lettering = name_of(made)
    depth = made.sign.blank.rim.depth_mm(ink_of(lettering)).min() - made.sign.safe_margin_mm
    assert depth >= AIR["balanced"] * lettering.cap_height_mm
    assert [one.code for one in made.findings if one.severity == "refuse"] == []


@pytest.mark.parametrize("composition", AIR)
@pytest.mark.parametrize("artwork", ARTWORKS)
def test_ink_keeps_its_air_to_pictures(composition: str, artwork: str) -> None:
    """Every edge keeps the composition's air to the rim and to what the picture fills to the eye."""
    for text in NAMES if IS_WHOLE else NAMES[::4]:
        made = planned(text, artwork=artwork, composition=composition, face="Nunito")
        lettering, area = name_of(made), made.area
        assert area is not None
        if any(code == "composition" for code, _ in (lettering.composed.remarks if lettering.composed else ())):
            continue
        ink = ink_of(lettering)
        least = float(made.sign.blank.rim.depth_mm(ink).min())
        if area.dense is not None:
            least = min(least, float(area.dense.nearest(ink).min()))
        assert least >= AIR[composition] * lettering.cap_height_mm, (artwork, text)
        assert [one.code for one in made.findings if one.severity == "refuse"] == []


@pytest.mark.parametrize(("face", "blank", "text"), _some(23))
def test_lettering_stands_on_the_middle(face: str, blank: str, text: str) -> None:
    """On bare wood the middle of ink and box is on the axis within 1.5 % of the width, and the white above is right."""
    made = planned(text, face=face, blank=blank)
    lettering, wood = name_of(made), made.sign.blank
    box = lettering.ink_box
    middle = (centroid_x_mm(lettering) + (box.left_mm + box.right_mm) / 2) / 2
    assert abs(middle) <= 0.015 * wood.width_mm
    assert abs(off_middle([lettering], wood)) <= 0.08


@pytest.mark.parametrize("text", NAMES)
@pytest.mark.parametrize("face", FACES if IS_WHOLE else FACES[::3])
def test_lines_are_led_evenly_and_hold_together(face: str, text: str) -> None:
    """Lines of one size stand equally far apart to 0.1 mm, and none is under 0.45 of the longest but a number."""
    for blank in BLANKS.values() if IS_WHOLE else ("round-10in", "plaque-12x6in"):
        lettering = name_of(planned(text, face=face, blank=blank))
        sizes = lettering.line_sizes or (1.0,) * len(lettering.lines)
        gaps: dict[tuple[float, float], set[float]] = {}
        baselines = _baselines_mm(lettering)
        for index in range(1, len(sizes)):
            gaps.setdefault((sizes[index - 1], sizes[index]), set()).add(baselines[index - 1] - baselines[index])
        assert all(max(found) - min(found) <= 0.1 for found in gaps.values())
        widths = _widths_mm(lettering)
        for size in set(sizes):
            alike = [index for index, own in enumerate(sizes) if own == size]
            longest = max(widths[index] for index in alike)
            for index in alike:
                if not any(letter.isdigit() for letter in lettering.lines[index]):
                    assert widths[index] >= 0.45 * longest or lettering.lines[index] in ("Bo", "& Jo"), lettering.lines


def _baselines_mm(lettering: PlacedLettering) -> list[float]:
    return [
        next(letter.y_mm for letter in lettering.letters if letter.line == number)
        for number in range(len(lettering.lines))
    ]


def _widths_mm(lettering: PlacedLettering) -> list[float]:
    widths = []
    for number in range(len(lettering.lines)):
        x = np.concatenate(
            [part[:, 0] for letter in lettering.letters if letter.line == number for part in letter.contours]
        )
        widths.append(float(np.ptp(x)))
    return widths


@pytest.mark.parametrize(("face", "blank", "text"), _some(29))
def test_reduced_lines_are_of_the_scale_and_printable(face: str, blank: str, text: str) -> None:
    """A smaller line is 0.41 to 0.75 of the name, and holds on the surface or is told."""
    made = planned(text, face=face, blank=blank)
    lettering = name_of(made)
    assert all(size == 1 or 0.41 - 1e-9 <= size <= 0.75 for size in lettering.line_sizes)
    weak = [one for one in (*made.thickness[0].strokes, *made.thickness[0].gaps) if one.width_mm < 0.81 * 0.995]
    told = {one.code for one in made.findings}
    assert not weak or told & {"thin-stroke", "narrow-gap"}


@pytest.mark.parametrize("blank", list(BLANKS.values()))
@pytest.mark.parametrize("text", ["Fiona", "Wilhelmina", "Captain Bartholomew"])
def test_no_arc_on_bare_wood_unless_asked_for(blank: str, text: str) -> None:
    """Without a picture a name is set straight; asked for, an arc it is."""
    assert name_of(planned(text, blank=blank)).layout == "box"
    assert name_of(planned(text, blank=blank, layout="arc-top")).layout == "arc-top"


@pytest.mark.parametrize("artwork", ["loon-lake", "mountain-ridge", "fern-berries", "canoe-dawn"])
def test_arcs_by_choice_are_gentle(artwork: str) -> None:
    """An arc that nobody asked for has 7 letters or more, 50 to 150 degrees, and capitals up to 0.3 of its radius."""
    for text in ("Fiona", "Nana’s Kitchen", "Tobias & Clementine", "The Wrenfields", "Captain Bartholomew"):
        lettering = name_of(planned(text, artwork=artwork, face="Nunito"))
        if lettering.layout != "box":
            assert sum(not letter.letter.isspace() for letter in lettering.letters) >= 7
            assert 50 <= lettering.sweep_deg <= 150
            assert lettering.baseline_radius_mm is not None
            assert lettering.cap_height_mm <= 0.3 * lettering.baseline_radius_mm


@pytest.mark.parametrize("text", ["Marlow & Tess", "The Birch Cabin", "Wilhelmina"])
@pytest.mark.parametrize("artwork", ["none", "pine-ring", "loon-lake"])
def test_largest_is_the_old_rule(text: str, artwork: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """`--composition largest` places every letter where the largest fit does, to the last bit."""
    values = {"artwork": artwork, "face": "Pacifico", "composition": "largest"}
    made = name_of(planned(text, **values))
    monkeypatch.setattr(planning, "compose", lambda wanted, area, surface, *_: lay(wanted, area, surface.finest_gap_mm))
    old = name_of(planned(text, **values))
    assert made.lines == old.lines and made.em_mm == old.em_mm
    assert all((one == other).all() for one, other in zip(made.contours, old.contours, strict=True))


@pytest.mark.parametrize("text", NAMES[::3])
def test_the_same_text_twice_is_the_same_sign(text: str) -> None:
    """What was composed before leaves no trace in what comes after."""
    first = name_of(planned(text, artwork="pine-ring", face="Lobster"))
    for other in NAMES[:3]:
        planned(other, artwork="pine-ring", face="Lobster")
    again = name_of(planned(text, artwork="pine-ring", face="Lobster"))
    assert all((one == other).all() for one, other in zip(first.contours, again.contours, strict=True))


def test_a_percent_of_wood_hardly_changes_a_sign() -> None:
    """Of many names at most 3 % are broken or laid otherwise on a blank 1 % larger: a maker measures twice."""
    names = [*NAMES, *_kept_names()]
    names = names[:500] if IS_WHOLE else names[::6][:40]
    changed = 0
    for index, text in enumerate(names):
        face = FACES[index % len(FACES)]
        values = {"face": face, "artwork": "none"}
        one, other = (name_of(planned(text, blank=f"round:{size}mm", **values)) for size in (250.0, 252.5))
        changed += (one.layout, broken(one)) != (other.layout, broken(other))
    assert changed <= max(1, 0.03 * len(names))


def _kept_names() -> list[str]:
    """Return names made of parts, so that there are many with short words in them."""
    firsts = ("Juniper", "Otto", "Wilhelmina", "Tess", "Bartholomew", "Ida", "Zoë", "Marlow", "Fern", "Captain Bo")
    forms = (
        "{0}",
        "{0} & {1}",
        "The {0} Family",
        "{0}’s Cabin",
        "Welcome to {0} Point",
        "{0} of the Lake",
        "Cabin {2}",
        "{0} and {1} est. 19{2}",
        "The {0}s",
        "Home of {0} & {1}",
    )
    return [
        form.format(firsts[one], firsts[(one + 3 + shift) % 10], 10 + one + 7 * shift)
        for shift in range(5)
        for form in forms
        for one in range(10)
    ]


def test_a_scored_candidate_is_never_one_percent_better() -> None:
    """The candidate that was set scores best of all that were built."""
    for text in NAMES:
        composed = name_of(planned(text, face="Nunito", artwork="pine-ring")).composed
        assert composed is not None
        built = [one for one in composed.candidates if not one.is_estimate]
        assert max(one.score for one in built) <= composed.candidates[0].score + 0.01


@pytest.mark.parametrize(
    ("text", "values", "words"),
    [
        ("The Okafor Family", {"emphasis": "Smith"}, "“Smith” is not in the text"),
        ("The Okafor Family", {"small": "and"}, "“and” is not in the text"),
        ("The Okafor Family", {"cap": "20mm", "same_size": "list"}, "one size changes nothing"),
        ("of the", {}, "only short words"),
        (" ".join(["Loon"] * 40), {"blank": "round-18in"}, "40 words"),
    ],
)
def test_odd_wishes_get_a_sentence_and_a_sign(text: str, values: dict[str, str], words: str) -> None:
    """What cannot be followed is told in a sentence, and the sign is made all the same."""
    made = planned(text, face="Nunito", **values)
    assert any(words in one.message for one in made.findings)
    assert made.placement is not None


@pytest.mark.parametrize("text", ["Q", "i", "7", "&"])
def test_one_letter_is_a_sign(text: str) -> None:
    """One letter stands on the middle, at most half the room high."""
    lettering = name_of(planned(text, face="Nunito"))
    assert lettering.cap_height_mm <= 0.5 * 254
    assert abs(lettering.ink_box.left_mm + lettering.ink_box.right_mm) < 6


@pytest.mark.parametrize("breathing", ["-0.1", "2.5", "much"])
def test_impossible_breathing_is_refused_in_words(breathing: str) -> None:
    """A breathing room that makes no sense is named with its option."""
    with pytest.raises(SettingsError) as caught:
        build_sign("Tess", {"breathing": breathing}, catalogue())
    assert caught.value.option == "breathing" and caught.value.advice


def test_second_texts_are_composed_with_the_name() -> None:
    """A second text is a line of the block at about 0.41, above where it says welcome; an arc keeps its place."""
    below = planned("Marlow", also=("box=est. 2019",), face="Nunito")
    assert below.placement is not None
    name, year = below.placement.letterings
    assert 0.41 - 1e-6 <= year.cap_height_mm / name.cap_height_mm <= 0.64 + 1e-6
    assert year.ink_box.top_mm < name.ink_box.bottom_mm
    above = planned("Marlow", also=("box=Welcome to",), face="Nunito")
    assert above.placement is not None
    name, welcome = above.placement.letterings
    assert welcome.ink_box.bottom_mm > name.ink_box.top_mm
    arched = planned("Marlow", also=("arc-bottom=est. 2019",), face="Nunito")
    assert arched.placement is not None
    name, arc = arched.placement.letterings
    assert arc.layout == "arc-bottom" and arc.cap_height_mm <= 0.47 * name.cap_height_mm


def test_an_arc_without_room_becomes_a_line() -> None:
    """Where the picture leaves no rim, a second text on an arc stands as a line instead of being refused."""
    made: Plan = planned("Fiona", also=("arc-bottom=est. 2019",), artwork="fern-berries", face="Nunito")
    assert made.placement is not None and made.status != "refused"
    assert made.placement.letterings[1].layout == "box"


def test_the_data_file_is_read_and_is_no_list_of_names() -> None:
    """Kinds of words come from the data file; taken away, every word counts as a name's."""
    table = tomllib.loads((Path(__file__).parents[2] / "assets" / "words.toml").read_text(encoding="utf-8"))
    assert len(table) >= 12
    assert "articles" in {kind for kinds in shipped_words().kinds_in(["the", "Halvorsens"]) for kind in kinds}
    sign = build_sign("The Halvorsens", {"artwork": "none", "face": "Nunito"}, catalogue())
    assert area_for(sign, assets()).is_plain
    assert replace(sign, composing=Composing("calm")).composing.composition == "calm"
    assert callable(compose)


def test_the_terms_stand_in_the_developers_page() -> None:
    """DEVELOPERS.md shows every term with its rule, price and source, as the program holds them."""
    page = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    for term in TERMS:
        assert f"| {term.name} | {term.rule} | {term.price} | {term.source} |" in page
