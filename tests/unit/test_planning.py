"""Every finding of the table comes when it should and not when it should not; texts, faces and strictness."""

from __future__ import annotations

from dataclasses import replace

import pytest

from studio.model.dye import MIXINGS
from studio.model.finding import SEVERITY, Finding
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue

CYRILLIC_A = "\u0430"
CASES: dict[str, tuple[tuple[str, dict[str, Value]], tuple[str, dict[str, Value]]]] = {
    "no-room": (("Tess", {"min_cap": "200mm"}), ("Tess", {"min_cap": "50mm"})),
    "letter-missing": (
        ("Tess \u0416", {"face": "Yellowtail", "fallback": "no"}),
        ("Tess \u0416", {"face": "Yellowtail"}),
    ),
    "outside-safe-zone": (("Tess", {"shift": "60mm,0mm"}), ("Tess", {"shift": "0mm,1mm"})),
    "texts-collide": (
        (
            "Tess",
            {
                "composition": "largest",
                "cap": "25mm",
                "layout": "box",
                "shift": "0mm,-104mm",
                "also": "arc-bottom=Birch Cabin 1987",
            },
        ),
        ("Tess", {"cap": "25mm", "layout": "box", "also": "arc-bottom=Birch Cabin 1987"}),
    ),
    "artwork-too-coarse": (
        ("Tess", {"artwork": "pine-ring", "artwork_fit": "900mm"}),
        ("Tess", {"artwork": "pine-ring", "artwork_fit": "700mm"}),
    ),
    "artwork-coarse": (
        ("Tess", {"artwork": "pine-ring", "artwork_fit": "700mm"}),
        ("Tess", {"artwork": "pine-ring", "artwork_fit": "300mm"}),
    ),
    "artwork-short-of-bleed": (
        ("Tess", {"artwork": "pine-ring", "artwork_fit": "240mm"}),
        ("Tess", {"artwork": "pine-ring"}),
    ),
    "covers-artwork": (("Tess", {"artwork": "pine-ring", "shift": "0mm,45mm"}), ("Tess", {"artwork": "pine-ring"})),
    "thin-stroke": (("Tess", {"face": "Young Serif", "cap": "8mm"}), ("Tess", {"face": "Young Serif", "cap": "40mm"})),
    "narrow-gap": (
        ("Tess", {"face": "Alfa Slab One", "cap": "6mm"}),
        ("Tess", {"face": "Alfa Slab One", "cap": "60mm"}),
    ),
    "thin-outline": (("Tess", {"outline": "0.5mm:#aa2200"}), ("Tess", {"outline": "1mm:#aa2200"})),
    "tapering-tip": (("tat", {"face": "Young Serif", "cap": "8mm"}), ("tat", {"face": "Young Serif", "cap": "60mm"})),
    "join-wedge": (("MW", {"cap": "10mm", "surface": "bare"}), ("II", {"cap": "50mm", "face": "Nunito"})),
    "low-contrast": (("Tess", {"color": "#d8c8b0"}), ("Tess", {"color": "#402010"})),
    "white-ink": (("Tess", {"color": "#ffffff"}), ("Tess", {"color": "#808080"})),
    "mixed-scripts": (("T\u0435ss", {}), ("Tess \u0410\u043d\u043d\u0430", {})),
    "mixed-faces": (("\u0133\u0181\u0133", {}), ("Tess \u0416", {"face": "Yellowtail"})),
    "turned-letters": (("\u202eTess", {}), ("Tess", {})),
    "marks-left-out": (("Tess", {"waste": "1mm", "blank": "rect:200mmx90mm"}), ("Tess", {})),
    "wrongly-decoded": (("Zo\u00c3\u00ab", {}), ("Zo\u00eb", {})),
    "fallback-face": (("Tess \u0416", {"face": "Yellowtail"}), ("Tess", {"face": "Yellowtail"})),
    "spaces-trimmed": ((" Tess  & Bo", {}), ("Tess & Bo", {})),
    "straight-quotes": (("O'Hara", {}), ("O\u2019Hara", {})),
    "reads-from": (("Tess", {}), ("Tess", {"min_cap": "200mm"})),
    "repaired": (
        ("Tess", {"face": "Nunito", "weight": "300", "cap": "9mm", "repair": "weight"}),
        ("Tess", {"face": "Nunito", "cap": "30mm", "repair": "weight"}),
    ),
    "stroke-fades": (
        ("WYLIE", {"face": "Young Serif", "cap": "5mm", "surface": "bare", "mixing": "cover"}),
        ("WYLIE", {"face": "Young Serif", "cap": "40mm", "surface": "bare", "mixing": "cover"}),
    ),
    "stroke-fading": (
        ("Bo", {"face": "Lobster", "cap": "11mm", "surface": "bare", "mixing": "cover"}),
        ("Bo", {"face": "Lobster", "cap": "11mm", "surface": "bare", "mixing": "dye"}),
    ),
    "counter-fills": (("Bocce", {"face": "Oswald", "cap": "6mm"}), ("Bocce", {"face": "Oswald", "cap": "40mm"})),
    "counter-closing": (
        ("Marlow", {"face": "Pacifico", "cap": "9mm", "surface": "bare"}),
        ("Marlow", {"face": "Pacifico", "cap": "40mm", "surface": "bare"}),
    ),
    "looks-alike": (
        ("OLIVE", {"face": "Oswald", "cap": "5mm", "surface": "bare", "mixing": "dye"}),
        ("OLIVE", {"face": "Oswald", "cap": "40mm", "surface": "bare", "mixing": "dye"}),
    ),
    "small-dot": (
        ("Wylie", {"face": "Lobster", "cap": "5mm"}),
        ("Wylie", {"face": "Lobster", "cap": "9mm"}),
    ),
    "small-for-surface": (("Anna", {"face": "Nunito", "cap": "5mm"}), ("Anna", {"face": "Nunito", "cap": "9mm"})),
    "capitals-in-script": (("THE CABIN", {"face": "Lobster"}), ("The Cabin", {"face": "Lobster"})),
    "composition": (("of the", {}), ("of the Lake", {})),
    "room-left": (("Wilhelmina", {"face": "Nunito"}), ("Bo", {"face": "Nunito"})),
    "option-without-effect": (("Tess", {"case": "small-capitals"}), ("Tess", {"case": "capitals"})),
}
"""Code -> a sign that has it, and one like it that has not."""


