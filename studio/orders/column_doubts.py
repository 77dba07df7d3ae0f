# ruff: noqa: E501
"""Which of a list's columns are only a guess, judged by their headers beside each other and by what stands in them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

from studio.orders.cell_kinds import is_small_count, kind_of, name_like, option_like
from studio.orders.columns import NAME, PERSON, SURE, Columns, Known
from studio.orders.header_words import PARTS, engraving_like, is_neutral, key_of, perhaps_text, quantity_like
from studio.orders.taken_for import Doubt, ListAnswer
from studio.orders.told import ListWishes

_LOOKED_AT: Final = 3000
_MOST_ANSWERS: Final = 9
_LINE_PART: Final = re.compile(r"\d|line|zeile|ligne|linea|riga|regel|rad|linje|rivi|linia|row")
_ALWAYS_TAKEN: Final = frozenset({"weight", "features"})
"""Options that take whatever stands there without a word."""
_FIRST_NAMES: Final = frozenset(
    key_of(word)
    for word in [
        "first name",
        "firstname",
        "given name",
        "forename",
        "vorname",
        "prénom",
        "voornaam",
        "förnamn",
        "fornavn",
        "etunimi",
        "keresztnév",
        "prenume",
    ]
)
_ASKS_FOR_TEXT: Final = re.compile(
    r"\b(engrav\w*|gravur\w*|gravier\w*|gravure|personali[sz]\w*|sign (should )?(say|read)s?|should (say|read)|please (write|put|print)"
    r"|instead of|name on (the )?sign|text ?:|name ?:|bitte|merci d|spel(l|t|ling)\w*|make it|change (it )?to|typo|correct(ion|ed)?)\b",
    re.IGNORECASE,
)


def find_doubts(
    cells: Sequence[str], columns: Columns, rows: Sequence[Sequence[str]], known: Mapping[str, Known]
) -> tuple[tuple[Doubt, ...], frozenset[int]]:
    """Return what is a guess about the columns, and the indices of option columns that hold no option values.

    Args:
        cells: The header; empty cells for a list without one.
        columns: What the columns were taken for.
        rows: The cells of the rows below it.
        known: What headers are known.
    """
    view = _View(cells, columns, rows[:_LOOKED_AT], known)
    doubts: list[Doubt] = []
    if "text" not in columns.told:
        doubts += _text_doubts(view)
    if "quantity" not in columns.told:
        doubts += _quantity_doubts(view)
    option_doubts, no_options = _option_doubts(view)
    return (*doubts, *option_doubts), no_options


class _View:
    """A list's columns, looked at."""

    def __init__(
        self, cells: Sequence[str], columns: Columns, rows: Sequence[Sequence[str]], known: Mapping[str, Known]
    ) -> None:
        self.cells = cells
        self.columns = columns
        self.rows = rows
        self.known = known
        self.keys = [key_of(cell) for cell in cells]
        self._values: dict[int, list[str]] = {}

    def values(self, index: int) -> list[str]:
        """Return what is filled in a column, trimmed."""
        if index not in self._values:
            found = (row[index].strip() for row in self.rows if index < len(row))
            self._values[index] = [value for value in found if value]
        return self._values[index]

    def name(self, index: int) -> str:
        """Return a column as it can be typed: its header where that is its own, else its number."""
        header = self.cells[index].strip()
        is_own = header and self.keys.count(self.keys[index]) == 1 and self.keys[index] and len(header) <= 60
        return header if is_own and "\n" not in header else f"#{index + 1}"

    def shown(self, index: int) -> str:
        """Return a column as it is told of."""
        header = " ".join(self.cells[index].split())[:40]
        return f"'{header}'" if header else f"column {index + 1}"

    def free(self, index: int) -> bool:
        """Return whether nobody spoke of a column."""
        return index not in self.columns.named

    def kind(self, index: int) -> str:
        """Return what a column was taken for."""
        return self.columns.columns[index].kind


