from __future__ import annotations

import hashlib
import pickle
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from studio.basics.errors import FontError, PictureError, SettingsError
from studio.model.sign import FaceChoice
from studio.storage.assets import FileAssets
from studio.storage.catalogue import read_catalogue
from studio.storage.fonts import FaceEntry
from studio.storage.paths import shipped_folder
from studio.storage.workspace import open_shop

SPREADS_MM = {"factory": 0.12, "laminate": 0.15, "film": 0.17, "clear-coat": 0.25, "painted": 0.27, "bare": 0.35}


@pytest.fixture(autouse=True)
def no_own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the settings of whoever runs the tests out of them."""
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "nothing"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def test_shipped_blanks() -> None:
    """The rounds sold by the inch, one with two rope holes, an oval and two plaques are there, smallest first."""
    blanks = {blank.name: blank for blank in read_catalogue().blanks}
    for size in (4, 6, 8, 10, 12, 18):
        assert (blanks[f"round-{size}in"].width_mm, blanks[f"round-{size}in"].height_mm) == pytest.approx(
            (25.4 * size,) * 2
        )
    assert len(blanks["round-12in-rope"].holes) == 2
    assert sum(blank.shape == "oval" for blank in blanks.values()) == 1
    assert sum(blank.shape == "rect" for blank in blanks.values()) == 2
    assert list(blanks)[:4] == ["round-4in", "round-6in", "round-8in", "round-10in"]


def test_rope_holes_lie_on_the_wood() -> None:
    """Every shipped hole lies wholly inside its blank."""
    for blank in read_catalogue().blanks:
        for hole in blank.holes:
            depth_mm = float(blank.rim.depth_mm(np.array([[hole.x_mm, hole.y_mm]]))[0])
            assert depth_mm > hole.diameter_mm / 2, blank.name


def test_shipped_surfaces() -> None:
    """The six surfaces hold their starting spreads and a description each."""
    surfaces = read_catalogue().surfaces
    assert {surface.name: surface.spread_mm for surface in surfaces} == SPREADS_MM
    assert all(surface.description for surface in surfaces)


def test_shipped_faces_are_the_files_that_were_listed() -> None:
    """Each of the sixteen faces has its file, its licence text and the digest in the list."""
    faces = read_catalogue().faces
    assert len(faces) == 16
    for face in faces:
        assert hashlib.sha256(face.file.read_bytes()).hexdigest() == face.sha256, face.name
        assert (shipped_folder("fonts") / face.licence_file).read_text(encoding="utf-8").strip(), face.name
        assert face.licence in ("OFL-1.1", "Apache-2.0")
        assert face.provenance


def test_listed_weights_are_the_files_own() -> None:
    """The list's weight ranges are the axes of the files, and every face opens at its good weight."""
    catalogue = read_catalogue()
    assets = FileAssets(catalogue)
    for entry in catalogue.faces:
        face = assets.face(FaceChoice(entry.name))
        assert face.weight_range == entry.weights, entry.name
        assert face.weight == entry.good_weight, entry.name


@pytest.mark.parametrize("name", ["Alfa Slab One", "AlfaSlabOne", "alfa-slab-one", "ALFA SLAB ONE", "alfa_slab_one"])
def test_faces_are_found_however_they_are_spelled(name: str) -> None:
    """Case, spaces and dashes do not matter in a face's name."""
    assert read_catalogue().face(name).entry.name == "Alfa Slab One"


def test_assets_keep_what_it_read_and_travels_light() -> None:
    """A face is opened once for each weight; assets in another process start from their catalogue alone."""
    assets = FileAssets(read_catalogue())
    assert assets.face(FaceChoice("Nunito")) is assets.face(FaceChoice("Nunito"))
    assert assets.face(FaceChoice("Nunito", 800)).weight == 800
    assert assets.face(FaceChoice("Nunito")).weight == 700
    packed = pickle.dumps(assets)
    assert len(packed) < 50_000
    assert pickle.loads(packed).face(FaceChoice("Nunito")).sha256 == assets.face(FaceChoice("Nunito")).sha256


