"""All texts of a sign composed together: the name, its small words, and the second texts as lines or along an arc."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from studio.basics.kept import KeptValues
from studio.composing import prices
from studio.composing.arcs import SetArc, arc_cap_mm, chosen_arcs, set_on_arc
from studio.composing.levels import Emphasis
from studio.composing.phrase import read_phrase, unmatched
from studio.composing.placing import SizeLimits
from studio.composing.reason import reason
from studio.composing.room import FreeRoom, room_of
from studio.composing.straight import Set, Text, Weighed, set_straight
from studio.layout.arrange import SECOND_CAP_SHARE, Wanted, growth_mm, lay
from studio.layout.fit import Fit, FittedLine
from studio.layout.open_area import OpenArea
from studio.layout.placement import Candidate, Composed, NoFit, PlacedLettering, Placement
from studio.layout.to_placement import place
from studio.layout.work import DRAWN_IN_MS, WORK
from studio.model.sign import Composing, Layout
from studio.model.surface import Surface
from studio.text.words import WordLists

MOST_CANDIDATES: Final = 6
MANY_WORDS: Final = 12
"""Words from which a text is long for a sign (own judgement)."""
_CROWDED: Final = (
    "There is no room for the air that this composition leaves round the name; it is set with less. A shorter text, a "
    "larger blank, another artwork or a smaller least cap height gives it air."
)
_LEAST_SECOND_CAP_MM: Final = 2.5
_LOOSER: Final = (1.0, 0.5, 0.0)
"""Shares of the breathing room that are tried one after another until the texts have room."""
_REFITTED: Final = 0.12
"""How far a second text's size may be off its share of the name before it is set anew."""
_OPENINGS: Final = frozenset({"greetings", "homes"})


_DRAWN_IN: Final = KeptValues[OpenArea, float, OpenArea]()
"""Areas drawn in for ink that grows."""


@dataclass(frozen=True, slots=True)
class _Job:
    """What is the same for all that is tried of one sign."""

    wanted: tuple[Wanted, ...]
    texts: tuple[Text, ...]
    area: OpenArea
    surface: Surface
    composing: Composing
    breathing_share: float

    def limits(self, owner: int, room: FreeRoom, most_cap_mm: float | None = None) -> SizeLimits:
        order = self.wanted[owner].order
        breathing = self.composing.breathing_caps
        own = prices.BREATHING_CAPS[self.composing.composition]
        caps = (own if breathing is None else breathing) * self.breathing_share
        share = prices.LEAST_BREATHING[self.composing.composition] * self.breathing_share
        if breathing is not None:
            share *= min(breathing / own, 1.0) if own else 0.0
        most = prices.CAP_OF_CIRCLE * room.circle_mm
        least = order.min_cap_mm
        if order.cap_mm is not None:
            least = most = order.cap_mm
        elif order.max_cap_mm is not None:
            most = min(most, order.max_cap_mm)
        if most_cap_mm is not None and order.cap_mm is None:
            most = min(most, most_cap_mm)
            least = min(least, most)
        gap_mm = self.surface.finest_gap_mm + 2 * order.offset_mm
        return SizeLimits(least, most, caps, share * room.circle_mm, gap_mm, self.surface.finest_stroke_mm)


def compose(
    wanted: tuple[Wanted, ...], area: OpenArea, surface: Surface, composing: Composing, words: WordLists
) -> Placement | NoFit:
    """Return all texts of a sign composed so that none touches another.

    Args:
        wanted: The name first, then the second texts.
        area: The free region before any text stands.
        surface: What the dye goes into: its finest stroke and gap.
        composing: What the maker asked for; `largest` sets letters as large as the room allows.
        words: The kinds of short words.

    Returns:
        The placement in the order given, or what had no room.
    """
    if composing.composition == "largest":
        return lay(wanted, area, surface.finest_gap_mm)
    texts = tuple(_text(one, owner, composing, words) for owner, one in enumerate(wanted))
    laid: Placement | NoFit | None = None
    for share in _LOOSER:
        placed = _composed(_Job(wanted, texts, area, surface, composing, share))
        if placed is not None:
            return placed
        if laid is None and len(wanted) == 1:
            laid = lay(wanted, area, surface.finest_gap_mm)
            if isinstance(laid, NoFit):
                return laid  # with less air there is no room either
    laid = laid or lay(wanted, area, surface.finest_gap_mm)
    if isinstance(laid, NoFit):
        return laid
    told = Composed(
        "set as large as the room allows, since there is none to leave round it",
        (),
        _remarks(texts[0], composing, 0.0),
    )
    name = replace(laid.letterings[0], composed=told)
    return Placement((name, *laid.letterings[1:]))


