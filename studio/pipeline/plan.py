"""Fitting and checking one sign: the text read, the faces found, the letterings laid, every check asked."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from fontTools.unicodedata import script

from studio.checks.artwork_quality import picture_findings
from studio.checks.bounds import no_fit_finding, room_findings
from studio.checks.contrast import Surroundings, contrast_findings, ring_findings
from studio.checks.pressed_letters import pressed_findings
from studio.checks.reading_distance import distance_finding
from studio.checks.stroke_and_gap import Thickness, thickness, thickness_findings
from studio.composing.compose import compose
from studio.layout.arrange import Wanted
from studio.layout.placement import NoFit, Placement
from studio.layout.shaped_text import ShapedText
from studio.model.finding import Finding, Offer, Where, found, hardened, status_of
from studio.model.sign import DEFAULT_COLOUR, WASTE_MM, FaceChoice, LetteringOrder, Sign
from studio.model.surface import HIDDEN
from studio.pipeline.cache import area_for, marks_without_room_for, proof_base_for
from studio.pipeline.composing_notes import composing_findings, script_findings
from studio.pipeline.effort import Effort
from studio.pipeline.remedies import repaired, with_remedies
from studio.pipeline.types import Assets, Plan
from studio.proofreading.cleaning import cleaned
from studio.proofreading.proofread import remarks
from studio.proofreading.remark import Remark
from studio.text.font import Face
from studio.text.itemise import composed
from studio.text.shaping import Features
from studio.text.word_faces import STAND_INS, StandIn, covers

if TYPE_CHECKING:
    from collections.abc import Iterable

_WORD: Final = re.compile(r"\S+")
_CONTRAST_PX: Final = 300
_FACES_NAMED: Final = 4
_POSITIONS: Final = ("kern", "mark", "mkmk", "cpsp", "dist", "palt")
"""Features that move glyphs rather than change them; whether a face has them is not looked up."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadText:
    """A text as it will be set, with what was found in reading it."""

    order: LetteringOrder
    text: str
    face: Face
    features: Features
    findings: tuple[Finding, ...]


def plan(sign: Sign, assets: Assets, *, strict: bool = False, remedies: bool = True) -> Plan:
    """Return a sign fitted and checked.

    Args:
        sign: The sign.
        assets: Where faces and pictures come from.
        strict: Turn warnings into refusals.
        remedies: Whether remedies are tried and told; a long list goes quicker without.

    Raises:
        FontError: A face cannot be used.
        PictureError: The artwork cannot be read.
        SettingsError: A face is unknown, or the canvas is too large.
    """
    effort = Effort(lambda asked: _planned(asked, assets))
    planned = effort.base(sign)
    if sign.repair != "none":
        planned = repaired(planned, effort.changed, assets)
    if remedies:
        planned = with_remedies(planned, effort.changed, assets)
    if strict:
        findings = hardened(planned.findings)
        return Plan(planned.sign, planned.placement, findings, status_of(findings), planned.thickness, planned.area)
    return planned


def _planned(sign: Sign, assets: Assets) -> Plan:
    texts = tuple(_read(order, number, assets) for number, order in enumerate(sign.letterings))
    findings: list[Finding] = [finding for text in texts for finding in text.findings]
    findings.extend(picture_findings(sign))
    findings.extend(_marks_findings(sign, assets))
    findings.extend(_hidden_wood(sign))
    findings.extend(_ink_profile(sign))
    wanted = tuple(_wanted(text, sign, assets) for text in texts)
    missing = [
        finding for number, one in enumerate(wanted) for finding in _missing_findings(one.setting, number, assets)
    ]
    if missing:
        return _refused(sign, [*missing, *findings])
    area = area_for(sign, assets)
    laid = compose(wanted, area, sign.surface, sign.composing, assets.words())
    if isinstance(laid, NoFit):
        return _refused(sign, [no_fit_finding(laid, sign.letterings[laid.lettering].text), *findings])
    measured = tuple(thickness(lettering) for lettering in laid.letterings)
    findings[:0] = _laid_findings(sign, laid, measured, assets)
    findings[:0] = room_findings(laid, area)
    findings.extend(composing_findings(sign, laid))
    return Plan(sign, laid, tuple(findings), status_of(tuple(findings)), measured, area)


def _refused(sign: Sign, findings: list[Finding]) -> Plan:
    return Plan(sign, None, tuple(findings), status_of(tuple(findings)))


