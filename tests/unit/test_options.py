from __future__ import annotations

import math
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageCms

from studio.basics.errors import SettingsError
from studio.cli.wording import advice_of, message_of
from studio.model import sign as sign_module
from studio.model.options import (
    BY_KEY,
    LAYOUTS,
    OPTIONS,
    Value,
    default_values,
    from_cells,
    from_environment,
    merged_values,
    nearest,
    stray_variables,
)
from studio.model.sign import LetteringOrder, Sign
from studio.model.woods import WOODS
from studio.storage.catalogue import Catalogue, read_catalogue
from studio.storage.sign_builder import build_sign


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """Return what ships."""
    return read_catalogue()


def lettering(catalogue: Catalogue, **values: Value) -> LetteringOrder:
    """Return the first lettering of a sign with these values."""
    return build_sign("Pikewater", values, catalogue).letterings[0]


def made(catalogue: Catalogue, **values: Value) -> Sign:
    """Return a sign with these values."""
    return build_sign("Pikewater", values, catalogue)


def test_stated_defaults_are_the_silent_ones(catalogue: Catalogue) -> None:
    """Typing every default of the table gives the very sign that typing nothing gives."""
    silent = build_sign("Pikewater", {}, catalogue)
    typed = build_sign("Pikewater", default_values(), catalogue)
    assert typed == silent


def test_choices_are_the_signs_own() -> None:
    """The table's lists of choices are those that the sign's fields take."""
    fields = {
        "layout": sign_module.Layout,
        "spacing": sign_module.Spacing,
        "follow": sign_module.Follow,
        "case": sign_module.LetterCase,
        "repair": sign_module.Repair,
        "background": sign_module.Background,
        "composition": sign_module.Composition,
        "same_size": sign_module.SameSize,
    }
    assert set(LAYOUTS) == set(get_args(sign_module.Layout))
    for key, literal in fields.items():
        assert set(BY_KEY[key].choices) == set(get_args(literal)), key
        assert BY_KEY[key].default in BY_KEY[key].choices, key
    with_choices = {option.key for option in OPTIONS if option.choices}
    assert BY_KEY["wood"].choices == ("plain", *WOODS, "none")
    assert with_choices == {*fields, "wood"}


CHANGES: dict[str, tuple[Value, str]] = {
    "blank": ("oval:300mmx200mm", "blank"),
    "hole": (("0mm,100mm,8mm",), "blank"),
    "margin": ("12mm", "margin_mm"),
    "surface": ("bare", "surface"),
    "spread": ("0.2mm", "surface"),
    "artwork": ("none", "artwork"),
    "artwork_fit": ("cover", "artwork"),
    "artwork_at": ("3mm,-2mm", "artwork"),
    "artwork_turn": ("90", "artwork"),
    "artwork_threshold": ("10", "artwork"),
    "bleed": ("4mm", "bleed_mm"),
    "waste": ("0mm", "waste_mm"),
    "dpi": ("150", "dpi"),
    "background": ("transparent", "background"),
    "repair": ("auto", "repair"),
    "face": ("Lobster", "letterings"),
    "weight": ("800", "letterings"),
    "layout": ("arc-bottom", "letterings"),
    "also": (("arc-bottom=est. 2019",), "letterings"),
    "cap": ("20mm", "letterings"),
    "max_cap": ("30mm", "letterings"),
    "min_cap": ("6mm", "letterings"),
    "shift": ("-3mm,2mm", "letterings"),
    "sweep": ("200", "letterings"),
    "color": ("#3b2314", "letterings"),
    "outline": ("1mm:#ffffff", "letterings"),
    "spacing": ("plain", "letterings"),
    "follow": ("letters", "letterings"),
    "case": ("capitals", "letterings"),
    "features": ("ss01,liga=0", "letterings"),
    "fallback": ("no", "letterings"),
    "composition": ("calm", "composing"),
    "breathing": ("0.2", "composing"),
    "emphasis": ("none", "composing"),
    "small": ("The", "composing"),
    "same_size": ("list", "composing"),
    "wood": ("maple", "wood"),
}


