"""Remedies: each one told clears its finding when it is taken at its word, and repairs do what they say."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from studio.cli.wording import remedy_of
from studio.model.finding import Finding
from studio.model.options import Value
from studio.model.sign import Sign
from studio.pipeline.plan import plan
from studio.pipeline.remedies import MOST_TOLD
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue

_SENTENCE = re.compile(r".+?(?:[.!?](?=\s+[A-Z“—\-]|$)|$)")
_OPTION = re.compile(r"--(?P<name>[a-z-]+) (?:'(?P<quoted>[^']*)'|(?P<bare>[^\s;)']+))")
_TYPED = re.compile(r"Type “(?P<text>[^”]*)”")

ILL: list[tuple[str, dict[str, Value]]] = [
    ("Marlow & Tess", {"face": "Roboto Slab", "weight": "300", "cap": "12mm", "surface": "bare"}),
    ("Marlow & Tess", {"face": "Pacifico", "cap": "10mm", "surface": "bare"}),
    ("Sandpiper", {"face": "Nunito", "weight": "300", "layout": "arc-top", "max_cap": "9mm"}),
    ("Otter Cove", {"face": "Young Serif", "blank": "oval:60mmx40mm"}),
    ("Ida\\nof the Birch Cabin by the lake", {"blank": "rect:140mmx60mm", "face": "Rubik", "surface": "bare"}),
    ("Zo\u00eb", {"face": "Oswald", "weight": "200", "cap": "14mm", "also": "arc-bottom=est. 1987", "surface": "bare"}),
    ("Bo", {"face": "Alfa Slab One", "cap": "6mm", "surface": "bare"}),
    ("Tess", {"color": "#d8c8b0", "surface": "clear-coat"}),
    ("Tess", {"color": "#c8b090", "artwork": "pine-ring", "layout": "arc-bottom"}),
    ("Tess", {"shift": "60mm,10mm"}),
    ("Tess", {"artwork": "pine-ring", "shift": "0mm,25mm"}),
    ("Tess", {"cap": "25mm", "layout": "box", "shift": "0mm,-104mm", "also": "arc-bottom=Birch Cabin 1987"}),
    ("Marlow & Tess of Birch Cabin", {"layout": "arc-top", "min_cap": "30mm"}),
    ("Marlow & Tess of Birch Cabin", {"layout": "arc-top", "cap": "30mm", "sweep": "90"}),
    ("Ida\\nof the Birch Cabin by the lake", {"blank": "rect:80mmx40mm"}),
]


def planned(text: str, values: dict[str, Value], *, remedies: bool = True) -> Plan:
    """Return a sign fitted and checked; bare unless an artwork is asked for."""
    return kept(build_sign(text, {"artwork": "none", "composition": "largest", **values}, catalogue()), remedies)


@cache
def kept(sign: Sign, remedies: bool) -> Plan:
    """Return a sign's plan, made once for all tests here."""
    return plan(sign, assets(), remedies=remedies)


def sentences(finding: Finding) -> list[str]:
    """Return a remedy's sentences."""
    return [match[0].strip() for match in _SENTENCE.finditer(remedy_of(finding))]


def taken(sentence: str, text: str, values: dict[str, Value]) -> tuple[str, dict[str, Value]] | None:
    """Return text and values once a sentence is taken at its word; `None` when it names nothing to set."""
    typed, options = _TYPED.search(sentence), list(_OPTION.finditer(sentence))
    if typed is not None:
        return typed["text"], values
    if not options:
        return None
    said = {one["name"].replace("-", "_"): (one["quoted"] or one["bare"]).rstrip(".,") for one in options}
    return text, {**values, **said}


def codes(made: Plan, lettering: int | None) -> set[str]:
    """Return the codes of refusals and warnings of one lettering."""
    return {one.code for one in made.findings if one.where.lettering == lettering and one.severity != "note"}


