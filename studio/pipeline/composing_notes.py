"""What the maker should know of how a name was composed, and of capitals in a face that joins its letters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from studio.composing.reason import price_in_words
from studio.layout.placement import Composed, Placement
from studio.model.finding import Finding, Offer, Where, found
from studio.model.sign import LetteringOrder, Sign
from studio.text.connected import is_connected
from studio.text.font import Face

LEAST_HEIGHT_SHARE: Final = 0.25
"""A single word that takes less of the height of its room leaves it empty."""
_SAME_MM: Final = 0.1
"""Capitals this close count as of one height."""
_SHOUTED: Final = 3
"""Capitals in a row from which a word counts as set in capitals."""


@dataclass(frozen=True, slots=True)
class OtherWay:
    """Another way to set a text: the options that set it so, and what it costs, in words."""

    changes: tuple[tuple[str, str], ...]
    words: str


def other_ways(composed: Composed) -> tuple[OtherWay, ...]:
    """Return what was weighed beside the way that a text is set, best first."""
    chosen, *others = composed.candidates or (None,)
    if chosen is None:
        return ()
    return tuple(OtherWay(one.changes, f"{' / '.join(one.lines)}: {price_in_words(one, chosen)}") for one in others)


def composing_findings(sign: Sign, laid: Placement) -> Iterable[Finding]:
    """Yield what the maker should know of how the name was composed."""
    name = laid.letterings[0]
    if sign.letterings[0].cap_mm is not None and sign.composing.same_size != "no":
        yield found(
            "option-without-effect",
            f"The cap height is fixed at {sign.letterings[0].cap_mm:.1f} mm, so making all signs of the "
            f"{sign.composing.same_size} one size changes nothing.",
            where=Where(0),
            unit="",
            remedy="Leave out one of the two.",
        )
    most_mm = sign.letterings[0].max_cap_mm
    if sign.composing.same_size != "no" and most_mm is not None and name.cap_height_mm < most_mm - _SAME_MM:
        yield found(
            "composition",
            f"“{name.text}” has no room for the {most_mm:.1f} mm capitals of its set; it keeps "
            f"{name.cap_height_mm:.1f} mm.",
            where=Where(0),
            measured=round(name.cap_height_mm, 3),
            limit=most_mm,
        )
    if name.composed is None:
        return
    for code, sentence in name.composed.remarks:
        yield found(code, sentence, where=Where(0), unit="")
    share = name.composed.height_share
    if share is not None and share < LEAST_HEIGHT_SHARE:
        yield found(
            "room-left",
            f"“{name.text}” is a long word: at {name.cap_height_mm:.1f} mm it takes {100 * share:.0f} % of the height "
            "of its room, and white stays above and below.",
            where=Where(0),
            measured=round(share, 3),
            limit=LEAST_HEIGHT_SHARE,
            unit="ratio",
        )


def script_findings(text: str, face: Face, order: LetteringOrder, number: int) -> Iterable[Finding]:
    """Yield a word in capitals alone of a face whose small letters join: its capitals are drawn to begin a word."""
    if not is_connected(face):
        return
    shouted = [word for word in text.split() if _is_shouted(word)]
    if not shouted:
        return
    if order.case == "capitals":
        offers: tuple[Offer, ...] = (Offer("It can be set as typed.", (("case", "typed"),)),)
    else:
        calmer = " ".join(word.capitalize() if word.isupper() else word for word in text.split(" "))
        offers = (Offer(f"Type “{calmer}”, or choose a face for capitals such as Bungee.", (("text", calmer),)),)
    yield found(
        "capitals-in-script",
        f"“{shouted[0]}” is in capitals alone, and {face.name} is a joined script whose capitals only begin a word: "
        "it is hard to read.",
        where=Where(number),
        unit="",
        offers=offers,
    )


def _is_shouted(word: str) -> bool:
    letters = [letter for letter in word if letter.isalpha()]
    is_numeral = set(letters) <= set("IVX")
    return len(letters) >= _SHOUTED and all(letter.isupper() for letter in letters) and not is_numeral
