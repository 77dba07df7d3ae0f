"""The one road from a sign to its files' bytes: fit, check, draw.

Nothing is opened, printed or timed here: faces and pictures come through the `Assets` handed in.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass

from studio.model.sign import Sign
from studio.pipeline.cache import (
    has_proof_press,
    print_base_for,
    proof_press_for,
    thumbnail_for,
)
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets, Plan
from studio.render.print import Print
from studio.render.proof import Proof


@dataclass(frozen=True, slots=True, eq=False)
class Product:
    """A sign made. Print and proof are `None` when the sign was refused."""

    plan: Plan
    print: Print | None
    proof: Proof | None
    thumbnail: str

    @property
    def print_png(self) -> bytes | None:
        """The print's file."""
        return None if self.print is None else self.print.png

    @property
    def proof_png(self) -> bytes | None:
        """The proof's file."""
        return None if self.proof is None else self.proof.png


def make(sign: Sign, assets: Assets, *, strict: bool = False, remedies: bool = True) -> Product:
    """Fit, check and draw a sign. Raises as `plan` does."""
    with _proof_drawn_beside(sign, assets):
        planned = plan(sign, assets, strict=strict, remedies=remedies)
        if planned.placement is not None and planned.status != "refused":
            print_base_for(planned.sign, assets)
    return make_planned(planned, assets)


def make_planned(planned: Plan, assets: Assets, *, proof: bool = True, thumbnail: bool = True) -> Product:
    """Draw a sign that was fitted and checked; nothing but the thumbnail is drawn of a refused one.

    Args:
        planned: The sign.
        assets: Where its picture comes from.
        proof: Whether a proof is wanted.
        thumbnail: Whether a thumbnail is.
    """
    sign, placement = planned.sign, planned.placement
    if placement is None:
        return Product(planned, None, None, "")
    if planned.status == "refused":
        return Product(planned, None, None, thumbnail_for(sign, assets).draw(placement) if thumbnail else "")
    with _proof_drawn_beside(sign, assets) if proof or thumbnail else nullcontext():
        printed = print_base_for(sign, assets).print_of(placement, order=sign.order)
    proved = proof_press_for(sign, assets).proof_of(placement) if proof else None
    return Product(planned, printed, proved, thumbnail_for(sign, assets).draw(placement) if thumbnail else "")


@contextmanager
def _proof_drawn_beside(sign: Sign, assets: Assets) -> Iterator[None]:
    """Draw a sign's proof without lettering on a second thread meanwhile, unless it is at hand.

    What that raises, it raises again when the proof is wanted.
    """
    if has_proof_press(sign, assets):
        yield
        return
    with ThreadPoolExecutor(1) as second:
        second.submit(proof_press_for, sign, assets)
        yield