def planned(text: str, *, strict: bool = False, **values: Value) -> Plan:
    """Return a sign fitted and checked, without remedies; bare unless an artwork is asked for."""
    mixing = values.pop("mixing", None)
    sign = build_sign(text, {"artwork": "none", **values}, catalogue())
    if mixing in MIXINGS:
        sign = replace(sign, surface=replace(sign.surface, mixing=mixing))
    return plan(sign, assets(), strict=strict, remedies=False)


def of_code(made: Plan, code: str) -> list[Finding]:
    """Return the findings of one code."""
    return [one for one in made.findings if one.code == code]


def test_every_code_has_its_case() -> None:
    """No finding of the table goes untested here."""
    assert set(CASES) == set(SEVERITY)


@pytest.mark.parametrize("code", CASES)
def test_findings_come_when_they_should(code: str) -> None:
    """Each comes with the severity of its code and a sentence, and decides the sign's status."""
    text, values = CASES[code][0]
    made = planned(text, **values)
    findings = of_code(made, code)
    assert findings
    for finding in findings:
        assert finding.severity == SEVERITY[code]
        assert finding.message.endswith((".", "!")) and len(finding.message) > 12
        assert (finding.measured is None) or finding.unit
    least = {"refuse": ("refused",), "warn": ("warn", "refused"), "note": ("ok", "warn", "refused")}
    assert made.status in least[SEVERITY[code]]


@pytest.mark.parametrize("code", CASES)
def test_findings_stay_away_when_they_should(code: str) -> None:
    """A sign that only just differs does not have it."""
    text, values = CASES[code][1]
    assert of_code(planned(text, **values), code) == []