def _text_doubts(view: _View) -> list[Doubt]:
    """Return the doubt about the column that holds the text, if there is any."""
    text = view.columns.index_of("text")
    if text is None:
        return []
    has_header = any(view.keys)
    header = view.known.get(view.keys[text])
    rank = header.rank if header is not None else SURE
    tier = SURE if not has_header or view.columns.own_report else NAME if rank >= NAME else SURE
    tier = rank // 100 * 100 if tier == NAME else tier
    values = view.values(text)
    rivals = [] if view.columns.own_report else _rivals(view, text, tier)
    why = _why_no_names(values) if not view.columns.own_report else ""
    if not why and rivals:
        shown = ", ".join(view.shown(index) for index in rivals[:4])
        why = f"it could also be {shown}{' or another' if len(rivals) > 4 else ''}"
    if not why and tier >= PERSON:
        why = "that may be who ordered it, and not what stands on the sign"
    if not why and tier == NAME and (others := _shop_columns(view)):
        why = f"in a list with {others} it may be the buyer's"
    if not why and tier >= NAME and (note := _note_that_asks(view)):
        why = f"a note speaks of what is to be written: '{note}'"
    if not why:
        return []
    message = f"Which column holds the text of the signs? {view.shown(text)} was taken; {why}."
    return [Doubt("text", message, _text_answers(view, text, rivals))]


def _why_no_names(values: Sequence[str]) -> str:
    """Return why a column's values look like no names; empty where they do not."""
    if kind := kind_of(values):
        return f"but it holds {kind}, such as '{values[0][:30]}'"
    distinct = len({value.casefold() for value in values})
    if len(values) >= 2 and distinct == 1:
        return f"but all its {len(values)} rows say '{values[0][:30]}'"
    if len(values) >= 8 and distinct * 4 <= len(values):
        return f"but its {len(values)} rows say only {distinct} different things, such as '{values[0][:30]}'"
    return ""


def _rivals(view: _View, text: int, tier: int) -> list[int]:
    """Return the columns that could hold the text as well."""
    found = []
    for index, key in enumerate(view.keys):
        if (
            index == text
            or not view.free(index)
            or view.kind(index) not in ("extra", "option")
            or not view.values(index)
        ):
            continue
        if view.values(index) == view.values(text) and view.kind(index) == "extra":
            continue
        if view.kind(index) == "extra" and _is_rival(view, index, key, tier):
            found.append(index)
    return found


def _is_rival(view: _View, index: int, key: str, tier: int) -> bool:
    header = view.known.get(key)
    if header is not None and header.name == "text":
        if header.rank < PERSON:
            return True
        if key in PARTS:
            return tier >= NAME or bool(_LINE_PART.search(key))
        return tier >= PERSON or (tier == NAME and header.rank < PERSON)
    if header is not None:
        return False
    if engraving_like(key):
        return True
    if is_neutral(key):
        return False
    if tier == SURE:
        return "text" in key or "tekst" in key
    if perhaps_text(key):
        return True
    values = view.values(index)
    likely = sum(name_like(value) for value in values)
    return likely * 2 > len(values) and len(values) * 2 >= len(view.rows)


def _shop_columns(view: _View) -> str:
    """Return what else stands in a list as shops send them out; empty where it is a plain list."""
    marks = [
        " ".join(view.cells[index].split())[:24]
        for index, key in enumerate(view.keys)
        if re.search(
            r"mail|phone|tele(f|ph)on|address|adress|street|zip|postal|postcode|plz|country|billing|shipping|buyer", key
        )
    ]
    return " and ".join(f"'{mark}'" for mark in marks[:2]) if marks else ""


def _note_that_asks(view: _View) -> str:
    """Return the first note that speaks of what is to be written; empty where none does."""
    for index, column in enumerate(view.columns.columns):
        if column.name == "note" and column.kind == "field":
            for value in view.values(index):
                if _ASKS_FOR_TEXT.search(value):
                    return " ".join(value.split())[:50]
    return ""


def _text_answers(view: _View, text: int, rivals: Sequence[int]) -> tuple[ListAnswer, ...]:
    """Return the ways to settle which column holds the text: each column, and parts of a name or text joined."""
    likelier = [index for index in rivals if engraving_like(view.keys[index])] or list(rivals)
    likelier = likelier if _why_no_names(view.values(text)) else []
    order = [*likelier, text, *(index for index in rivals if index not in likelier)]
    answers = [_answer(view, [index], "") for index in order[:_MOST_ANSWERS]]
    parts = [
        index for index in sorted(order) if view.keys[index] in PARTS or view.keys[index] in ("name", "nom", "text")
    ]
    lines = [index for index in parts if _LINE_PART.search(view.keys[index])]
    names = [index for index in parts if index not in lines]
    if len(lines) > 1:
        answers.insert(0, _answer(view, lines, "\n"))
    elif len(names) > 1:
        first = [index for index in names if view.keys[index] in _FIRST_NAMES]
        answers.insert(0, _answer(view, [*first, *(index for index in names if index not in first)], " "))
    elif lines and text not in lines:
        answers.append(_answer(view, [text, *lines], "\n"))
    others = [
        index
        for index in range(len(view.cells))
        if index not in order and view.kind(index) == "extra" and view.values(index) and view.free(index)
    ]
    for index in others[: max(0, _MOST_ANSWERS - len(answers))]:
        answers.append(_answer(view, [index], ""))
    return tuple(answers)