def _remarks(text: Text, composing: Composing, breathing_share: float) -> tuple[tuple[str, str], ...]:
    """Return what of the maker's wishes has no effect, and what of the text hardly suits a sign."""
    phrase, shown = text.phrase, text.setting.text.replace("\n", " / ")
    remarks = [] if breathing_share == 1 else [("composition", _CROWDED)]
    for said in (composing.emphasis, composing.small):
        if said.strip().lower() in ("", "auto", "none"):
            continue
        for part in unmatched(text.setting.text, said):
            sentence = f"“{part}” is not in the text “{shown}”; naming it changes nothing."
            remarks.append(("option-without-effect", sentence))
    if len(phrase.words) > 1 and all(word.leans for word in phrase.words):
        remarks.append(("composition", f"“{shown}” has only short words; they are set as the name."))
    if len(phrase.words) > MANY_WORDS:
        sentence = f"{len(phrase.words)} words are a lot for a sign; {MANY_WORDS} or fewer can be read in passing."
        remarks.append(("composition", sentence))
    if phrase.large and phrase.large == phrase.small:
        remarks.append(("option-without-effect", "The same words are wanted large and small; they are set large."))
    return tuple(remarks)


def _text(one: Wanted, owner: int, composing: Composing, words: WordLists) -> Text:
    said = composing.emphasis.strip()
    emphasis: Emphasis = "none" if said.lower() == "none" else "auto" if said.lower() in ("", "auto") else "said"
    large = said if emphasis == "said" and owner == 0 else ""
    phrase = read_phrase(one.setting.text, words, large=large, small=composing.small if owner == 0 else "")
    if emphasis == "said" and not phrase.large:
        emphasis = "auto"
    is_above = bool(owner and phrase.words and phrase.words[0].kinds & _OPENINGS)
    return Text(owner, one.setting, phrase, emphasis, is_above)


def _composed(job: _Job) -> Placement | None:
    """Return all texts placed at one share of the breathing room, or `None`."""
    name = job.wanted[0]
    if not all(text.phrase.words for text in job.texts):
        return None
    inline = [text for text in job.texts[1:] if not _is_arc(job.wanted[text.owner].order.layout)]
    arched = [text for text in job.texts[1:] if _is_arc(job.wanted[text.owner].order.layout)]
    placed: dict[int, PlacedLettering] = {}
    area = job.area
    if arched:
        area, placed, turned = _arched(job, inline, arched)
        inline = sorted([*inline, *turned], key=lambda text: text.owner)
    done = _name_on_arc(job, area, inline) if _is_arc(name.order.layout) else _name_in_lines(job, area, inline)
    if done is None:
        return None
    placed |= done
    return Placement(tuple(placed[owner] for owner in range(len(job.wanted))))


def _is_arc(layout: Layout) -> bool:
    return layout in ("arc-top", "arc-bottom")


def _drawn_in(area: OpenArea, growth: float) -> OpenArea:
    """Return an area drawn in for ink that grows, kept with the area."""
    if growth <= 0:
        return area
    WORK.done_ms += DRAWN_IN_MS
    return _DRAWN_IN.get(area, growth, lambda: area.tightened(growth))


def _growth(job: _Job) -> float:
    return max(growth_mm(one.order) for one in job.wanted)


def _name_in_lines(job: _Job, area: OpenArea, inline: list[Text]) -> dict[int, PlacedLettering] | None:
    """Return the name, with second texts as lines of its block, in straight lines or along an arc that beats them."""
    area = _drawn_in(area, _growth(job))
    room = room_of(area)
    if room.circle_mm <= 0:
        return None
    limits = job.limits(0, room)
    name = job.wanted[0]
    weighed = set_straight(job.texts[0], tuple(inline), room, limits)
    best = weighed.built[0] if weighed.built else None
    arcs: list[SetArc] = []
    if name.order.layout == "auto" and not inline and not job.texts[0].phrase.is_forced:
        score = best.score if best is not None else -math.inf
        arcs = chosen_arcs(name.order, name.setting, area, limits, score)
    if arcs:
        arc = max(arcs, key=lambda one: one.score)
        return {0: _placed_arc(job, 0, arc, _candidates(job, weighed, arcs))}
    if best is None:
        return None
    return _placed_set(job, best, _candidates(job, weighed, arcs))