def _marks_findings(sign: Sign, assets: Assets) -> Iterable[Finding]:
    """Yield which marks are not printed since the waste asked for is too narrow."""
    if sign.waste_mm >= WASTE_MM:
        return
    missing = marks_without_room_for(sign, assets)
    if missing:
        enough = not marks_without_room_for(replace(sign, waste_mm=WASTE_MM), assets)
        value = f"{WASTE_MM:g}mm"
        yield found(
            "marks-left-out",
            f"A waste of {sign.waste_mm:g} mm has no room for: {', '.join(missing)}.",
            measured=sign.waste_mm,
            limit=WASTE_MM,
            offers=(Offer(f"A waste of {value} has room for all marks.", (("waste", value),)),) if enough else (),
        )


def _laid_findings(sign: Sign, laid: Placement, measured: tuple[Thickness, ...], assets: Assets) -> Iterable[Finding]:
    findings: list[Finding] = []
    for number, (lettering, fine) in enumerate(zip(laid.letterings, measured, strict=True)):
        findings.extend(thickness_findings(lettering, fine, sign.surface, number))
        findings.extend(pressed_findings(lettering, sign.surface, number, fine))
        findings.extend(ring_findings(lettering, sign.surface, number))
    base = proof_base_for(replace(sign, wood=None), assets, _CONTRAST_PX)
    around = Surroundings(base.pressed, base.window.px_per_mm, base.window.left_mm, base.window.top_mm)
    findings.extend(contrast_findings(sign, laid, around))
    for number, lettering in enumerate(laid.letterings):
        findings.extend(_stand_in_findings(laid, number))
        findings.append(distance_finding(lettering, number))
    return findings


def _read(order: LetteringOrder, number: int, assets: Assets) -> ReadText:
    """Read a text as it will be set: composed, cleaned with a note, in the letter case asked for."""
    text, cleanings = cleaned(composed(order.text))
    findings = [_from_remark(remark, number) for remark in (*cleanings, *remarks(text))]
    face = assets.face(order.face)
    features: Features = order.features
    if order.case == "capitals":
        text = text.upper()
    elif order.case == "small-capitals":
        if face.has_feature("smcp"):
            features = (("smcp", 1), *features)
        else:
            findings.append(
                found(
                    "option-without-effect",
                    f"{face.name} has no small capitals; the text is set as typed.",
                    where=Where(number),
                    unit="",
                    offers=(
                        Offer(
                            "Roboto Slab has them; every face can be set in capitals.",
                            (("case", "capitals"),),
                        ),
                    ),
                )
            )
    findings.extend(_without_effect(order, face, number))
    findings.extend(script_findings(text, face, order, number))
    return ReadText(order, text, face, features, tuple(findings))


def _without_effect(order: LetteringOrder, face: Face, number: int) -> Iterable[Finding]:
    """Yield what was asked of a face that it has not: a weight, a feature."""

    def told(message: str, option: str) -> Finding:
        return found("option-without-effect", message, where=Where(number), unit="", option=option)

    wanted = order.face.weight
    if wanted is not None and face.weight_range is None:
        yield told(f"{face.name} has one weight; {wanted:g} changes nothing.", "weight")
    elif wanted is not None and face.weight_range is not None and wanted != face.weight:
        low, high = face.weight_range
        yield told(f"{face.name} goes from {low:g} to {high:g}; it is set at {face.weight:g} for {wanted:g}.", "weight")
    lacking = [tag for tag, on in order.features if on and tag not in _POSITIONS and not face.has_feature(tag)]
    if lacking:
        yield told(f"{face.name} has no feature {', '.join(lacking)}; nothing changes there.", "features")


def _hidden_wood(sign: Sign) -> Iterable[Finding]:
    """Yield that a wood asked for in the proof lies under a surface that hides it."""
    if sign.wood is not None and sign.wood.name != HIDDEN and not sign.wood.is_seen_on(sign.surface):
        yield found(
            "option-without-effect",
            f"The {sign.surface.name} surface hides the wood: the proof shows its own ground, without "
            f"{sign.wood.name}'s grain.",
            unit="",
        )


def _ink_profile(sign: Sign) -> Iterable[Finding]:
    """Yield that a profile of inks changes the proof and not the print."""
    if sign.profile is not None and sign.profile.space != "RGB":
        yield found(
            "option-without-effect",
            f"{sign.profile.name} is a profile of {sign.profile.space} inks and a print file holds RGB: the proof goes "
            "through it, the print keeps its colours for the printer's driver to convert.",
            unit="",
        )