def test_stand_ins_are_the_other_faces_likest_first() -> None:
    """A script's first stand-in is a script; none stands in for itself; all fifteen others are there."""
    assets = FileAssets(read_catalogue())
    stand_ins = assets.stand_ins(assets.face(FaceChoice("Pacifico")))
    assert [choice.name for choice in stand_ins[:2]] == ["Lobster", "Yellowtail"]
    assert len({choice.name for choice in stand_ins} - {"Pacifico"}) == 15
    assert assets.stand_ins(assets.face(FaceChoice("Alfa Slab One")))[0].name == "Roboto Slab"


def test_own_fonts_by_path_and_folder(tmp_path: Path) -> None:
    """A font file is found by its path, and by its name when it lies in the workshop's own folder."""
    shipped = read_catalogue().face("Righteous").entry.file
    own = tmp_path / "fonts" / "Dockside-Regular.ttf"
    own.parent.mkdir()
    own.write_bytes(shipped.read_bytes())
    catalogue = read_catalogue(font_folder=own.parent)
    assets = FileAssets(catalogue)
    assert catalogue.face("dockside").entry.file == own
    assert assets.face(FaceChoice("Dockside")).sha256 == assets.face(FaceChoice(str(own))).sha256
    assert not catalogue.face("dockside").entry.is_shipped


def test_own_font_never_hides_a_shipped_one(tmp_path: Path) -> None:
    """A file named like a shipped face gets its ending into its name, so that old orders stay as they were."""
    (tmp_path / "Pacifico.ttf").write_bytes(read_catalogue().face("Righteous").entry.file.read_bytes())
    catalogue = read_catalogue(font_folder=tmp_path)
    assert catalogue.face("Pacifico").entry.is_shipped
    assert catalogue.faces[-1].name == "Pacifico.ttf"


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "not a TrueType"), (b"hello there, no font", "not a TrueType"), (None, "not there")],
)
def test_bad_font_files_are_told(tmp_path: Path, content: bytes | None, words: str) -> None:
    """A missing, an empty and a foreign font file are refused by name."""
    file = tmp_path / "bad.ttf"
    if content is not None:
        file.write_bytes(content)
    assets = FileAssets(read_catalogue())
    with pytest.raises(FontError, match=words) as caught:
        assets.face(FaceChoice(str(file)))
    assert "bad.ttf" in str(caught.value)


def test_changed_shipped_font_is_refused(tmp_path: Path) -> None:
    """A shipped font whose bytes changed is not used in silence."""
    catalogue = read_catalogue()
    entry = catalogue.face("Righteous").entry
    fake = FaceEntry(**{name: getattr(entry, name) for name in FaceEntry.__dataclass_fields__} | {"sha256": "0" * 64})
    from dataclasses import replace

    assets = FileAssets(replace(catalogue, faces=(fake,)))
    with pytest.raises(FontError, match="not the one that shipped"):
        assets.face(FaceChoice("Righteous"))


def test_shipped_artwork_says_what_it_is() -> None:
    """Every shipped picture has title, size, lettering colour, 300 dpi and a file under 4 MB; none is faulty."""
    catalogue = read_catalogue()
    pieces = {"pine-ring", "canoe-dawn", "loon-lake", "campfire-stars", "mountain-ridge", "leaping-trout", "lantern"}
    assert {artwork.name for artwork in catalogue.artworks} == pieces | {"fern-berries"}
    assert catalogue.faults == ()
    for artwork in catalogue.artworks:
        assert artwork.title, artwork.name
        assert artwork.lettering_colour is not None, artwork.name
        assert artwork.width_mm is not None, artwork.name
        assert artwork.width_px / artwork.width_mm * 25.4 >= 299, artwork.name
        assert Path(artwork.source).stat().st_size < 4_000_000, artwork.name


def test_own_artwork_folder_with_a_bad_picture(tmp_path: Path) -> None:
    """A picture that cannot be used bars only itself: the others are listed, and choosing it tells why."""
    Image.new("RGBA", (300, 200)).save(tmp_path / "dock.png", dpi=(300, 300))
    (tmp_path / "torn.png").write_bytes(b"no picture")
    (tmp_path / "misspelt.png").write_bytes((tmp_path / "dock.png").read_bytes())
    (tmp_path / "misspelt.toml").write_text("titel = 'x'\n")
    catalogue = read_catalogue(artwork_folder=tmp_path)
    dock = catalogue.artwork("dock")
    assert dock.width_mm == pytest.approx(25.4, abs=0.01)
    assert {fault.name for fault in catalogue.faults} == {"torn", "misspelt"}
    with pytest.raises(PictureError, match="title"):
        catalogue.artwork("misspelt")


