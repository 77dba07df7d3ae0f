"""Remedies that have been tried: for each finding that one can clear, what clears it and by how much.

A remedy is a changed sign, fitted and checked anew; it is told only when its finding is gone and no new warning came.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Final

from studio.model.finding import Finding, Offer, Where, found, status_of
from studio.pipeline.effort import OutOfBudgetError
from studio.pipeline.remedy_trials import Replan, TriedRemedy, roomier, tries
from studio.pipeline.types import Assets, Plan

CURABLE: Final = ("thin-stroke", "narrow-gap")
"""What `repaired` looks after."""
MOST_TOLD: Final = 4
_WAYS: Final = {
    "thin-stroke": ("cap", "weight", "layout", "break", "offset", "face", "surface"),
    "narrow-gap": ("cap", "layout", "break", "face", "surface"),
    "stroke-fades": ("cap", "layout", "break", "face", "surface"),
    "counter-fills": ("cap", "layout", "break", "face", "surface"),
    "looks-alike": ("cap", "layout", "break", "face", "surface"),
    "low-contrast": ("outline", "colour"),
    "outside-safe-zone": ("shift",),
    "texts-collide": ("shift",),
    "covers-artwork": ("shift",),
    "room-left": ("narrower",),
}
"""The ways to clear each finding, in the order in which they are told; the last one is told whatever came before."""
_WORSE: Final = 0.98
"""A warning that was there before counts as worse from this share of what it measured."""
_WORST: Final = 0.6
"""Gaps that were too narrow before may shrink to this share where strokes are thickened; it is told."""


def with_remedies(planned: Plan, replan: Replan, assets: Assets) -> Plan:
    """Return the plan, each curable finding with the remedies that clear it, best first."""
    findings = []
    known: dict[tuple[str, int | None], tuple[Offer, ...]] = {}
    for finding in planned.findings:
        key = (finding.code, finding.where.lettering)
        if finding.code in _WAYS:
            if key not in known:
                known[key] = tuple(_told(planned, finding, replan, assets))
            finding = _with_offers(finding, known[key], _untried(finding))
        elif finding.code == "no-room":
            finding = _with_offers(finding, tuple(roomier(planned, finding, replan)), finding.remedy)
        findings.append(finding)
    return replace(planned, findings=tuple(findings))


def _with_offers(finding: Finding, offers: tuple[Offer, ...], otherwise: str) -> Finding:
    return replace(finding, remedy=" ".join(offer.sentence for offer in offers) or otherwise, offers=offers)


def _untried(finding: Finding) -> str:
    """Return what a finding says of itself where it only names the way, and promises no value."""
    return finding.remedy if finding.severity == "refuse" or finding.code == "covers-artwork" else ""


def repaired(planned: Plan, replan: Replan, assets: Assets) -> Plan:
    """Return the plan with one repair applied to each lettering that needs it, and a note of what was done."""
    way, notes = planned.sign.repair, []
    for number in range(len(planned.sign.letterings)):
        ill = _first_ill(planned, number)
        if ill is None:
            continue
        ways = (way,) if way != "auto" else ("weight", "offset")
        tried = [remedy for one in ways for remedy in _within_budget(tries(one, planned, ill, replan, assets))]
        cure = next((remedy for remedy in tried if _clears(remedy.plan, planned, ill)), None)
        if cure is None:
            notes.append(
                found(
                    "option-without-effect",
                    f"Automatic repair found no {way if way != 'auto' else 'weight or offset'} that clears it.",
                    where=Where(number),
                    unit="",
                    option="repair",
                )
            )
            continue
        notes.append(found("repaired", f"Repaired: {_with_cost(cure, planned)}", where=Where(number), unit=""))
        planned = cure.plan
    findings = (*planned.findings, *notes)
    return replace(planned, findings=findings, status=status_of(findings))


def _first_ill(planned: Plan, number: int) -> Finding | None:
    return next(
        (one for one in planned.findings if one.code in CURABLE and one.where.lettering == number),
        None,
    )


def _told(planned: Plan, finding: Finding, replan: Replan, assets: Assets) -> list[Offer]:
    """Return the remedies that clear a finding, at most `MOST_TOLD`."""
    told: list[Offer] = []
    *others, last = _WAYS[finding.code]
    for way in others:
        if len(told) < MOST_TOLD - 1:
            told += _first_that_clears(way, planned, finding, replan, assets)
    return told + _first_that_clears(last, planned, finding, replan, assets)


def _within_budget(tried: Iterator[TriedRemedy]) -> Iterator[TriedRemedy]:
    """Yield what was tried until the sign's budget is spent."""
    with suppress(OutOfBudgetError):
        yield from tried


def _first_that_clears(way: str, planned: Plan, finding: Finding, replan: Replan, assets: Assets) -> list[Offer]:
    tried = _within_budget(tries(way, planned, finding, replan, assets))
    cures = (remedy for remedy in tried if _clears(remedy.plan, planned, finding))
    return next(([Offer(_with_cost(remedy, planned), remedy.changes)] for remedy in cures), [])


def _with_cost(remedy: TriedRemedy, before: Plan) -> str:
    """Return what a remedy says, and what it costs where gaps that were too narrow become narrower."""
    had, has = _warnings(before), _warnings(remedy.plan)
    for (code, number), share in has.items():
        if code == "narrow-gap" and number is not None and share < had[code, number] * _WORSE:
            gap_mm = remedy.plan.thickness[number].thinnest_gap_mm or 0.0
            return f"{remedy.words.removesuffix('.')}, though the narrowest gap shrinks to {gap_mm:.2f} mm."
    return remedy.words


def _clears(tried: Plan, before: Plan, finding: Finding) -> bool:
    """Whether a finding is gone, no warning came that was not there before, and none that was came out worse."""
    if tried.placement is None or tried.status == "refused":
        return False
    number = finding.where.lettering
    had, has = _warnings(before), _warnings(tried)
    if (finding.code, number) in has or not has.keys() <= had.keys():
        return False
    allowed = {key: _WORST if key == ("narrow-gap", number) else _WORSE for key in has}
    return all(has[key] >= had[key] * allowed[key] for key in has)


def _warnings(planned: Plan) -> dict[tuple[str, int | None], float]:
    """Return the warnings of a plan with the least share of its limit that each measured."""
    worst: dict[tuple[str, int | None], float] = {}
    for one in planned.findings:
        if one.severity == "warn":
            key = (one.code, one.where.lettering)
            share = one.measured / one.limit if one.measured is not None and one.limit else 1.0
            worst[key] = min(worst.get(key, share), share)
    return worst
