"""Signs against kept pictures, one case file for each behaviour.

With REWRITE_REFERENCES=1 in the environment the references of failing cases are written anew, and the run fails so
that they are looked at. A difference leaves a sheet in tests/differences.
"""

from __future__ import annotations

import json
import os
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from studio.pipeline.cache import proof_base_for
from studio.pipeline.make import make_planned
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from tests.references.comparer import LARGEST_FILE, LARGEST_STEP, compare, moved, placement_json, strangers, written
from tests.shared import assets, catalogue

HERE = Path(__file__).parent
CASES = sorted((HERE / "cases").glob("*.toml"))
VERSIONS = HERE / "VERSIONS.json"
DIFFERENCES = HERE.parent / "differences"
KNOWN = {"title", "text", "picture", "longer_px", "offset_mm", "step", "reason", "options"}


def case_of(file: Path) -> dict[str, Any]:
    """Return a case."""
    return tomllib.loads(file.read_text(encoding="utf-8"))


def planned(case: dict[str, Any]) -> Plan:
    """Return a case's sign, fitted."""
    sign = build_sign(case["text"], {"artwork": "none", **case.get("options", {})}, catalogue())
    orders = tuple(replace(order, offset_mm=case.get("offset_mm", 0.0)) for order in sign.letterings)
    return plan(replace(sign, letterings=orders, order="R-1"), assets(), remedies=False)


def drawn(case: dict[str, Any], made: Plan) -> Image.Image:
    """Return a case's picture: the print, or the proof at a small size."""
    assert made.placement is not None
    if case["picture"] == "print":
        product = make_planned(made, assets())
        assert product.print is not None
        return Image.fromarray(np.ascontiguousarray(product.print.pixels()))
    base = proof_base_for(made.sign, assets(), case["longer_px"])
    return Image.fromarray(np.ascontiguousarray(base.pixels_of(made.placement)))


@pytest.mark.parametrize("file", CASES, ids=[file.stem for file in CASES])
def test_a_sign_looks_as_it_did(file: Path) -> None:
    """Letters stand where they stood, and every pixel is within a step of the kept picture."""
    case = case_of(file)
    made = planned(case)
    assert made.placement is not None, [one.message for one in made.findings]
    picture, reference = drawn(case, made), HERE / "pictures" / f"{file.stem}.png"
    places, kept_places = placement_json(made.placement), HERE / "placements" / f"{file.stem}.json"
    kept = json.loads(kept_places.read_text(encoding="utf-8")) if kept_places.exists() else []
    told = moved(places, kept)
    difference, sheet = compare(picture, reference, case.get("step", LARGEST_STEP))
    if not difference and not told:
        return
    if sheet is not None:
        DIFFERENCES.mkdir(exist_ok=True)
        sheet.save(DIFFERENCES / f"{file.stem}.png")
    others = strangers(json.loads(VERSIONS.read_text(encoding="utf-8")))
    if os.environ.get("REWRITE_REFERENCES") and not others:
        picture.save(reference, optimize=True)
        kept_places.write_text(written(places), encoding="utf-8")
        pytest.fail(f"{file.stem}: written anew; look at it, then run again")
    pytest.fail("\n".join([f"{file.stem}: {case['title']}", *told, difference, *others]))


def test_cases_are_well_formed() -> None:
    """Titles are unique and short, keys are known, and a wider step has its reason."""
    cases = [case_of(file) for file in CASES]
    titles = [case["title"] for case in cases]
    assert len(cases) >= 12 and len(set(titles)) == len(titles)
    for case in cases:
        assert case.keys() <= KNOWN and 0 < len(case["title"]) < 60
        assert case["picture"] in ("print", "proof") and ("longer_px" in case) == (case["picture"] == "proof")
        assert ("step" in case) == ("reason" in case)


def test_no_reference_is_unused_and_none_is_large() -> None:
    """Every picture and placement belongs to a case, and no picture takes 64 KB."""
    stems = {file.stem for file in CASES}
    assert {file.stem for file in (HERE / "pictures").iterdir()} == stems
    assert {file.stem for file in (HERE / "placements").iterdir()} == stems
    for file in (HERE / "pictures").iterdir():
        assert file.suffix == ".png" and file.stat().st_size < LARGEST_FILE


def test_the_comparison_can_fail(tmp_path: Path) -> None:
    """One pixel two steps off, another size, another mode and a missing reference are seen; one step is let pass."""
    pixels = np.full((6, 8, 3), 100, np.uint8)
    Image.fromarray(pixels).save(tmp_path / "a.png")
    assert compare(Image.fromarray(pixels), tmp_path / "a.png") == ("", None)
    pixels[2, 3, 1] = 101
    assert compare(Image.fromarray(pixels), tmp_path / "a.png") == ("", None)
    pixels[2, 3, 1] = 102
    told, sheet = compare(Image.fromarray(pixels), tmp_path / "a.png")
    assert told == "a.png: 1 pixels differ, by up to 2 steps"
    assert sheet is not None and sheet.size == (24, 6)
    assert sheet.getpixel((8 + 3, 2)) == (255, 255, 255) and sheet.getpixel((8, 0)) == (0, 0, 0)
    assert "got RGB (8, 5)" in compare(Image.fromarray(pixels[:5]), tmp_path / "a.png")[0]
    assert "got RGBA (8, 6)" in compare(Image.fromarray(pixels).convert("RGBA"), tmp_path / "a.png")[0]
    assert "no such reference" in compare(Image.fromarray(pixels), tmp_path / "b.png")[0]


def test_a_moved_letter_is_told_in_millimetres() -> None:
    """A glyph moved by 0.3 mm, another size and another glyph each say so; a nanometre does not."""
    made = planned(case_of(CASES[0]))
    assert made.placement is not None
    kept = placement_json(made.placement)
    assert moved(kept, kept) == []
    now = json.loads(written(kept))
    now[0]["glyphs"][1]["x_mm"] += 1e-6
    assert moved(now, kept) == []
    now[0]["glyphs"][1]["x_mm"] += 0.3
    assert len(moved(now, kept)) == 1 and "moved by 0.300 mm" in moved(now, kept)[0]
    now[0]["em_mm"] += 1
    assert any("em_mm was" in line for line in moved(now, kept))
    now[0]["glyphs"][0]["id"] += 1
    assert any("other glyphs" in line for line in moved(now, kept))


def test_other_libraries_are_named() -> None:
    """Renewing is refused where a library that decides pixels differs from the kept version."""
    kept = json.loads(VERSIONS.read_text(encoding="utf-8"))
    assert strangers({**kept, "freetype": "0.0.1"})[0].startswith("freetype 0.0.1 kept")