@pytest.mark.parametrize("case", range(len(ILL)))
def test_every_remedy_clears_its_finding(case: int) -> None:
    """Each sentence that names an option or a text, taken at its word, makes a sign without that finding."""
    text, values = ILL[case]
    made = planned(text, values)
    told = {
        (finding.code, sentence)
        for finding in made.findings
        if finding.where.lettering == 0 and finding.severity != "note"
        for sentence in sentences(finding)
    }
    tried = 0
    for code, sentence in told:
        change = taken(sentence, text, values)
        if change is not None:
            tried += 1
            after = planned(*change, remedies=False)
            assert code not in codes(after, 0), sentence
            assert after.placement is not None and after.status != "refused", sentence
    assert tried >= 1, told


@pytest.mark.parametrize("case", range(len(ILL)))
def test_every_offer_sets_what_its_sentence_promises(case: int) -> None:
    """The values of each offer make a sign without the finding, and a remedy is the sentences of its offers."""
    text, values = ILL[case]
    made = planned(text, values)
    ill = [one for one in made.findings if one.where.lettering == 0 and one.severity != "note" and one.offers]
    assert ill
    for finding in ill:
        assert finding.remedy == " ".join(offer.sentence for offer in finding.offers)
        for offer in finding.offers:
            changes = dict(offer.changes)
            typed = changes.pop("text", text)
            asked = {key: value for key, value in {**values, **changes}.items() if value}
            after = planned(typed, asked, remedies=False)
            assert finding.code not in codes(after, 0), offer
            assert after.placement is not None and after.status != "refused", offer


@pytest.mark.parametrize("case", range(9))
def test_no_remedy_brings_another_warning(case: int) -> None:
    """Taken at its word a remedy brings no warning that was not there before."""
    text, values = ILL[case]
    made = planned(text, values)
    for finding in made.findings:
        for sentence in sentences(finding) if finding.severity == "warn" and finding.where.lettering == 0 else ():
            change = taken(sentence, text, values)
            if change is not None:
                assert codes(planned(*change, remedies=False), 0) <= codes(made, 0), sentence


def test_the_lightest_weight_is_told() -> None:
    """At the weight told the strokes hold, one step of ten lighter they do not."""
    text, values = ILL[0]
    finding = next(one for one in planned(text, values).findings if one.code == "thin-stroke")
    match = re.search(r"--weight (\d+)", remedy_of(finding))
    assert match is not None
    weight = int(match[1])
    at, lighter = (planned(text, {**values, "weight": str(heavy)}, remedies=False) for heavy in (weight, weight - 10))
    assert "thin-stroke" not in codes(at, 0)
    assert "thin-stroke" in codes(lighter, 0)


def test_the_softest_surface_is_told() -> None:
    """The surface told holds, and no softer one of the shop's does."""
    text, values = ILL[0]
    finding = next(one for one in planned(text, values).findings if one.code == "thin-stroke")
    match = re.search(r"On ([a-z-]+) it holds: (\d\.\d\d) mm limit", finding.remedy)
    assert match is not None
    told = catalogue().surface(match[1])
    assert float(match[2]) == pytest.approx(told.finest_stroke_mm, abs=0.005)
    for surface in assets().surfaces():
        if told.spread_mm < surface.spread_mm < 0.35:
            assert "thin-stroke" in codes(planned(text, {**values, "surface": surface.name}, remedies=False), 0)


def test_a_shop_without_finer_surfaces_tells_of_none() -> None:
    """On the finest surface there is no other to name."""
    made = planned("Tess", {"face": "Young Serif", "cap": "3mm", "surface": "factory"})
    ill = [one for one in made.findings if one.code == "thin-stroke"]
    assert ill and all("--surface" not in remedy_of(one) for one in ill)


@pytest.mark.parametrize("case", range(len(ILL)))
def test_remedies_are_few_and_sound(case: int) -> None:
    """No more than a handful is told, none twice, and remedies change neither sign nor placement nor status."""
    text, values = ILL[case]
    with_them, without = planned(text, values), planned(text, values, remedies=False)
    for finding in with_them.findings:
        told = sentences(finding)
        assert len(told) <= MOST_TOLD and len(set(told)) == len(told)
    assert with_them.sign == without.sign and with_them.status == without.status
    assert [one.message for one in with_them.findings] == [one.message for one in without.findings]


