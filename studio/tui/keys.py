"""Every key of the studio with its id, so that a settings file can give an action another key.

Invariant: an id names one action wherever it is bound; at most eight bindings of a screen stand in its footer.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from textual.binding import Binding

from studio.storage.settings import Setting


class Key(NamedTuple):
    """One action and its keys.

    Attributes:
        id: As in the settings' table of keys.
        keys: The keys, with commas between.
        action: What is run.
        label: In the footer and the list of keys.
        told: What it does, in a sentence.
        in_footer: Whether the footer shows it.
    """

    id: str
    keys: str
    action: str
    label: str
    told: str
    in_footer: bool = False


EVERYWHERE: Final = (
    Key(
        "help",
        "f1,question_mark,ctrl+underscore",
        "help",
        "Help",
        "Tells what the focused part is for, and every key; ? does so outside fields",
        True,
    ),
    Key("palette", "ctrl+p", "command_palette", "Menu", "Finds every action by its name", True),
    Key("paper", "ctrl+s", "paper_station", "Paper", "Goes to the paper: sheets, seams, and the pages beside them"),
    Key("press", "f11", "press_station", "Press", "Goes to the press: steps with heat, times and a clock"),
    Key("quit", "ctrl+q", "quit", "Quit", "Ends; the sign is kept for next time", True),
    Key("theme", "ctrl+t", "next_theme", "Colours", "Shows the studio in other colours"),
    Key("messages", "alt+m", "messages", "Messages", "Shows the latest messages"),
    Key("units", "alt+u", "units", "Units", "Shows lengths in inches first, or in millimetres"),
    Key("cells", "f12", "cells", "Cells", "Draws pictures with other characters; take the finest without gaps"),
)
IN_THE_EDITOR: Final = (
    Key("wood", "f2", "station('wood')", "Wood", "Goes to the wood: blank, measurements, holes, surface"),
    Key("picture", "f3", "station('picture')", "Picture", "Goes to the picture"),
    Key("name", "f4", "station('name')", "Name", "Goes to the name"),
    Key("look", "f5", "station('look')", "Look", "Goes to the look: face, layout, colour, size"),
    Key("flip", "f6", "flip", "As printed", "Shows the sign as it prints, mirrored with its marks, and back"),
    Key("in-wood", "ctrl+r", "press", "Pressed", "Shows the sign as pressed, dye spread and grain under it, and back"),
    Key("loupe", "f7", "loupe", "Zoom", "Shows the letters large; arrows move, + and - set how large", True),
    Key("mend", "f8", "mend", "Fix", "Applies the first remedy of the chosen finding", True),
    Key("names", "f9", "names", "List", "Opens a list of names to make in one go", True),
    Key("make", "f10,ctrl+g", "make", "Make", "Makes the sign: writes print, proof and report", True),
    Key("other-way", "ctrl+b", "other_way", "Other way", "Shows the next best way to set the name, with its price"),
    Key("undo", "ctrl+z", "undo", "Undo", "Undoes the last change", True),
    Key("redo", "ctrl+y", "redo", "Redo", "Makes the change again that was undone"),
    Key("limits", "ctrl+l", "limits", "Limits", "Draws safe zone, open area and holes over the sign"),
    Key("findings", "ctrl+f", "findings", "Findings", "Goes to the findings; Enter applies a remedy"),
    Key("fresh", "ctrl+n", "fresh", "New sign", "Begins a new sign; undo brings the old one back"),
    Key("folder", "ctrl+o", "station('make')", "Folder", "Goes to the folder that signs are made into"),
    Key("big", "alt+b", "big", "Big picture", "Shows the picture alone, and back"),
    Key("open-folder", "alt+o", "open_folder", "Open folder", "Opens the folder that signs are made into"),
)
IN_THE_LIST: Final = (
    Key("open-list", "f2", "open_list", "Open", "Goes to the path of the list"),
    Key("rows", "f3", "rows", "Rows", "Goes to the rows"),
    Key("fix", "f4", "fix", "Edit", "Goes to the text of the row and its other fields", True),
    Key("next-bad", "f5", "next_fault", "Next bad", "Goes to the next row with a warning or an error", True),
    Key("list-flip", "f6", "flip", "As printed", "Shows the row's sign as it prints, and back"),
    Key("list-in-wood", "ctrl+r", "press", "Pressed", "Shows the row's sign as pressed, and back"),
    Key("mark", "f7", "mark", "Mark", "Marks the row; marked rows alone are made", True),
    Key("mark-all", "alt+a", "mark_all", "Mark all", "Marks every row, or none when all are marked"),
    Key("mark-others", "alt+i", "mark_others", "Swap marks", "Marks the rows that are not marked, and no others"),
    Key("search", "ctrl+f", "search", "Search", "Finds rows by their text; / does so too"),
    Key("only-ill", "alt+w", "only_ill", "Warnings", "Shows only rows with warnings or errors, and all again"),
    Key("columns", "alt+c", "columns", "Columns", "Says which column holds the text of the signs"),
    Key("sort", "alt+s", "sort", "Sort", "Sorts rows by the list, by text, or by what was found"),
    Key("list-findings", "alt+f", "findings", "Findings", "Goes to the findings; Enter applies a remedy"),
    Key("list-look", "alt+l", "turn_look", "Sign's look", "Takes the rows with the single sign's look, or without"),
    Key("list-big", "alt+b", "big", "Big picture", "Shows the picture alone, and back"),
    Key("list-open", "alt+o", "open_folder", "Open folder", "Opens the folder that the list is made into"),
    Key("list-folder", "f8", "list_folder", "Folder", "Goes to the folder that the list is made into"),
    Key("back", "f9", "back", "Sign", "Goes back to the single sign", True),
    Key("run", "f10,ctrl+g", "run", "Make", "Makes all rows, or those that are marked", True),
    Key("list-sheets", "ctrl+e", "list_sheets", "Sheets", "Tells how many sheets the marked rows take, or all"),
    Key("stop", "escape", "stop", "Stop", "Stops making after the rows under way; the run can be resumed"),
)
UNDER_THE_LOUPE: Final = (
    Key("loupe-left", "left", "pan(-1, 0)", "Left", "Moves the loupe to the left"),
    Key("loupe-right", "right", "pan(1, 0)", "Right", "Moves the loupe to the right"),
    Key("loupe-up", "up", "pan(0, 1)", "Up", "Moves the loupe up"),
    Key("loupe-down", "down", "pan(0, -1)", "Down", "Moves the loupe down"),
    Key("loupe-larger", "plus,equals_sign", "zoom(1)", "Larger", "Enlarges"),
    Key("loupe-smaller", "minus", "zoom(-1)", "Smaller", "Shows more of the sign"),
    Key("next-weak", "n,space", "next_weak", "Next weak place", "Moves the loupe to the next weak place"),
)
AT_THE_PRESS: Final = (
    Key("press-clock", "space", "clock", "Start", "Starts or pauses the clock of the chosen sign", True),
    Key("press-next", "enter,n", "next_step", "Next", "Goes on to the next step", True),
    Key("press-back", "b,backspace", "step_back", "Step back", "Goes back one step"),
    Key("press-other", "tab", "other_sign", "Other", "Goes to the other sign", True),
    Key("press-first", "1", "first_sign", "Sign 1", "Goes to the first sign"),
    Key("press-second", "2", "second_sign", "Second", "Sets up a second sign, or goes to it", True),
    Key("press-leave", "escape", "leave", "Leave", "Goes back to the sign", True),
)
ON_PAPER: Final = (
    Key("seam-less", "down", "move_seam(-1)", "Seam", "Moves the seam down or left by 1 mm", True),
    Key("seam-more", "up", "move_seam(1)", "Seam", "Moves the seam up or right by 1 mm", True),
    Key("seam-best", "equals_sign", "best_seam", "Best", "Puts the seam back where it cuts least"),
    Key("ruler", "m", "app.measure_printer", "Measure", "Measures a printer with the ruler page", True),
    Key("write-all", "f10,ctrl+g", "write_all", "Write", "Writes the sign, its sheets and the pages marked", True),
    Key("paper-leave", "escape", "leave", "Leave", "Goes back to the sign", True),
)
ALL_KEYS: Final = (*EVERYWHERE, *IN_THE_EDITOR, *IN_THE_LIST, *UNDER_THE_LOUPE, *AT_THE_PRESS, *ON_PAPER)


def bindings(keys: Iterable[Key], *, priority: bool = False) -> list[Binding | tuple[str, str] | tuple[str, str, str]]:
    """Return keys as bindings."""
    return [
        Binding(key.keys, key.action, key.label, show=key.in_footer, tooltip=key.told, id=key.id, priority=priority)
        for key in keys
    ]


def footer_keys(screen: Iterable[Key]) -> tuple[Key, ...]:
    """Return the keys of a screen's footer: help first, the palette last."""
    by_id = {key.id: key for key in EVERYWHERE}
    return (by_id["help"], *(key for key in screen if key.in_footer), by_id["palette"], by_id["quit"])


def keymap_of(settings: Iterable[Setting]) -> dict[str, str]:
    """Return the keys that a settings file gives to actions; several stand with commas between."""
    ids = {key.id.replace("-", "_"): key.id for key in ALL_KEYS}
    return {
        ids[setting.name]: ",".join(
            part.strip() for part in setting.value.replace("\n", ",").split(",") if part.strip()
        )
        for setting in settings
        if setting.name in ids and setting.value.strip()
    }


def key_shown(key: Key, keymap: dict[str, str]) -> str:
    """Return the first key of an action as people call it: `F10`, `Ctrl+Z`."""
    first = keymap.get(key.id, key.keys).split(",")[0]
    names = {"question_mark": "?", "plus": "+", "minus": "-", "equals_sign": "=", "ctrl": "Ctrl", "escape": "Esc"}
    names |= {"up": "↑", "down": "↓", "left": "←", "right": "→"}
    return "+".join(names.get(part, part.capitalize()) for part in first.split("+"))