@pytest.mark.parametrize("key", sorted(BY_KEY))
def test_every_option_reaches_the_sign(key: str, catalogue: Catalogue, tmp_path: Path) -> None:
    """Each option of the table changes the field of the sign that it is for, and no other."""
    base: dict[str, Value] = {}
    if key in ("also_face", "also_color"):
        base = {"also": ("box=est. 2019",)}
        changed = base | {key: "Nunito" if key == "also_face" else "#123456"}
        field = "letterings"
    elif key == "clearance":
        base = {"blank": "round-12in-rope"}
        changed, field = base | {key: "9mm"}, "blank"
    elif key == "profile":
        profile = tmp_path / "srgb.icc"
        profile.write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
        changed, field = {key: str(profile)}, "profile"
    elif key == "grain":
        base = {"wood": "maple"}
        changed, field = base | {key: "across"}, "wood"
    else:
        value, field = CHANGES[key]
        base = {} if key == "layout" else {"layout": "arc-top"}
        changed = base | {key: value}
    before, after = build_sign("Pikewater", base, catalogue), build_sign("Pikewater", changed, catalogue)
    assert getattr(before, field) != getattr(after, field)
    others = set(Sign.__dataclass_fields__) - {field}
    assert all(getattr(before, other) == getattr(after, other) for other in others)


def test_values_mean_what_they_say(catalogue: Catalogue) -> None:
    """Lengths, degrees, colours, features and rings arrive in the units of the sign."""
    one = lettering(
        catalogue, sweep="200°", shift="-3mm,1/2in", features="ss01,-liga,cv05=3", outline="0.5mm:#fff", cap="1in"
    )
    assert one.sweep_rad == pytest.approx(math.radians(200))
    assert (one.shift_x_mm, one.shift_y_mm) == (-3.0, 12.7)
    assert one.features == (("ss01", 1), ("liga", 0), ("cv05", 3))
    assert one.ring is not None
    assert (one.ring.width_mm, one.ring.colour and one.ring.colour.hex) == (0.5, "#ffffff")
    assert one.cap_mm == 25.4
    setting = made(catalogue, artwork_fit="12in", artwork_turn="-90", artwork_at="1mm,-1cm").artwork
    assert setting is not None
    assert (setting.fit, setting.width_mm) == ("width", pytest.approx(304.8))
    assert setting.turn_rad == pytest.approx(-math.pi / 2)
    assert (setting.x_mm, setting.y_mm) == (1.0, -10.0)


def test_text_typed_under_a_plain_locale(catalogue: Catalogue) -> None:
    """Bytes that the system's locale could not read are read as UTF-8, which they are."""
    assert build_sign("Zo\udcc3\udcab", {}, catalogue).letterings[0].text == "Zoë"


def test_artwork_says_which_layout_suits_it(catalogue: Catalogue) -> None:
    """Where nobody asks for a layout, the artwork's own is taken, and fitting's choice where it states none."""
    hinted = next(artwork for artwork in catalogue.artworks if artwork.layout_hint is not None)
    assert lettering(catalogue, artwork=hinted.name).layout == hinted.layout_hint
    assert lettering(catalogue, artwork=hinted.name, layout="arc-top").layout == "arc-top"
    assert lettering(catalogue, artwork="none").layout == "auto"


def test_line_ends_may_be_typed(catalogue: Catalogue) -> None:
    """A literal backslash-n in the text is a line end, in further texts too."""
    sign = build_sign(r"Marlow\nTess", {"also": (r"box=est.\n2019",)}, catalogue)
    assert [order.text for order in sign.letterings] == ["Marlow\nTess", "est.\n2019"]