def _from_remark(remark: Remark, number: int) -> Finding:
    meant = remark.offer
    offers = () if meant is None else (Offer(f"Type “{meant}” if that is meant.", (("text", meant),)),)
    return found(remark.code, remark.message, where=Where(number), unit="", offers=offers)


def _wanted(text: ReadText, sign: Sign, assets: Assets) -> Wanted:
    stated = sign.artwork.artwork.lettering_colour if sign.artwork is not None else None
    stand_in = _stand_in(text.face, assets) if text.order.fallback else None
    return Wanted(
        text.order,
        ShapedText(text.text, text.face, text.features, stand_in),
        text.order.colour or stated or DEFAULT_COLOUR,
    )


def _stand_in(face: Face, assets: Assets) -> StandIn:
    """Return where letters that a face lacks come from: the first shipped face, in order of likeness, that has them."""
    kept = STAND_INS.of(face)

    def find(letter: str) -> Face | None:
        known = kept.get(letter)
        if letter not in kept or (known is not None and not covers(known, letter)):
            kept[letter] = next((other for other in _others(face, assets) if covers(other, letter)), None)
        return kept[letter]

    return find


def _others(face: Face, assets: Assets) -> Iterable[Face]:
    return (assets.face(choice) for choice in assets.stand_ins(face))


def _missing_findings(setting: ShapedText, number: int, assets: Assets) -> list[Finding]:
    findings, seen = [], set()
    for _, letter in setting.missing():
        if letter in seen:
            continue
        seen.add(letter)
        points = " ".join(f"U+{ord(character):04X}" for character in letter)
        name = unicodedata.name(letter[0], "a character without a name").lower()
        having = [choice.name for choice in _having(letter, setting.face, assets)]
        if having:
            remedy = f"Shipped faces that have it: {', '.join(having)}; or let missing letters be substituted."
            offers: tuple[Offer, ...] = (Offer(remedy, (("fallback", "yes"),)),)
        else:
            remedy = "No shipped face has it: give a font file of your own that does."
            offers = ()
        findings.append(
            found(
                "letter-missing",
                f"{setting.face.name} has no letter “{letter}” ({points}, {name}).",
                where=Where(number, letter),
                unit="",
                remedy=remedy,
                offers=offers,
                ways=() if having else ("face",),
            )
        )
    return findings


def _having(letter: str, face: Face, assets: Assets) -> list[FaceChoice]:
    return [choice for choice in assets.stand_ins(face) if covers(assets.face(choice), letter)][:_FACES_NAMED]


def _stand_in_findings(laid: Placement, number: int) -> list[Finding]:
    """Return which letters came from other faces, and a warning where that mixes faces in one word of one script."""
    lettering = laid.letterings[number]
    borrowed: dict[str, list[str]] = {}
    for glyph in lettering.glyphs:
        if glyph.face != lettering.face and glyph.letter not in borrowed.setdefault(glyph.face, []):
            borrowed[glyph.face].append(glyph.letter)
    mixed = _mixed_words(lettering.text, {glyph.cluster: glyph.face for glyph in lettering.glyphs}) if borrowed else []
    told = [
        found(
            "mixed-faces",
            f"“{word}” is set in {len(faces)} faces: {', '.join(faces)}; no one face at hand has all of its letters.",
            where=Where(number, word),
            unit="",
            remedy="Look at it closely, or give a font file of your own that has them all.",
        )
        for word, faces in mixed
    ]
    return told + [
        found(
            "fallback-face",
            f"{', '.join(f'“{letter}”' for letter in letters)} set in {name}, since {lettering.face} lacks "
            f"{'it' if len(letters) == 1 else 'them'}.",
            where=Where(number, letters[0]),
            unit="",
            option="fallback",
            offers=(Offer(f"{name} sets the whole text alike.", (("face", name),)),),
        )
        for name, letters in borrowed.items()
    ]


def _mixed_words(text: str, faces: dict[int, str]) -> list[tuple[str, list[str]]]:
    """Return the words whose letters, all of one script, stand in more than one face, with those faces' names.

    Args:
        text: The whole text.
        faces: Index of each cluster in the text -> name of its face.
    """
    mixed = []
    for match in _WORD.finditer(text):
        used: dict[str, dict[str, None]] = {}
        for index in range(match.start(), match.end()):
            if index in faces and text[index].isalpha():
                used.setdefault(str(script(text[index])), {})[faces[index]] = None
        mixed += [(match[0], list(names)) for names in used.values() if len(names) > 1]
    return mixed