def _name_on_arc(job: _Job, area: OpenArea, inline: list[Text]) -> dict[int, PlacedLettering] | None:
    drawn = _drawn_in(area, _growth(job))
    name = job.wanted[0]
    arc = set_on_arc(name.order, name.setting, name.order.layout, drawn, job.limits(0, room_of(drawn)))
    if arc is None:
        return None
    placed = {0: _placed_arc(job, 0, arc, (_arc_candidate(job, arc),))}
    area = area.with_text(_ink(placed[0]))
    for text in inline:
        second = _second_alone(job, text, area, prices.SECOND_TEXT * arc.cap_mm)
        if second is None:
            return None
        placed[text.owner] = second
        area = area.with_text(_ink(second))
    return placed


def _second_alone(job: _Job, text: Text, area: OpenArea, most_cap_mm: float) -> PlacedLettering | None:
    """Return a second text as lines of its own in the room that is left, at most as large as stated."""
    drawn = _drawn_in(area, growth_mm(job.wanted[text.owner].order))
    room = room_of(drawn)
    if room.circle_mm <= 0:
        return None
    alone = replace(text, owner=0)
    limits = job.limits(text.owner, room, max(most_cap_mm, _LEAST_SECOND_CAP_MM))
    weighed = set_straight(alone, (), room, limits)
    if not weighed.built:
        return None
    return _placed_lines(job, weighed.built[0], 0, text.owner, None)


def _arched(
    job: _Job, inline: list[Text], arched: list[Text]
) -> tuple[OpenArea, dict[int, PlacedLettering], list[Text]]:
    """Return the area left by second texts on arcs, those texts placed, and those that had no room and become lines."""
    share = 1.0
    cap_mm = _name_cap_mm(job, job.area, inline)
    for _ in range(2):
        area, placed, turned = job.area, {}, []
        for text in arched:
            most_mm = prices.SECOND_TEXT * cap_mm * share
            done = _second_arc(job, text, area, most_mm)
            if done is None:
                turned.append(text)
                continue
            placed[text.owner] = done
            area = area.with_text(_ink(done))
        if not placed:
            break
        left_mm = _name_cap_mm(job, area, [*inline, *turned])
        wanted_mm = prices.SECOND_TEXT * left_mm
        largest_mm = max(one.cap_height_mm for one in placed.values())
        if left_mm <= 0 or largest_mm <= wanted_mm * (1 + _REFITTED):
            break
        share = max(wanted_mm / largest_mm, 0.5)
        cap_mm = largest_mm / prices.SECOND_TEXT
    return area, placed, turned


def _name_cap_mm(job: _Job, area: OpenArea, inline: list[Text]) -> float:
    """Return about the cap height that the name will have in an area."""
    drawn = _drawn_in(area, _growth(job))
    room, name = room_of(drawn), job.wanted[0]
    if room.circle_mm <= 0:
        return 0.0
    limits = job.limits(0, room)
    if _is_arc(name.order.layout):
        return arc_cap_mm(name.order, name.setting, name.order.layout, drawn, limits)
    weighed = set_straight(job.texts[0], tuple(inline), room, limits)
    return weighed.built[0].cap_mm if weighed.built else 0.0


def _second_arc(job: _Job, text: Text, area: OpenArea, most_mm: float) -> PlacedLettering | None:
    one = job.wanted[text.owner]
    drawn = _drawn_in(area, growth_mm(one.order))
    room = room_of(drawn)
    modest_mm = min(most_mm, max(SECOND_CAP_SHARE * area.blank.smaller_mm, one.order.min_cap_mm))
    limits = job.limits(text.owner, room, max(modest_mm, _LEAST_SECOND_CAP_MM))
    if limits.most_cap_mm <= 0:
        return None
    arc = set_on_arc(one.order, one.setting, one.order.layout, drawn, limits)
    if arc is not None and arc.fit.baseline_radius_mm is not None:
        least_mm = prices.ARC_LEAST_RADIUS * area.blank.smaller_mm / 2
        arc = arc if arc.fit.baseline_radius_mm >= least_mm else None
    return None if arc is None else _placed_arc(job, text.owner, arc, ())


def _ink(lettering: PlacedLettering) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], ...]:
    return lettering.ring_contours or lettering.contours


def _placed_arc(job: _Job, owner: int, arc: SetArc, candidates: tuple[Candidate, ...]) -> PlacedLettering:
    one = job.wanted[owner]
    lettering = place(
        arc.fit, one.order, one.setting.text, one.setting.face, one.colour, arc.found.spacing, arc.found.starts
    )
    if not candidates:
        return lettering
    return replace(
        lettering,
        composed=Composed(reason(candidates), candidates, _remarks(job.texts[0], job.composing, job.breathing_share)),
    )