def test_further_texts_share_all_but_size_and_place(catalogue: Catalogue) -> None:
    """A further text is set as the first one is, but neither at its fixed size nor moved with it."""
    values: dict[str, Value] = {"also": ("arc-bottom=est=2019",), "cap": "3mm", "shift": "1mm,1mm", "color": "#112233"}
    first, second = build_sign("Pikewater", values, catalogue).letterings
    assert (second.text, second.layout) == ("est=2019", "arc-bottom")
    assert (second.cap_mm, second.shift_x_mm, second.min_cap_mm) == (None, 0.0, 5.0)
    assert (first.cap_mm, first.min_cap_mm) == (3.0, 3.0)
    assert second.colour == first.colour


def test_holes_typed_take_the_place_of_the_blanks_own(catalogue: Catalogue) -> None:
    """Own holes stay until others are typed; one word leaves all out, one keeps them."""
    rope = "round-12in-rope"
    assert len(made(catalogue, blank=rope).blank.holes) == 2
    assert len(made(catalogue, blank=rope, hole=("0mm,0mm,9mm",)).blank.holes) == 1
    assert made(catalogue, blank=rope, hole=("none",)).blank.holes == ()
    assert len(made(catalogue, blank=rope, hole=("own",), clearance="7mm").blank.holes) == 2
    assert {hole.clearance_mm for hole in made(catalogue, blank=rope, clearance="7mm").blank.holes} == {7.0}


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"blank": "rund-10in"}, ("--blank", "round-10in")),
        ({"face": "Pacificco"}, ("--face", "Pacifico")),
        ({"also_face": "Lobstr", "also": ("box=x",)}, ("--also-face", "Lobster")),
        ({"artwork": "pine-rin"}, ("--artwork", "pine-ring")),
        ({"surface": "paintd"}, ("--surface", "painted")),
        ({"layout": "arctop"}, ("--layout", "arc-top")),
        ({"also": ("arc-botom=hi",)}, ("--also", "arc-bottom")),
        ({"also": ("hello",)}, ("--also", "arc-bottom='est. 2019'")),
        ({"also": ("box= ",)}, ("--also", "no text")),
        ({"cap": "20"}, ("--cap", "no unit", "20mm")),
        ({"shift": "3mm"}, ("--shift", "5mm,-3mm")),
        ({"sweep": "wide"}, ("--sweep", "160")),
        ({"sweep": "400"}, ("--sweep", "330")),
        ({"weight": "0"}, ("--weight", "1000")),
        ({"dpi": "299.5"}, ("--dpi", "whole")),
        ({"dpi": "9000"}, ("--dpi", "1200")),
        ({"outline": "0mm"}, ("--outline", "50 mm")),
        ({"outline": "1mm:reddish"}, ("--outline", "#3b2314")),
        ({"features": "liga=0;ss01"}, ("--features", "ss01,liga=0")),
        ({"fallback": "perhaps"}, ("--fallback", "yes or no")),
        ({"artwork_fit": "covr"}, ("--artwork-fit", "cover")),
        ({"artwork_fit": "0mm"}, ("--artwork-fit", "3 mm")),
        ({"artwork_threshold": "101"}, ("--artwork-threshold", "100", "wholly opaque")),
        ({"color": "brownish"}, ("--color", "#3b2314")),
        ({"hole": ("1mm,2mm",)}, ("hole", "0mm,110mm,8mm")),
        ({"blnk": "x"}, ("--blnk", "blank")),
        ({"max_cap": "3mm", "min_cap": "6mm"}, ("--max-cap", "--min-cap")),
    ],
)
def test_mistakes_name_the_option_and_a_way_out(
    values: dict[str, Value], words: tuple[str, ...], catalogue: Catalogue
) -> None:
    """A wrong value is refused in a sentence with the option's name and what to write in its place."""
    with pytest.raises(SettingsError) as caught:
        build_sign("Pikewater", values, catalogue)
    said = f"{message_of(caught.value)} {advice_of(caught.value)}"
    assert all(word in said for word in words), said


