"""A sheet of 120 signs to be looked at: nine artworks (bare wood included) by thirteen texts, all blanks, six scripts.

Run by hand from the top folder: `python tests/composing/sheet.py FOLDER [composition]`. It writes three pictures of
forty signs each, numbered, and a list of what was set. The texts are fixed here and nowhere else in the program.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from studio.pipeline.cache import proof_base_for  # noqa: E402
from studio.pipeline.plan import plan  # noqa: E402
from studio.storage.assets import FileAssets  # noqa: E402
from studio.storage.sign_builder import build_sign  # noqa: E402
from studio.storage.workspace import open_shop  # noqa: E402

ARTWORKS = (
    "none",
    "campfire-stars",
    "canoe-dawn",
    "fern-berries",
    "lantern",
    "leaping-trout",
    "loon-lake",
    "mountain-ridge",
    "pine-ring",
)
TEXTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("The Wrenfields", ("Young Serif", "Pacifico", "Oswald")),
    ("Tobias & Clementine", ("Pacifico", "Yellowtail", "Nunito")),
    ("Cabin 14", ("Roboto Slab", "Bungee", "Lobster")),
    ("Nana’s Kitchen", ("Lobster", "Patrick Hand", "Righteous")),
    ("Welcome to our lake house", ("Nunito", "Young Serif", "Patrick Hand")),
    ("Otter Creek Lodge est. 1968", ("Alfa Slab One", "Oswald", "Rubik")),
    ("Fiona", ("Yellowtail", "Pacifico", "Grenze Gotisch")),
    ("Captain Bo", ("Black Ops One", "Righteous", "Lobster")),
    ("The Vanterpool Family", ("Grenze Gotisch", "Young Serif", "Roboto Slab")),
    ("Анна и Михаил", ("Pacifico", "Lobster", "Rubik")),
    ("משפחת ברקוביץ", ("Rubik",)),
    ("مخيم البحيرة", ("Marhey", "Rubik")),
    ("Η οικογένεια Παππά", ("Roboto Slab",)),
)
MORE: tuple[tuple[str, str, str, str], ...] = (
    ("राधा और मोहन", "Noto Sans Devanagari", "none", "round-12in"),
    ("Home of the Loudest Loons", "Pacifico", "loon-lake", "round-10in"),
    ("Mr. & Mrs. Quillfeather III", "Young Serif", "pine-ring", "round-12in"),
)
BARE_BLANKS = ("plaque-12x6in", "oval-12x8in", "plaque-16x5in", "round-10in", "round-4in", "round-12in-rope")
ROUNDS = ("round-10in", "round-12in", "round-8in", "round-10in", "round-6in", "round-12in-rope", "round-18in")
SECONDS = {6: ("arc-bottom=est. 2019",), 7: ("box=Slip 9",)}
TILE_PX, COLUMNS, ROWS = 250, 8, 5


def signs() -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield each text with its option values."""
    number = 0
    for row, (text, faces) in enumerate(TEXTS):
        for column, artwork in enumerate(ARTWORKS):
            blanks = BARE_BLANKS if artwork == "none" else ROUNDS
            values: dict[str, Any] = {
                "artwork": artwork,
                "face": faces[(row + column) % len(faces)],
                "blank": blanks[(row + 2 * column) % len(blanks)],
                "artwork_fit": "cover",
            }
            if row in SECONDS and column % 2:
                values["also"] = SECONDS[row]
            number += 1
            yield text, values
    for text, face, artwork, blank in MORE:
        yield text, {"artwork": artwork, "face": face, "blank": blank, "artwork_fit": "cover"}


def main() -> None:
    """Draw the sheet."""
    folder = Path(sys.argv[1])
    composition = sys.argv[2] if len(sys.argv) > 2 else "balanced"
    folder.mkdir(parents=True, exist_ok=True)
    catalogue = open_shop(folder=folder, environment={}).catalogue
    assets = FileAssets(catalogue)
    sheet: Image.Image | None = None
    listed = []
    for number, (text, values) in enumerate(signs()):
        place = number % (COLUMNS * ROWS)
        if place == 0:
            sheet = Image.new("RGB", (COLUMNS * TILE_PX, ROWS * (TILE_PX + 16)), "#8a8f94")
        assert sheet is not None
        sign = build_sign(text, {"composition": composition, **values}, catalogue)
        planned = plan(sign, assets, remedies=False)
        pixels = proof_base_for(planned.sign, assets, TILE_PX - 8).pixels_of(planned.placement)
        tile = Image.fromarray(np.ascontiguousarray(pixels), "RGBA")
        left = place % COLUMNS * TILE_PX + (TILE_PX - tile.width) // 2
        top = place // COLUMNS * (TILE_PX + 16) + (TILE_PX - tile.height) // 2
        sheet.paste(tile, (left, top), tile)
        weak = sum(finding.severity in ("warn", "refuse") for finding in planned.findings)
        name = planned.placement.letterings[0] if planned.placement is not None else None
        told = f"{number + 1}: {values['blank']} {values['face']} {'!' * weak}"
        ImageDraw.Draw(sheet).text((place % COLUMNS * TILE_PX + 4, top - top % 1 + 0), f"{number + 1}", fill="#ffe08a")
        ImageDraw.Draw(sheet).text(
            (place % COLUMNS * TILE_PX + 4, (place // COLUMNS + 1) * (TILE_PX + 16) - 14), told, fill="#ffffff"
        )
        why = "" if name is None or name.composed is None else name.composed.reason
        listed.append(f"{number + 1}\t{values['artwork']}\t{values['blank']}\t{values['face']}\t{text}\t{why}")
        if place == COLUMNS * ROWS - 1 or number == len(TEXTS) * len(ARTWORKS) + len(MORE) - 1:
            sheet.save(folder / f"sheet-{number // (COLUMNS * ROWS) + 1}.png")
    (folder / "sheet.txt").write_text("\n".join(listed) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
