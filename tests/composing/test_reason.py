"""The sentence that says why a text is set as it is."""

from __future__ import annotations

import pytest

from studio.composing.reason import reason
from studio.layout.placement import Candidate, FixedLayout


def way(
    *lines: str,
    cap_mm: float = 40.0,
    prices: tuple[tuple[str, float], ...] = (),
    layout: FixedLayout = "box",
    is_estimate: bool = False,
) -> Candidate:
    """Return one way to set a text."""
    return Candidate(layout, lines, (1.0,) * len(lines), cap_mm, prices, 0.0, is_estimate)


@pytest.mark.parametrize(
    ("candidates", "told"),
    [
        ((way("Tess"),), "set in one line, since it is a single word"),
        ((way("Marlow & Tess"),), "set in one line, the only way that has room"),
        ((way("Marlow", "& Tess"),), "set as Marlow / & Tess, the only way that has room"),
        (
            (way("The", "Halvorsens"), way("The Halvorsens", cap_mm=30.0)),
            "set as The / Halvorsens; in one line it would be 25 % smaller",
        ),
        (
            (way("The", "Halvorsens"), way("The Halvorsens", cap_mm=30.0, is_estimate=True)),
            "set as The / Halvorsens; in one line it would be about 25 % smaller",
        ),
        (
            (way("Ida"), way("Ida", layout="arc-top", cap_mm=44.0, prices=(("arc", 0.2),))),
            "set in one line; along the top it would be 10 % larger, but an arc would be harder to read",
        ),
        (
            (way("Long Point", "Road"), way("Long", "Point Road", prices=(("breaks", 0.3),))),
            "set as Long Point / Road; as Long / Point Road it would be as large, "
            "but its lines would split words that belong together",
        ),
        (
            (way("Ida"), way("Ida", layout="arc-bottom", cap_mm=20.0)),
            "set in one line; along the bottom it would be 50 % smaller",
        ),
    ],
)
def test_why_a_text_is_set_as_it_is(candidates: tuple[Candidate, ...], told: str) -> None:
    """One sentence names how the text is set and what the best other way would cost."""
    assert reason(candidates) == told