def test_artwork_note_beside_a_picture(tmp_path: Path) -> None:
    """Size, open area and colour come from the note; the area's box is given by its centre."""
    picture = tmp_path / "dock.png"
    Image.new("RGBA", (300, 200)).save(picture)
    (tmp_path / "dock.toml").write_text(
        'title = "Dock"\nwidth_mm = 120\nheight_mm = 80\nlettering_color = "#102030"\nlayout = "box"\n'
        "[open_area]\nx_mm = 10\ny_mm = -20\nwidth_mm = 40\nheight_mm = 30\n"
    )
    artwork = read_catalogue().artwork(str(picture))
    assert artwork.open_area is not None
    area = artwork.open_area
    assert (area.left_mm, area.bottom_mm, area.right_mm, area.top_mm) == (-10, -35, 30, -5)
    assert (artwork.width_mm, artwork.height_mm, artwork.layout_hint) == (120, 80, "box")


def test_own_blanks_and_surfaces_from_settings(tmp_path: Path) -> None:
    """A settings file adds blanks and surfaces, replaces shipped ones of the same name, and sets options."""
    (tmp_path / "sapwood.toml").write_text(
        '[sign]\nblank = "paddle"\nhole = ["0mm,0mm,9mm"]\nartwork = "art/dock.png"\n'
        '[blanks.paddle]\nshape = "rect:600mmx120mm:60mm"\nholes = ["280mm,0mm,8mm"]\nthickness = "15mm"\n'
        '[surfaces.bare]\nspread = "0.4mm"\nbase-color = "#caa472"\n'
    )
    shop = open_shop(folder=tmp_path, environment={})
    paddle = shop.catalogue.blank("Paddle")
    assert (paddle.width_mm, paddle.corner_radius_mm, paddle.thickness_mm, len(paddle.holes)) == (600, 60, 15, 1)
    assert shop.catalogue.surface("bare").spread_mm == 0.4
    assert shop.values["blank"] == "paddle"
    assert shop.values["hole"] == ("0mm,0mm,9mm",)
    assert shop.values["artwork"] == str(tmp_path / "art/dock.png")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[blanks.paddle]\nshpe = "round:10in"\n', ("sapwood.toml", "shpe", "shape")),
        ("[blanks.paddle]\nholes = []\n", ("sapwood.toml", "paddle", "no shape")),
        ('[blanks.paddle]\nshape = "round:10"\n', ("sapwood.toml", "paddle", "no unit")),
        ('[surfaces.dock]\nspread = "9mm"\n', ("sapwood.toml", "dock", "spread")),
        ('[sign]\nblnk = "x"\n', ("sapwood.toml", "blnk", "blank")),
        ('[sign]\nfont_folder = "nowhere"\n', ("font_folder", "nowhere")),
    ],
)
def test_mistakes_in_settings_are_named(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    """A mistake in a settings file is told with file, key and what was wrong."""
    (tmp_path / "sapwood.toml").write_text(text)
    with pytest.raises(SettingsError) as caught:
        open_shop(folder=tmp_path, environment={})
    assert all(word in str(caught.value) for word in words), str(caught.value)


def test_environment_beats_settings_and_names_own_folders(tmp_path: Path) -> None:
    """A variable wins over the settings file, and can name the workshop's own folders."""
    (tmp_path / "sapwood.toml").write_text('[sign]\nblank = "round-6in"\nsurface = "bare"\n')
    pictures = tmp_path / "pictures"
    pictures.mkdir()
    Image.new("RGBA", (30, 20)).save(pictures / "dock.png")
    shop = open_shop(
        folder=tmp_path, environment={"SAPWOOD_BLANK": "round-8in", "SAPWOOD_ARTWORK_FOLDER": str(pictures)}
    )
    assert shop.values == {"blank": "round-8in", "surface": "bare"}
    assert shop.catalogue.artwork("dock").width_px == 30


def test_a_weight_asked_for_first_takes_no_measures_from_the_good_one() -> None:
    """A face that was opened at another weight first still has its letters measured ahead at its good weight."""
    assets = FileAssets(read_catalogue())

    assert assets.face(FaceChoice("Nunito", 300.0)).weight == 300.0
    good = assets.face(FaceChoice("Nunito"))

    assert good.glyph(good.font.get_nominal_glyph(ord("H"))).measured is not None
