"""What is kept of artwork and blank between two starts: the same to the last bit, and let go when anything is off."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from studio.model.sign import Sign
from studio.pipeline.cache import area_for, area_key, proof_base_for, render_cache_of
from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign
from studio.tui.saved.backgrounds import MOST_KEPT, SMALL_PX, keep, kept_file, lay_out


@pytest.fixture
def sign(catalogue: Catalogue) -> Sign:
    """A sign whose artwork leaves an open area that has to be found."""
    return build_sign("Pikewater", {"blank": "round-10in", "artwork": "pine-ring"}, catalogue)


@pytest.fixture
def worked_out(sign: Sign, shop_bench: FileAssets, catalogue: Catalogue) -> FileAssets:
    """A bench with the sign's ground on its shelf."""
    editor_screen = FileAssets(catalogue)
    editor_screen._pixels = shop_bench._pixels
    area_for(sign, editor_screen)
    proof_base_for(sign, editor_screen, SMALL_PX)
    return editor_screen


def test_what_was_kept_is_laid_out_again_to_the_last_bit(
    sign: Sign, worked_out: FileAssets, catalogue: Catalogue
) -> None:
    """A new bench is given the very map and picture that the other one had worked out."""
    keep(sign, worked_out)
    fresh = FileAssets(catalogue)
    assert lay_out(sign, fresh)
    area, again = area_for(sign, worked_out), area_for(sign, fresh)
    assert area.picture is not None and again.picture is not None
    assert np.array_equal(area.picture.values, again.picture.values)
    assert area.approximate is not None and again.approximate is not None
    assert np.array_equal(area.approximate.values, again.approximate.values)
    assert (area.box, area.on_picture, area.margin_mm) == (again.box, again.on_picture, again.margin_mm)
    base, once_more = (proof_base_for(sign, editor_screen, SMALL_PX) for editor_screen in (worked_out, fresh))
    assert base.window == once_more.window
    for name in ("ground", "share", "pressed"):
        assert np.array_equal(getattr(base, name), getattr(once_more, name))
    assert not fresh._pixels, "the artwork was read after all"


@pytest.mark.parametrize("damage", ["short", "changed", "empty", "other head"])
def test_a_damaged_ground_is_not_used(sign: Sign, worked_out: FileAssets, catalogue: Catalogue, damage: str) -> None:
    """A file that is cut short, changed, empty or no such file is passed over."""
    keep(sign, worked_out)
    file = kept_file(sign)
    data = bytearray(file.read_bytes())
    if damage == "changed":
        data[-1] ^= 1
    file.write_bytes({"short": data[:-9], "changed": data, "empty": b"", "other head": b"\x02\0\0\0[]"}[damage])
    fresh = FileAssets(catalogue)
    assert not lay_out(sign, fresh)
    assert area_key(sign) not in render_cache_of(fresh).areas


def test_other_measures_and_changed_files_have_grounds_of_their_own(sign: Sign, tmp_path: Path) -> None:
    """Margin, blank and the artwork's own file tell grounds apart."""
    assert sign.artwork is not None
    picture = tmp_path / "own.png"
    picture.write_bytes(Path(sign.artwork.artwork.source).read_bytes())
    own = replace(sign.artwork, artwork=replace(sign.artwork.artwork, source=str(picture)))
    files = {kept_file(sign), kept_file(replace(sign, bleed_mm=sign.bleed_mm + 1))}
    files.add(kept_file(replace(sign, artwork=own)))
    os.utime(picture, ns=(1, 1))
    files.add(kept_file(replace(sign, artwork=own)))
    assert len(files) == 4


def test_only_the_newest_grounds_are_kept(sign: Sign, worked_out: FileAssets) -> None:
    """Older ones are let go, so that the folder does not grow."""
    folder = kept_file(sign).parent
    folder.mkdir(parents=True)
    for number in range(2 * MOST_KEPT):
        (folder / f"{number}.bin").write_bytes(b"old")
        os.utime(folder / f"{number}.bin", (number, number))
    keep(sign, worked_out)
    assert len(list(folder.iterdir())) == MOST_KEPT
    assert kept_file(sign).is_file()


def test_a_folder_that_cannot_be_written_keeps_nothing_and_says_nothing(sign: Sign, worked_out: FileAssets) -> None:
    """A file where the folder should be is no reason to stop."""
    folder = kept_file(sign).parent
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("in the way")
    keep(sign, worked_out)
    assert folder.read_text() == "in the way"
