"""Draws the screens of the studio that the README shows, as SVG: `python demo/studio_screens.py`.

The studio itself runs, without a terminal, and is led by keys; nothing of the person who runs this is read or written.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
PICTURES = ROOT / "demo" / "pictures"
SIZE = (120, 40)
ORDERS = """Name,Order,face,layout
Marlow & Tess,P-101,,
Zoë,P-102,Lobster,
Wilhelmina,P-103,,arc-top
The Bramblewoods,P-104,Young Serif,
Juniper,P-105,,
Bo,P-106,,
,P-107,,
Olive Hartley,P-108,Nunito,
Rowan,P-109,,
Loon Cabin,P-110,Righteous,
"""


async def _rest(pilot: Any) -> None:
    """Wait until the newest picture stands and its remedies are known."""
    for _ in range(1500):
        await pilot.pause(0.02)
        screen = pilot.app.screen
        answer = getattr(screen, "answer", None)
        if answer is not None and answer.ask.number == screen._asked and answer.is_final:
            break
    await pilot.pause(0.3)


async def _draw() -> None:
    from studio.tui.startup import open_app

    app = open_app({"COLORTERM": "truecolor"})
    async with app.run_test(size=SIZE) as pilot:
        await _rest(pilot)
        await pilot.press(*"Wilhelmina", "space", *"Hollis")
        app.take("face", "Young Serif")
        await _rest(pilot)
        (PICTURES / "studio-editor.svg").write_text(app.export_screenshot(title="Sapwood"), encoding="utf-8")
        await pilot.press("f7")
        await _rest(pilot)
        (PICTURES / "studio-loupe.svg").write_text(app.export_screenshot(title="Sapwood"), encoding="utf-8")
        await pilot.press("escape")
        await _on_paper(pilot)
        (PICTURES / "studio-paper.svg").write_text(app.export_screenshot(title="Sapwood"), encoding="utf-8")
        await pilot.press("escape")
        app.open_list("orders.csv")
        for _ in range(1500):
            await pilot.pause(0.02)
            book = getattr(app.screen, "book", None)
            if book is not None and not book.counts()[""]:
                break
        await pilot.press("down", "down", "down")
        await _rest(pilot)
        (PICTURES / "studio-list.svg").write_text(app.export_screenshot(title="Sapwood"), encoding="utf-8")
        await _at_the_press(pilot)
        (PICTURES / "studio-press.svg").write_text(app.export_screenshot(title="Sapwood"), encoding="utf-8")


async def _on_paper(pilot: Any) -> None:
    """Show the sheets that the sign takes."""
    await pilot.press("ctrl+s")
    for _ in range(1500):
        await pilot.pause(0.02)
        if getattr(pilot.app.screen, "is_settled", False):
            break
    await pilot.pause(0.3)


async def _at_the_press(pilot: Any) -> None:
    """Show the press with one sign cooling and the other under the press, by a clock that stands."""
    from studio.sheets.pressing.steps import press_card
    from studio.tui.pressing.timer_screen import PressScreen

    now_s = [0.0]
    screen = PressScreen(press_card(pilot.app.catalogue.press_figures("film")), lambda: now_s[0])
    await pilot.app.push_screen(screen)
    await pilot.press("enter", "enter", "enter", "enter", "space", "2", "enter", "enter")
    now_s[0] = 128.0
    await pilot.press("space")
    now_s[0] = 134.0
    screen.look()
    await pilot.pause(0.3)


def main() -> None:
    """Draw them."""
    sys.path.insert(0, str(ROOT))
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SAPWOOD_STATE"] = os.environ["SAPWOOD_SETTINGS"] = folder
        os.environ.pop("NO_COLOR", None)
        os.chdir(folder)
        Path("orders.csv").write_text(ORDERS, encoding="utf-8")
        asyncio.run(_draw())


if __name__ == "__main__":
    main()
