"""What the text itself gives cause to remark, before anything is set: strange letters, garbled ones, plain quotes.

Invariant: nothing here changes a spelling; `cleaned` leaves out only what does not show, and says so.
"""

from __future__ import annotations

from studio.proofreading.confusables import lookalike_remarks
from studio.proofreading.mojibake import decoding_remarks
from studio.proofreading.quotes import quote_remarks
from studio.proofreading.remark import Remark


def remarks(text: str) -> tuple[Remark, ...]:
    """Return what there is to say about a text's letters, in the order of their places.

    Every offer is made on the text given: after taking one, ask again. A text that was decoded wrongly gets that
    remark alone, since its other letters are not what was typed.

    Args:
        text: The text as `cleaned` leaves it.
    """
    garbled = decoding_remarks(text)
    if garbled:
        return garbled
    return tuple(sorted(lookalike_remarks(text) + quote_remarks(text), key=lambda remark: remark.start))