@pytest.mark.parametrize("text", ["", "  ", r"\n", "x" * 501, "caf\udce9"])
def test_texts_that_are_none(text: str, catalogue: Catalogue) -> None:
    """An empty, an endless and an undecodable text are refused."""
    with pytest.raises(SettingsError):
        build_sign(text, {}, catalogue)


def test_later_layers_win_and_empty_ones_cover_nothing() -> None:
    """Settings give way to the environment, that to options, those to a row's cells; empty cells say nothing."""
    settings = from_cells({"blank": "round-6in", "face": "Lobster", "hole": "0mm,1mm,8mm\n\n0mm,2mm,8mm"})
    environment = from_environment({"SAPWOOD_FACE": "Nunito", "SAPWOOD_MAX_CAP": "20mm", "HOME": "/"})
    merged = merged_values(settings, environment, {"max_cap": "25mm"}, from_cells({"face": "", "note": "x"}))
    assert merged == {
        "blank": "round-6in",
        "face": "Nunito",
        "max_cap": "25mm",
        "hole": ("0mm,1mm,8mm", "0mm,2mm,8mm"),
    }


def test_stray_variables_are_told() -> None:
    """A variable that looks like an option and is none is told, with the nearest; known ones are not."""
    known = {"SAPWOOD_BLANK": "x", "SAPWOOD_SETTINGS": "x", "SAPWOOD_STATE": "x", "SAPWOOD_FONT_FOLDER": "x"}
    assert stray_variables(known) == ()
    (sentence,) = stray_variables(known | {"SAPWOOD_BLNK": "y"})
    assert "SAPWOOD_BLNK" in sentence
    assert "SAPWOOD_BLANK" in sentence


def test_nearest_is_silent_where_nothing_is_near() -> None:
    """A wild guess is not offered."""
    assert nearest("zzzzqq", ["round-10in"]) == "."
    assert nearest("zzzzqq", ["round-10in"], listed="known are round-10in") == "; known are round-10in."


@given(st.dictionaries(st.sampled_from(sorted(BY_KEY)), st.text(max_size=30), max_size=4), st.text(max_size=30))
def test_anything_typed_is_a_sign_or_a_sentence(values: dict[str, str], text: str) -> None:
    """Whatever stands in text and options, the answer is a sign or an error that has a sentence."""
    from studio.basics.errors import StudioError

    catalogue = read_catalogue()
    try:
        sign = build_sign(text, values, catalogue)
    except StudioError as problem:
        assert problem.message.endswith((".", "?"))
    else:
        assert sign.letterings


def test_wood_and_grain_mean_what_they_say(catalogue: Catalogue) -> None:
    """A wood with its grain's direction; half a turn is the same, plain is no wood, none is the surface's ground."""
    assert made(catalogue).wood is None
    assert made(catalogue, wood="plain").wood is None
    assert made(catalogue, wood="none").wood == sign_module.ProofWood("none", 0.0)
    assert made(catalogue, wood="Pine", grain="across").wood == sign_module.ProofWood("pine", math.radians(90))
    assert made(catalogue, wood="birch", grain="-15").wood == sign_module.ProofWood("birch", math.radians(165))
    for option, wrong in (("wood", "walnut"), ("grain", "sideways"), ("grain", "1e9x")):
        with pytest.raises(SettingsError) as raised:
            made(catalogue, **{option: wrong})
        assert raised.value.option == option and raised.value.advice


def test_a_sign_as_pressed_shows_the_wood_that_its_surface_shows(catalogue: Catalogue) -> None:
    """Unless asked otherwise bare wood is shown as birch, and a painted board on its own ground."""
    assert made(catalogue, surface="bare").as_pressed.wood == sign_module.ProofWood("birch")
    assert made(catalogue, surface="painted").as_pressed.wood == sign_module.ProofWood("none")
    assert made(catalogue, surface="bare", wood="pine").as_pressed.wood == sign_module.ProofWood("pine")
