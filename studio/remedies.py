"""Remedies that have been tried: for each finding that one can clear, what clears it and by how much.

A remedy is a changed sign, fitted and checked anew; it is told only when its finding is gone and no new warning came.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from studio.checking.finding import Finding, Where, found, status_of
from studio.fitting.placement import PlacedLettering
from studio.lettering.face import Face
from studio.shelf import Bench, Plan
from studio.sign import FaceChoice, Layout, LetteringOrder, Sign

Replan = Callable[[Sign], Plan]

CURABLE: Final = ("thin-stroke", "narrow-gap")
MOST_TOLD: Final = 3
_FACES_TRIED: Final = 4
_WEIGHT_STEP: Final = 10.0
_OFFSET_SLACK_MM: Final = 0.004
_LARGEST_OFFSET_MM: Final = 1.5
_CAP_SLACK: Final = 1.004


@dataclass(frozen=True, slots=True, eq=False)
class Remedy:
    """A change that was tried: the way it was made, what it says, and the plan that came of it."""

    way: str
    words: str
    plan: Plan


def with_remedies(planned: Plan, replan: Replan, bench: Bench) -> Plan:
    """Return the plan, each curable finding with the remedies that clear it, best first."""
    findings = []
    known: dict[tuple[str, int | None], str] = {}
    for finding in planned.findings:
        key = (finding.code, finding.where.lettering)
        if finding.code in CURABLE:
            if key not in known:
                known[key] = " ".join(_told(planned, finding, replan, bench))
            finding = replace(finding, remedy=known[key])
        elif finding.code == "no-room":
            finding = replace(finding, remedy=_roomier(planned, finding, replan) or finding.remedy)
        findings.append(finding)
    return replace(planned, findings=tuple(findings))


def repaired(planned: Plan, replan: Replan, bench: Bench) -> Plan:
    """Return the plan with one repair applied to each lettering that needs it, and a note of what was done."""
    way, notes = planned.sign.repair, []
    for number in range(len(planned.sign.letterings)):
        ill = _first_ill(planned, number)
        if ill is None:
            continue
        ways = (way,) if way != "auto" else ("weight", "offset")
        tried = [remedy for one in ways for remedy in _tries(one, planned, ill, replan, bench)]
        cure = next((remedy for remedy in tried if _clears(remedy.plan, planned, ill)), None)
        if cure is None:
            notes.append(
                found(
                    "option-without-effect",
                    f"--repair {way} found no {way if way != 'auto' else 'weight or offset'} that clears it.",
                    where=Where(number),
                    unit="",
                )
            )
            continue
        planned = cure.plan
        notes.append(found("repaired", f"Repaired: {cure.words}", where=Where(number), unit=""))
    findings = (*planned.findings, *notes)
    return replace(planned, findings=findings, status=status_of(findings))


def _first_ill(planned: Plan, number: int) -> Finding | None:
    return next(
        (one for one in planned.findings if one.code in CURABLE and one.where.lettering == number),
        None,
    )


def _told(planned: Plan, finding: Finding, replan: Replan, bench: Bench) -> list[str]:
    """Return sentences for the remedies that clear a finding, at most `MOST_TOLD`."""
    told: list[str] = []
    for way in ("cap", "weight", "layout", "offset", "face"):
        for remedy in _tries(way, planned, finding, replan, bench):
            if _clears(remedy.plan, planned, finding):
                told.append(remedy.words)
                break
        if len(told) == MOST_TOLD:
            return told
    if finding.measured:
        told.append(f"A surface with a spread up to {math.floor(finding.measured / 3 * 1000) / 1000:.3f} mm holds it.")
    return told


def _tries(way: str, planned: Plan, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    number = finding.where.lettering
    if planned.placement is None or number is None or not finding.measured or finding.limit is None:
        return
    ways: dict[str, Callable[..., Iterator[Remedy]]] = {
        "cap": _larger,
        "weight": _heavier,
        "layout": _relaid,
        "offset": _thickened,
        "face": _sturdier,
    }
    yield from ways[way](planned, number, finding, replan, bench)


def _larger(planned: Plan, number: int, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    lettering, order = _lettering(planned, number), planned.sign.letterings[number]
    if order.cap_mm is None and order.max_cap_mm is None and number == 0:
        return
    assert finding.measured is not None and finding.limit is not None
    cap_mm = lettering.cap_height_mm * finding.limit / finding.measured * _CAP_SLACK
    tried = replan(_changed(planned.sign, number, cap_mm=cap_mm, max_cap_mm=None, layout=lettering.layout))
    yield Remedy("cap", f"At {cap_mm:.1f} mm cap height it holds (--cap {cap_mm:.1f}mm).", tried)


def _heavier(planned: Plan, number: int, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    """Try the lightest weight of the same face that survives, found by bisection on the measured result."""
    order = planned.sign.letterings[number]
    face = bench.face(order.face)
    if face.weight_range is None or face.weight is None or finding.code != "thin-stroke":
        return
    low, high = face.weight, face.weight_range[1]
    best = _at_weight(planned, number, high, replan)
    if high <= low or not _gone(best, finding):
        return
    while high - low > _WEIGHT_STEP:
        middle = math.floor((low + high) / 2 / _WEIGHT_STEP + 0.5) * _WEIGHT_STEP
        if not low < middle < high:
            break
        tried = _at_weight(planned, number, middle, replan)
        if _gone(tried, finding):
            high, best = middle, tried
        else:
            low = middle
    lettering = _lettering(best, number)
    yield Remedy(
        "weight",
        f"{face.name} at weight {high:.0f} holds at {lettering.cap_height_mm:.1f} mm cap height "
        f"({_fineness(best, number, finding)}; --weight {high:.0f}).",
        best,
    )


def _at_weight(planned: Plan, number: int, weight: float, replan: Replan) -> Plan:
    face = planned.sign.letterings[number].face
    return replan(_changed(planned.sign, number, face=FaceChoice(face.name, weight)))


def _relaid(planned: Plan, number: int, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    layouts: tuple[Layout, ...] = ("box", "arc-top", "arc-bottom")
    if planned.sign.letterings[number].layout == "auto":
        return
    for layout in layouts:
        if layout != _lettering(planned, number).layout:
            tried = replan(_changed(planned.sign, number, layout=layout))
            if tried.placement is not None:
                cap_mm = _lettering(tried, number).cap_height_mm
                yield Remedy("layout", f"--layout {layout} gives {cap_mm:.1f} mm cap height, which holds.", tried)


def _thickened(planned: Plan, number: int, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    if finding.code != "thin-stroke":
        return
    assert finding.measured is not None and finding.limit is not None
    sign = planned.sign
    offset_mm = sign.letterings[number].offset_mm
    for _ in range(4):
        tried_at = _lettering(planned, number)
        offset_mm += (finding.limit - finding.measured) / 2 + _OFFSET_SLACK_MM
        if offset_mm > min(_LARGEST_OFFSET_MM, tried_at.cap_height_mm / 8):
            return
        tried = replan(_changed(sign, number, offset_mm=offset_mm))
        if tried.placement is None:
            return
        again = next(
            (one for one in tried.findings if one.code == finding.code and one.where.lettering == number), None
        )
        if again is None:
            yield Remedy(
                "offset",
                f"Outlines moved out by {offset_mm:.2f} mm hold ({_fineness(tried, number, finding)}; "
                "--repair offset).",
                tried,
            )
            return
        finding = again


def _sturdier(planned: Plan, number: int, finding: Finding, replan: Replan, bench: Bench) -> Iterator[Remedy]:
    face = bench.face(planned.sign.letterings[number].face)
    for choice in bench.stand_ins(face)[:_FACES_TRIED]:
        other = bench.face(choice)
        if not _sets_all(other, planned.sign.letterings[number]):
            continue
        tried = replan(_changed(planned.sign, number, face=choice))
        if tried.placement is not None:
            cap_mm = _lettering(tried, number).cap_height_mm
            yield Remedy(
                "face",
                f"{other.label} holds at {cap_mm:.1f} mm cap height ({_fineness(tried, number, finding)}; "
                f"--face '{other.name}').",
                tried,
            )


def _roomier(planned: Plan, finding: Finding, replan: Replan) -> str:
    """Return what would find room: another layout tried, or a smaller least size."""
    number = finding.where.lettering or 0
    order = planned.sign.letterings[number]
    told = []
    for layout in ("box", "arc-top", "arc-bottom"):
        if order.layout not in (layout, "auto"):
            tried = replan(_changed(planned.sign, number, layout=layout))
            if tried.placement is not None:
                cap_mm = _lettering(tried, number).cap_height_mm
                told.append(f"--layout {layout} has room for {cap_mm:.1f} mm cap height.")
    if finding.measured and finding.measured > 0.5:
        cap_mm = math.floor(finding.measured * 10) / 10
        told.append(f"--min-cap {cap_mm:.1f}mm accepts the room there is." if order.cap_mm is None else "")
        told.append(f"--cap {cap_mm:.1f}mm fits." if order.cap_mm is not None else "")
    return " ".join(sentence for sentence in told if sentence)


def _clears(tried: Plan, before: Plan, finding: Finding) -> bool:
    """Whether a finding is gone, and no warning came that was not there before."""
    if tried.placement is None or tried.status == "refused":
        return False
    number = finding.where.lettering
    had = {(one.code, one.where.lettering) for one in before.findings if one.severity == "warn"}
    has = {(one.code, one.where.lettering) for one in tried.findings if one.severity == "warn"}
    return (finding.code, number) not in has and has <= had


def _gone(tried: Plan, finding: Finding) -> bool:
    """Whether a finding is gone, whatever else came; a heavier weight only ever thickens strokes."""
    return tried.placement is not None and not any(
        one.code == finding.code and one.where.lettering == finding.where.lettering for one in tried.findings
    )


def _fineness(tried: Plan, number: int, finding: Finding) -> str:
    fine = tried.thickness[number]
    if finding.code == "thin-stroke":
        return f"thinnest stroke {fine.thinnest_stroke_mm or 0:.2f} mm"
    return f"narrowest gap {fine.thinnest_gap_mm or 0:.2f} mm"


def _sets_all(face: Face, order: LetteringOrder) -> bool:
    return all(face.covers(letter) for letter in order.text if not letter.isspace())


def _lettering(planned: Plan, number: int) -> PlacedLettering:
    assert planned.placement is not None
    return planned.placement.letterings[number]


def _changed(sign: Sign, number: int, **changes: object) -> Sign:
    order = replace(sign.letterings[number], **changes)  # type: ignore[arg-type]
    letterings = (*sign.letterings[:number], order, *sign.letterings[number + 1 :])
    return replace(sign, letterings=letterings, repair="none")