def _placed_set(job: _Job, made: Set, candidates: tuple[Candidate, ...]) -> dict[int, PlacedLettering]:
    owners = {line.owner for line in made.block.lines}
    told = Composed(
        reason(candidates),
        candidates,
        _remarks(job.texts[0], job.composing, job.breathing_share),
        _height_share(job, made),
    )
    return {owner: _placed_lines(job, made, owner, owner, told if owner == 0 else None) for owner in owners}


def _placed_lines(job: _Job, made: Set, of: int, owner: int, composed: Composed | None) -> PlacedLettering:
    """Return the lines of one text of a block as they stand."""
    one, standing = job.wanted[owner], made.standing
    shown = [
        (line, origin) for line, origin in zip(made.block.lines, made.block.origins, strict=True) if line.owner == of
    ]
    own = shown[0][0].size if of else 1.0
    lines = []
    for line, origin in shown:
        x = standing.x_mm + standing.em_mm * (origin[0] + line.size * line.mids_em)
        y = np.full_like(x, standing.y_mm + standing.em_mm * origin[1])
        lines.append(FittedLine(line.ink, (x, y, np.zeros_like(x)), None, line.size / own))
    fit = Fit("box", standing.em_mm * own, tuple(lines))
    lettering = place(
        fit, one.order, one.setting.text, one.setting.face, one.colour, "plain", tuple(line.start for line, _ in shown)
    )
    return replace(lettering, composed=composed)


def _height_share(job: _Job, made: Set) -> float | None:
    """Return how much of the height of its room a single word takes, where its width alone holds it back."""
    block, standing = made.block, made.standing
    if len(job.wanted) > 1 or len(job.texts[0].phrase.words) > 1 or made.block.widths[0] < 2 * block.cap_em:
        return None
    room = room_of(_drawn_in(job.area, _growth(job)))
    if made.cap_mm >= 0.98 * job.limits(0, room).most_cap_mm:
        return None
    height_mm = standing.em_mm * float(block.high[1] - block.low[1])
    x, y = np.array([standing.x_mm]), np.array([standing.y_mm])
    white_mm = room.white_mm(room.whites.up, x, y) + room.white_mm(room.whites.down, x, y)
    return height_mm / max(float(white_mm[0]), height_mm)


def _candidates(job: _Job, weighed: Weighed, arcs: list[SetArc]) -> tuple[Candidate, ...]:
    """Return what was weighed, best first: what was built, then what was only estimated."""
    text = job.texts[0]
    found = [_set_candidate(text, made) for made in weighed.built]
    found += [_arc_candidate(job, arc) for arc in arcs]
    found.sort(key=lambda one: -one.score)
    shown = {one.lines for one in found if one.layout == "box"}
    for draft, cap_mm in weighed.estimated:
        own = [line for line in draft.lines if line.owner == 0]
        lines = text.lines(tuple(line.span for line in own))
        if lines not in shown and cap_mm > 0:
            shown.add(lines)
            sizes = tuple(line.level for line in own)
            score = math.log(cap_mm) - draft.price
            found.append(
                Candidate("box", lines, sizes, cap_mm, draft.prices, score, True, _changes(lines, sizes, text))
            )
    most = [one for one in found[:MOST_CANDIDATES]]
    single = next((one for one in found if len(one.lines) == 1 and one.layout == "box"), None)
    if single is not None and single not in most:
        most[-1] = single
    return tuple(most)


def _set_candidate(text: Text, made: Set) -> Candidate:
    own = [line for line in made.block.lines if line.owner == 0]
    lines = tuple(line.ink.line.text for line in own)
    sizes = tuple(line.level for line in own)
    return Candidate("box", lines, sizes, made.cap_mm, made.prices, made.score, False, _changes(lines, sizes, text))


def _arc_candidate(job: _Job, arc: SetArc) -> Candidate:
    line = arc.fit.lines[0].ink.line.text
    changes = (("layout", arc.fit.layout),)
    return Candidate(arc.fit.layout, (line,), (1.0,), arc.cap_mm, arc.prices, arc.score, False, changes)


def _changes(lines: tuple[str, ...], sizes: tuple[float, ...], text: Text) -> tuple[tuple[str, str], ...]:
    """Return the options that set a text like a candidate: its lines forced, in straight lines."""
    return (("text", "\\n".join(lines)), ("layout", "box"))