def test_what_a_remedy_costs_is_told() -> None:
    """Thickening that narrows a gap that was narrow before says so, with the gap that is left."""
    text, values = "Marlow & Tess", {"face": "Pacifico", "cap": "12mm", "surface": "bare", "repair": "offset"}
    made = planned(text, values, remedies=False)
    (note,) = [one for one in made.findings if one.code == "repaired"]
    match = re.search(r"though the narrowest gap shrinks to (\d\.\d\d) mm", note.message)
    assert match is not None
    assert float(match[1]) == pytest.approx(made.thickness[0].thinnest_gap_mm or 0, abs=0.005)


@pytest.mark.parametrize("repair", ["weight", "auto"])
def test_repair_by_weight(repair: str) -> None:
    """The weight is raised in the sign itself, the stroke holds, and the note says which weight."""
    text, values = ILL[0]
    made = planned(text, {**values, "repair": repair}, remedies=False)
    (note,) = [one for one in made.findings if one.code == "repaired"]
    weight = made.sign.letterings[0].face.weight
    assert weight is not None and weight > 300 and f"weight {weight:.0f}" in note.message
    assert "thin-stroke" not in codes(made, 0)
    assert made.placement is not None and made.placement.letterings[0].weight == weight


@pytest.mark.parametrize("repair", ["offset", "auto"])
def test_repair_by_offset(repair: str) -> None:
    """The outlines are moved out by no more than needed, and the note says by how much."""
    text, values = "Marlow & Tess", {"face": "Pacifico", "cap": "12mm", "surface": "bare"}
    before = planned(text, values, remedies=False)
    made = planned(text, {**values, "repair": repair}, remedies=False)
    (note,) = [one for one in made.findings if one.code == "repaired"]
    offset_mm = made.sign.letterings[0].offset_mm
    assert f"by {offset_mm:.2f} mm" in note.message
    short_mm = made.sign.surface.finest_stroke_mm - (before.thickness[0].thinnest_stroke_mm or 0)
    assert short_mm / 2 - 0.004 <= offset_mm <= short_mm / 2 + 0.01
    assert "thin-stroke" not in codes(made, 0)
    assert made.placement is not None and made.placement.letterings[0].offset_mm == offset_mm


def test_a_repair_that_cannot_help_says_so() -> None:
    """A face of one weight is not made heavier; the sign stays as it was, with a note."""
    text, values = "Marlow & Tess", {"face": "Pacifico", "cap": "12mm", "surface": "bare"}
    made = planned(text, {**values, "repair": "weight"}, remedies=False)
    (note,) = [one for one in made.findings if one.code == "option-without-effect"]
    assert "found no weight" in note.message and note.option == "repair"
    assert "thin-stroke" in codes(made, 0)


def test_a_sound_sign_is_not_repaired() -> None:
    """Where nothing is ill a repair changes nothing and says nothing."""
    made, plain = planned("Tess", {"repair": "auto"}, remedies=False), planned("Tess", {}, remedies=False)
    assert made.findings == plain.findings
    assert replace(made.sign, repair="none") == plain.sign


def test_each_text_is_repaired_for_itself() -> None:
    """A name that holds is left alone, the thin year below it is made heavier."""
    values: dict[str, Value] = {
        "face": "Roboto Slab",
        "weight": "100",
        "also": "arc-bottom=est. 1987",
        "surface": "film",
        "blank": "round:120mm",
        "repair": "weight",
    }
    made = planned("Bo", values, remedies=False)
    assert [one.where.lettering for one in made.findings if one.code == "repaired"] == [1]
    name, year = made.sign.letterings
    assert name.face.weight == 100 and (year.face.weight or 0) > 100