def _answer(view: _View, indices: Sequence[int], between: str) -> ListAnswer:
    joined = tuple(("" if place == 0 else between, view.name(index)) for place, index in enumerate(indices))
    shown = {" ": " + ", "\n": " / "}.get(between, "").join(view.shown(index) for index in indices)
    examples = []
    for row in view.rows[:3]:
        cells = [row[index].strip() if index < len(row) else "" for index in indices]
        examples.append({"\n": " / "}.get(between, " ").join(cell for cell in cells if cell)[:24].replace("\n", " / "))
    return ListAnswer(f"{shown}: {' | '.join(examples)}", ListWishes(columns=(("text", joined),)))


def _quantity_doubts(view: _View) -> list[Doubt]:
    """Return the doubt about a column that nobody knows and that could say how many are wanted."""
    held = view.columns.index_of("quantity")
    found = []
    for index, key in enumerate(view.keys):
        if not view.free(index) or view.kind(index) != "extra" or not view.values(index) or view.columns.own_report:
            continue
        header = view.known.get(key)
        if header is not None and header.name == "quantity":
            if held is None or view.values(index) != view.values(held):
                found.append(index)
        elif header is None and key and not is_neutral(key) and _counts(view.values(index)):
            if held is not None and (not quantity_like(key) or view.values(index) == view.values(held)):
                continue
            found.append(index)
    if not found:
        return []
    names = ", ".join(view.shown(index) for index in found[:3])
    if held is not None:
        message = f"How many are wanted of each? {view.shown(held)} was taken, but {names} says otherwise."
        order = [held, *found]
    else:
        message = f"{names} holds small numbers. Is that how many are wanted of each?"
        order = found
    answers = [
        ListAnswer(
            f"{view.shown(index)} is the quantity", ListWishes(columns=(("quantity", (("", view.name(index)),)),))
        )
        for index in order[:4]
    ]
    if held is None:
        passed = ListWishes(passed=tuple(view.name(index) for index in found))
        answers.append(ListAnswer("no, one of each; it is only copied to the report", passed))
    return [Doubt("quantity", message, tuple(answers))]


def _counts(values: Sequence[str]) -> bool:
    """Return whether values could be quantities: small, several alike or above one, and no running number."""
    if not all(is_small_count(value) for value in values):
        return False
    numbers = [float(value.replace(",", ".")) for value in values]
    if max(numbers) <= 1:
        return False
    running = len(numbers) > 2 and all(after - before == 1 for before, after in pairwise(numbers))
    return not running


def _option_doubts(view: _View) -> tuple[list[Doubt], frozenset[int]]:
    """Return doubts about option columns whose values are not those of the option, and their indices."""
    doubts, no_options = [], set()
    for index, column in enumerate(view.columns.columns):
        if column.kind != "option" or not view.free(index):
            continue
        values = view.values(index)
        if view.columns.own_report:
            continue
        wrong = [value for value in values if not option_like(column.name, view.keys[index], value)]
        if not wrong or (column.name not in _ALWAYS_TAKEN and len(wrong) * 2 < len(values)):
            continue  # a few wrong ones are refused row by row
        no_options.add(index)
        name, shown = view.name(index), view.shown(index)
        option = column.name.replace("_", "-")
        message = f"Is {shown} the signs' {option}, or something of the shop's? It holds '{wrong[0][:30]}'."
        answers = (
            ListAnswer(f"{shown} is not about the signs: only copy it to the report", ListWishes(passed=(name,))),
            ListAnswer(f"{shown} is the signs' {option}", ListWishes(columns=((column.name, (("", name),)),))),
            ListAnswer(f"leave {shown} out", ListWishes(ignored=(name,))),
        )
        doubts.append(Doubt("option", message, answers))
    return doubts, frozenset(no_options)
