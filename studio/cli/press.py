"""`sapwood press`: the press card of a surface in plain text, then its steps one by one with a countdown.

stdout gets the card, and the path of its page where one is written; the countdown goes to stderr.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.basics.errors import SettingsError
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write, write_json
from studio.sheets.pressing.card_text import card_lines, step_lines
from studio.sheets.pressing.steps import press_card
from studio.sheets.pressing.timer import clock_face, timer_for
from studio.storage.atomic_write import ready_folder, write_whole
from studio.storage.workspace import open_shop

if TYPE_CHECKING:
    from studio.sheets.pressing.steps import PressCard
    from studio.storage.catalogue import Catalogue

BELL: Final = "\a"
_TICK_S: Final = 0.25
_USUAL_SURFACE: Final = "painted"


def run(arguments: argparse.Namespace) -> int:
    """Show the card, and count its steps down where a person sits at the terminal."""
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    surface = arguments.surface or str(shop.values.get("surface", _USUAL_SURFACE))
    card = card_for(shop.catalogue, surface, is_painted=arguments.painted)
    if arguments.json:
        write_json(_as_json(card))
        return ExitCode.OK
    for line in card_lines(card):
        write(line)
    if arguments.output:
        _write_page(card, arguments, shop.catalogue)
    if arguments.no_timer or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return ExitCode.OK
    sys.stdout.flush()
    try:
        count_down(card, now=time.monotonic, wait=time.sleep, ask=_ask, show=_show)
    except KeyboardInterrupt:
        say("\nStopped. If a piece is in the press, take it out now.")
        return ExitCode.INTERRUPTED
    return ExitCode.OK


def card_for(catalogue: Catalogue, surface: str, *, is_painted: bool) -> PressCard:
    """Return the press card of a surface, on paint where it is so.

    Raises:
        SettingsError: There is no such surface, no figures for it, or it cannot lie on paint.
    """
    figures = catalogue.press_figures(surface)
    if is_painted and figures.peel_sheets:
        raise SettingsError(
            f"--painted: {figures.surface} blanks come coated and are not painted.", advice="Leave --painted out."
        )
    return press_card(figures, paint=catalogue.press_figures("painted") if is_painted else None)


def count_down(
    card: PressCard,
    *,
    now: Callable[[], float],
    wait: Callable[[float], None],
    ask: Callable[[str], str],
    show: Callable[[str, bool], None],
) -> None:
    """Go through a card's steps; timed ones count down and ring.

    Args:
        card: The card.
        now: The time in seconds that only grow.
        wait: Waits so many seconds.
        ask: Shows a question and returns the answer when Enter is pressed; `q` ends.
        show: Shows a line; with true it renews the one shown before.
    """
    timer = timer_for(card, ("the sign",))
    while (step := timer.sign.step) is not None:
        number = timer.sign.place + 1
        for line in step_lines(number, step):
            show(line, False)
        verb = "starts the clock" if step.span is not None else "when it is done"
        if ask(f"    Enter {verb}, q and Enter ends: ").strip().lower() in ("q", "quit"):
            show("Stopped. If a piece is in the press, take it out now.", False)
            return
        if step.span is not None:
            timer = timer.start(now())
            while (left := timer.sign.left(now()) or 0.0) > 0:
                show(f"    {clock_face(left)} left", True)
                wait(min(_TICK_S, left))
            timer, _ = timer.rung(now())
            told = "open the press" if step.takes_press else "go on"
            upto = (
                f", within {clock_face(step.span.most_s)} of its start" if step.span.most_s > step.span.least_s else ""
            )
            show(f"    0:00 {BELL}time is up: {told}{upto}", True)
            show("", False)
        timer = timer.next_step()
    show("All steps are done. Switch the press off, and let it cool where nobody touches it.", False)


def _ask(question: str) -> str:
    sys.stderr.write(question)
    sys.stderr.flush()
    answer = sys.stdin.readline()
    return answer if answer else "q"


def _show(line: str, renew: bool) -> None:
    sys.stderr.write(f"\r{line:<60}" if renew else f"{line}\n")
    sys.stderr.flush()


def _write_page(card: PressCard, arguments: argparse.Namespace, catalogue: Catalogue) -> None:
    from studio.production.captions import caption_line
    from studio.sheets.pdf import pdf_bytes
    from studio.sheets.pressing.press_card_page import press_card_pages

    paper = catalogue.paper(arguments.paper or "letter")
    folder = Path(arguments.output).expanduser()
    ready_folder(folder)
    target = folder / f"press-card-{card.surface.replace(' ', '-')}.pdf"
    pages = press_card_pages(card, paper, caption_line)
    write_whole(target, pdf_bytes(pages, title=f"Press card, {card.surface}"), overwrite=arguments.overwrite)
    write(str(target))


def _as_json(card: PressCard) -> dict[str, object]:
    return {
        "surface": card.surface,
        "cautions": list(card.cautions),
        "steps": [
            {
                "title": step.title,
                "told": step.told,
                "heat_f": None if step.heat is None else float(step.heat.fahrenheit),
                "least_s": None if step.span is None else step.span.least_s,
                "most_s": None if step.span is None else step.span.most_s,
                "takes_press": step.takes_press,
            }
            for step in card.steps
        ],
        "notes": list(card.notes),
        "figures_from": card.figures_from,
    }
