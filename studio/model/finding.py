"""One result of a check: what was measured, against which limit, where, and what to do."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final, Literal, TypeAlias

Severity: TypeAlias = Literal["refuse", "warn", "note"]
Status: TypeAlias = Literal["ok", "warn", "refused"]

SEVERITY: Final[dict[str, Severity]] = {
    "no-room": "refuse",
    "letter-missing": "refuse",
    "outside-safe-zone": "refuse",
    "texts-collide": "refuse",
    "artwork-too-coarse": "refuse",
    "thin-stroke": "warn",
    "narrow-gap": "warn",
    "thin-outline": "warn",
    "stroke-fades": "warn",
    "counter-fills": "warn",
    "looks-alike": "warn",
    "low-contrast": "warn",
    "white-ink": "warn",
    "artwork-coarse": "warn",
    "artwork-short-of-bleed": "warn",
    "mixed-scripts": "warn",
    "mixed-faces": "warn",
    "turned-letters": "warn",
    "wrongly-decoded": "warn",
    "covers-artwork": "warn",
    "capitals-in-script": "warn",
    "tapering-tip": "note",
    "join-wedge": "note",
    "stroke-fading": "note",
    "counter-closing": "note",
    "small-dot": "note",
    "small-for-surface": "note",
    "fallback-face": "note",
    "spaces-trimmed": "note",
    "straight-quotes": "note",
    "reads-from": "note",
    "marks-left-out": "note",
    "repaired": "note",
    "option-without-effect": "note",
    "composition": "note",
    "room-left": "note",
}
"""Every code there is, with its severity."""
SAID: Final[dict[Severity, str]] = {"refuse": "error", "warn": "warning", "note": "note"}
"""What each severity is called, on the screen, in commands and in reports alike."""
OF_THE_WOOD: Final = frozenset({"blank", "surface"})
"""Options that say which piece of wood lies there."""


@dataclass(frozen=True, slots=True)
class Where:
    """The place of a finding: which lettering (from 0), which letter, and the point on the blank in mm."""

    lettering: int | None = None
    letter: str | None = None
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A way to clear a finding, as a sentence and as what it sets.

    Attributes:
        sentence: What it promises, in words.
        changes: Keys of sign options with their values, spelled as in settings and lists, `text` for the text itself;
            an empty value takes back what was asked for. All are those of the finding's own lettering.
    """

    sentence: str
    changes: tuple[tuple[str, str], ...]

    @property
    def is_of_the_wood(self) -> bool:
        """Whether it takes another piece of wood, which no change of the design can make of the one at hand."""
        return any(key in OF_THE_WOOD for key, _ in self.changes)


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding.

    `measured` and `limit` share `unit`. `remedy` is what was tried, in sentences, or advice, or empty; `offers` are
    those of its sentences that set something, and are left out where findings are compared or written. No sentence
    names an option as a front end spells it: `option` is the one that the message is about, `ways` are those by which
    advice can be followed.
    """

    code: str
    severity: Severity
    message: str
    where: Where = Where()
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    remedy: str = ""
    offers: tuple[Offer, ...] = field(default=(), compare=False)
    option: str = field(default="", compare=False)
    ways: tuple[str, ...] = field(default=(), compare=False)

    def as_json(self) -> dict[str, object]:
        """Return the finding in the report's form."""
        return {
            "code": self.code,
            "severity": SAID[self.severity],
            "message": self.message,
            "where": {
                "lettering": self.where.lettering,
                "letter": self.where.letter,
                "x_mm": self.where.x_mm,
                "y_mm": self.where.y_mm,
            },
            "measured": self.measured,
            "limit": self.limit,
            "unit": self.unit,
            "remedy": self.remedy,
        }


def found(
    code: str,
    message: str,
    *,
    where: Where | None = None,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "mm",
    remedy: str = "",
    offers: tuple[Offer, ...] = (),
    option: str = "",
    ways: tuple[str, ...] = (),
) -> Finding:
    """Return a finding with its code's own severity; offers alone make its remedy.

    Raises:
        KeyError: The code is not one of `SEVERITY`.
    """
    remedy = remedy or " ".join(offer.sentence for offer in offers)
    return Finding(code, SEVERITY[code], message, where or Where(), measured, limit, unit, remedy, offers, option, ways)


def status_of(findings: tuple[Finding, ...], *, strict: bool = False) -> Status:
    """Return the worst that the findings say; `strict` turns warnings into refusals."""
    severities = {finding.severity for finding in findings}
    if "refuse" in severities or (strict and "warn" in severities):
        return "refused"
    return "warn" if "warn" in severities else "ok"


def hardened(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings with warnings turned into refusals."""
    return tuple(replace(finding, severity="refuse") if finding.severity == "warn" else finding for finding in findings)
