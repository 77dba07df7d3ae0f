"""Room beside holes is found wherever it is, and what is tried for one sign is bounded."""

from __future__ import annotations

import pytest

import studio.pipeline.plan as planning
from studio.layout.work import WORK
from studio.model.options import Value
from studio.model.sign import Sign
from studio.pipeline.effort import Effort, OutOfBudgetError
from studio.pipeline.plan import plan
from studio.pipeline.types import Assets, Plan
from studio.storage.assets import FileAssets
from studio.storage.sign_builder import build_sign
from tests.shared import catalogue

TWO_HOLES = ("-63.1mm,-21.8mm,5mm", "-31.9mm,22.3mm,14mm")


def sign(text: str, **values: Value) -> Sign:
    """Return a sign as asked for on bare wood."""
    return build_sign(text, {"artwork": "none", "composition": "largest", **values}, catalogue())


def cap_mm(made: Plan) -> float:
    """Return the cap height of the first text."""
    assert made.placement is not None
    return made.placement.letterings[0].cap_height_mm


@pytest.mark.parametrize(
    ("text", "face", "blank", "holes", "least_mm"),
    [
        ("O’Brien", "Yellowtail", "rect:258mmx167mm:15mm", TWO_HOLES, 59.0),
        ("Marlow & Tess", "Alfa Slab One", "rect:220mmx120mm", ("-40mm,10mm,8mm", "30mm,-20mm,14mm"), 0.0),
    ],
)
def test_the_largest_place_beside_holes_is_found(
    text: str, face: str, blank: str, holes: tuple[str, ...], least_mm: float
) -> None:
    """No place of a coarse walk over the whole blank holds the text larger than it is set, by more than 1 percent."""
    made = plan(sign(text, face=face, blank=blank, hole=holes, layout="box"), FileAssets(catalogue()), remedies=False)
    assert cap_mm(made) > least_mm


def test_a_size_that_there_is_room_for_is_granted() -> None:
    """A fixed size under the largest beside holes is not refused for want of room."""
    asked = sign("O’Brien", face="Yellowtail", blank="rect:258mmx167mm:15mm", hole=TWO_HOLES, layout="box", cap="58mm")

    assert cap_mm(plan(asked, FileAssets(catalogue()), remedies=False)) == pytest.approx(58.0, abs=1e-3)


def test_what_is_offered_where_there_is_no_room_has_room() -> None:
    """A smallest size that is offered is granted when it is asked for."""
    values: dict[str, Value] = {"blank": "rect:150mmx90mm", "hole": ("0mm,10mm,8mm",), "layout": "box"}
    assets = FileAssets(catalogue())
    refused = plan(sign("The Old Boat House", min_cap="40mm", **values), assets)
    offered = [
        dict(offer.changes)["min_cap"]
        for one in refused.findings
        for offer in one.offers
        if "min_cap" in dict(offer.changes)
    ]
    assert refused.status == "refused" and offered

    assert plan(sign("The Old Boat House", min_cap=offered[0], **values), assets, remedies=False).placement is not None


def test_a_heavy_sign_is_fitted_few_times(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three texts beside three holes on an oval are fitted three times at most, all that helps told or not."""
    fitted: list[Sign] = []
    real = planning._planned

    def counted(asked: Sign, assets: Assets) -> Plan:
        fitted.append(asked)
        return real(asked, assets)

    monkeypatch.setattr(planning, "_planned", counted)
    heavy = sign(
        "Welcome to the Old Boat House",
        blank="oval:300mmx150mm",
        hole=("-60mm,20mm,8mm", "50mm,-20mm,10mm", "0mm,30mm,6mm"),
        also=("arc-bottom=Pikewater campground", "arc-top=cabin twenty-two"),
        surface="bare",
        face="Young Serif",
    )
    made = plan(heavy, FileAssets(catalogue()))

    assert len(fitted) <= 3
    assert any(one.severity == "warn" for one in made.findings)


def test_a_plain_sign_has_budget_for_every_remedy() -> None:
    """A name on a round blank may be fitted more than thirty times over before its budget of a second ends."""
    plain, assets = sign("Marlow & Tess", blank="round:254mm"), FileAssets(catalogue())
    effort = Effort(lambda asked: planning._planned(asked, assets))
    effort.base(plain)

    assert 1000.0 / effort.spent_ms > 30


def test_the_same_sign_is_the_same_work_whatever_came_before() -> None:
    """What is remembered of another sign, and of the same one, changes nothing in what it counts as."""
    counts = []
    asked = build_sign(
        "Marlow & Tess",
        {"artwork": "mountain-ridge", "blank": "oval:200mmx150mm", "also": ("arc-bottom=est. 2019",)},
        catalogue(),
    )
    for assets in (FileAssets(catalogue()), shared := FileAssets(catalogue()), shared):
        before = WORK.done_ms
        plan(asked, assets, remedies=False)
        counts.append(WORK.done_ms - before)

    assert counts[0] > 100.0
    assert counts[0] == pytest.approx(counts[1], abs=1e-6) == pytest.approx(counts[2], abs=1e-6)


def test_the_budget_ends_and_what_is_known_stays() -> None:
    """The first change is tried, what was tried is given again, and the next one after the end is not."""
    tried: list[Sign] = []

    def fitted(changed: Sign) -> Plan:
        tried.append(changed)
        WORK.done_ms += 300.0
        return Plan(changed, None, (), "ok")

    effort = Effort(fitted)
    effort.base(sign("Ada"))
    with pytest.raises(OutOfBudgetError):
        for number in range(100):
            effort.changed(sign("Ada", dpi=str(100 + number)))
    count = len(tried)
    effort.changed(tried[1])

    assert count == len(tried) == 3


def test_a_sign_that_is_heavy_itself_is_not_fitted_again() -> None:
    """Where fitting alone takes most of a second, no change is tried: any one sign stays near two."""

    def fitted(changed: Sign) -> Plan:
        WORK.done_ms += 900.0
        return Plan(changed, None, (), "ok")

    effort = Effort(fitted)
    effort.base(sign("Ada"))
    with pytest.raises(OutOfBudgetError):
        effort.changed(sign("Bo"))