def test_a_good_sign_has_nothing_but_its_note() -> None:
    """The default sign is told from how far it reads, and no more."""
    made = planned("Marlow & Tess", artwork="pine-ring")
    assert ([one.code for one in made.findings], made.status) == (["reads-from"], "ok")


def test_strict_turns_warnings_into_refusals() -> None:
    """The same findings in the same order, warnings refusing, notes left as they are."""
    text, values = CASES["thin-stroke"][0]
    lax, strict = planned(text, **values), planned(text, strict=True, **values)
    assert [one.code for one in lax.findings] == [one.code for one in strict.findings]
    assert (lax.status, strict.status) == ("warn", "refused")
    for before, after in zip(lax.findings, strict.findings, strict=True):
        assert after.severity == ("note" if before.severity == "note" else "refuse")
    assert planned("Marlow", artwork="pine-ring", strict=True).status == "ok"


def test_a_missing_letter_names_faces_that_have_it() -> None:
    """The letter stands with code point and name; each face named does have it."""
    (finding,) = of_code(planned("Tess \u0416", face="Yellowtail", fallback="no"), "letter-missing")
    assert "U+0416" in finding.message and "zhe" in finding.message and finding.where.letter == "\u0416"
    named = finding.remedy.split(": ")[1].split(";")[0].split(", ")
    assert named
    for name in named:
        assert of_code(planned("Tess \u0416", face=name, fallback="no"), "letter-missing") == []


def test_a_letter_that_no_shipped_face_has() -> None:
    """Such a letter is refused plainly, once however often it stands there; a font file of one's own is named."""
    made = planned("\u6e56\u6e56 Tess")
    (finding,) = of_code(made, "letter-missing")
    assert made.placement is None and "font file of your own" in finding.remedy and finding.ways == ("face",)


def test_a_borrowed_letter_names_its_face() -> None:
    """The note says which letters came from which face, and the placement agrees."""
    made = planned("Tess \u0416\u0418", face="Yellowtail")
    (finding,) = of_code(made, "fallback-face")
    assert made.placement is not None
    borrowed = {glyph.letter: glyph.face for glyph in made.placement.letterings[0].glyphs if glyph.face != "Yellowtail"}
    assert set(borrowed) == {"\u0416", "\u0418"}
    assert all(f"“{letter}”" in finding.message and face in finding.message for letter, face in borrowed.items())


def test_offers_are_never_taken_of_themselves() -> None:
    """A wrongly decoded name and straight quotes are set as typed, with the offer in the remedy."""
    made = planned("Zo\u00c3\u00ab")
    assert made.placement is not None and made.placement.letterings[0].text == "Zo\u00c3\u00ab"
    assert "“Zo\u00eb”" in of_code(made, "wrongly-decoded")[0].remedy
    quoted = planned("O'Hara")
    assert quoted.placement is not None and quoted.placement.letterings[0].text == "O'Hara"
    assert "“O\u2019Hara”" in of_code(quoted, "straight-quotes")[0].remedy


def test_options_without_effect_are_told() -> None:
    """A weight that a face has not, one out of its range, and features it lacks are each named."""
    (fixed,) = of_code(planned("Tess", weight="600"), "option-without-effect")
    assert "Pacifico" in fixed.message and "600" in fixed.message and fixed.option == "weight"
    (beyond,) = of_code(planned("Tess", face="Oswald", weight="900"), "option-without-effect")
    assert "200 to 700" in beyond.message
    (lacking,) = of_code(planned("Tess", face="Oswald", features="ss07,liga=0"), "option-without-effect")
    assert "ss07" in lacking.message and "liga" not in lacking.message
    assert of_code(planned("Tess", face="Oswald", weight="500", features="liga=0"), "option-without-effect") == []


def test_each_text_has_findings_of_its_own() -> None:
    """What is wrong with the second text says so by its number."""
    made = planned("Tess", also="arc-bottom=O'Hara")
    assert [one.where.lettering for one in of_code(made, "straight-quotes")] == [1]
