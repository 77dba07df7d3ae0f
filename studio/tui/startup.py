"""The studio set up from what is on the disk: settings, catalogue, the last sign; whatever is damaged is told.

Invariant: a damaged file never keeps the studio from opening.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

from studio.errors import StudioError
from studio.storage.catalogue import read_catalogue
from studio.storage.settings import Settings
from studio.storage.workspace import Shop, open_shop
from studio.tui.app import StudioApp
from studio.tui.saved.memory import Habits, read_draft, read_habits


def open_app(environment: Mapping[str, str] | None = None) -> StudioApp:
    """Return the app, ready to run.

    Raises:
        StudioError: What ships with the program is damaged.
    """
    remarks: list[str] = []
    try:
        shop = open_shop()
        remarks += shop.remarks
    except StudioError as problem:
        shop = Shop(read_catalogue(), {}, Settings())
        remarks.append(f"The settings are left aside: {problem}")
    draft, habits = None, Habits()
    try:
        draft = read_draft()
        habits = read_habits()
    except StudioError as problem:
        remarks.append(str(problem))
    variables = os.environ if environment is None else environment
    return StudioApp(shop, draft=draft, habits=habits, environment=variables, remarks=remarks)
