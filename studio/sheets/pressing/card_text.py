"""The press card as plain text, for a terminal or a note."""

from __future__ import annotations

import textwrap

from studio.sheets.pressing.steps import PressCard, Step


def card_lines(card: PressCard, *, width: int = 80) -> tuple[str, ...]:
    """Return the card's lines, cautions first, none wider than `width` characters."""
    lines = [f"Press card: {card.surface}", ""]
    for caution in card.cautions:
        lines += _wrapped(f"! {caution}", width, "  ")
    lines.append("")
    for number, step in enumerate(card.steps, 1):
        lines += step_lines(number, step, width=width)
    lines.append("")
    for note in (*card.notes, f"Figures: {card.figures_from}. Other sizes and woods take other times: try scrap."):
        lines += _wrapped(f"- {note}", width, "  ")
    return tuple(lines)


def step_lines(number: int, step: Step, *, width: int = 80) -> tuple[str, ...]:
    """Return a step's lines: its number, title, heat and time, then what to do."""
    head = f"{number:>2}  {step.title}" + (f": {step.figures}" if step.figures else "")
    return (head, *_wrapped(f"    {step.told}", width, "    "))


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(text, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False)
