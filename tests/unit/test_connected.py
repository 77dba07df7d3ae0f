"""Joined faces told from others by their outlines."""

from __future__ import annotations

from pathlib import Path

import pytest

from studio.text.connected import is_connected, joined_share
from studio.text.font import Face, open_face

FONTS = Path(__file__).parents[2] / "fonts"
JOINED = {"Pacifico", "Lobster", "Yellowtail"}
SHIPPED = sorted(path for path in FONTS.glob("*/*.ttf"))


def opened(path: Path, weight: float | None = None) -> Face:
    """Open a shipped face."""
    return open_face(path.read_bytes(), name=path.parent.name, weight=weight)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.parent.name)
def test_the_shipped_scripts_are_joined_and_nothing_else_is(path: Path) -> None:
    """Of the shipped faces exactly the three scripts join, and none is near the line between."""
    share = joined_share(opened(path))
    assert share >= 0.85 if path.parent.name in JOINED else share <= 0.2
    assert is_connected(opened(path)) == (path.parent.name in JOINED)


@pytest.mark.parametrize("path", [path for path in SHIPPED if "wght" in path.name], ids=lambda path: path.parent.name)
def test_the_heaviest_weight_does_not_count_as_joined(path: Path) -> None:
    """Letters that grow heavy come near each other and still do not join."""
    assert joined_share(opened(path, 1000)) <= 0.2


def test_what_a_catalogue_states_plays_no_part() -> None:
    """A face stated to be joined is measured all the same."""
    path = next(path for path in SHIPPED if path.parent.name == "Oswald")
    assert not is_connected(open_face(path.read_bytes(), name="Oswald", connected=True))
