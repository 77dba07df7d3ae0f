"""The studio set up from what is on the disk: settings, catalogue, the last sign; whatever is damaged is told.

Invariant: a damaged file never keeps the studio from opening.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from typing import Final

from studio.basics.errors import StudioError
from studio.storage.catalogue import read_catalogue
from studio.storage.settings import Settings
from studio.storage.workspace import Shop, open_shop
from studio.tui.app import StudioApp
from studio.tui.editor.draft import SignDraft
from studio.tui.saved.memory import Habits, read_draft, read_habits

FIRST_SIGN: Final = SignDraft(said=(("face", "Lobster"),))
"""What the very first start shows: a sign without a warning."""


def open_app(environment: Mapping[str, str] | None = None) -> StudioApp:
    """Return the app, ready to run.

    Raises:
        StudioError: What ships with the program is damaged.
    """
    variables = os.environ if environment is None else environment
    remarks: list[str] = []
    try:
        shop = open_shop(environment=variables)
        remarks += shop.remarks
    except StudioError as problem:
        shop = Shop(read_catalogue(), {}, Settings())
        remarks.append(f"Settings ignored: {problem}")
    draft, habits = None, Habits()
    try:
        draft = read_draft()
        habits = read_habits()
    except StudioError as problem:
        remarks.append(str(problem))
    return StudioApp(shop, draft=draft, first=FIRST_SIGN, habits=habits, environment=variables, remarks=remarks)


def run_studio() -> int:
    """Open the studio in this terminal, and return the exit code when it is left."""
    if not os.environ.get("NO_COLOR"):
        os.environ.pop("NO_COLOR", None)  # set but empty says nothing, and the terminal library takes it for a wish
    app = open_app()
    if app.habits.true_pictures:
        app.overlay.find()
    app.run()
    for file in app.made:
        print(file)
    for sentence in app.last_words:
        print(f"sapwood: {sentence}", file=sys.stderr)
    return app.return_code or 0
