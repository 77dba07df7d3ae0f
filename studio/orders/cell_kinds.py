# ruff: noqa: E501
"""What kind of thing a cell holds, as far as its form tells: a number, a code, a date, a price, a product, a name."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Final

from studio.basics.colour import NAMED

_CODE: Final = re.compile(
    r"#?[A-Z]{0,5}[-_/.#]{0,2}\d{1,14}([-_/]\d{1,6})?|#\w+|[0-9a-f]{8}-[0-9a-f-]{27}|[A-Z]{2,5}-[A-Z0-9-]{3,}"
)
_NUMBER: Final = re.compile(r"[-+]?\d{1,3}([., '\u00a0]\d{3})*([.,]\d+)?|[-+]?\d+([.,]\d+)?([eE][-+]?\d+)?")
_DATE: Final = re.compile(
    r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}([ T]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?.{0,7})?|\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}"
    r"|\d{1,2}:\d{2}(:\d{2})?|\d{1,2}[. -]+[A-Za-z]{3,9}[. -]+\d{2,4}"
)
_MAIL: Final = re.compile(r"[^\s@]+@[^\s@]+\.[A-Za-z]{2,}")
_LINK: Final = re.compile(r"(https?|ftp)://\S+|www\.\S+", re.IGNORECASE)
_PRICE: Final = re.compile(
    r"[$€£¥]\s?\d[\d.,]*|\d[\d.,]*\s?([$€£¥]|USD|EUR|GBP|SEK|NOK|DKK|CHF|PLN|kr|zł|Kč)", re.IGNORECASE
)
_PHONE: Final = re.compile(r"\+?\d[\d ()/-]{6,}\d")
_PRODUCT: Final = re.compile(
    r"\b\d+([.,]\d+)?\s?(in|inch|inches|cm|mm|\"|″)(?![a-z])|\b(sign|plaque|schild|skilt|skylt|kyltti|bord|panneau|cartel)\b",
    re.IGNORECASE,
)
_LABELLED: Final = re.compile(r"[\w ]{2,30}:\s*\S")

KINDS: Final[Mapping[str, Callable[[str], object]]] = {
    "order numbers or other codes": _CODE.fullmatch,
    "numbers": _NUMBER.fullmatch,
    "dates": _DATE.fullmatch,
    "e-mail addresses": _MAIL.fullmatch,
    "links": _LINK.match,
    "prices": _PRICE.fullmatch,
    "phone numbers": _PHONE.fullmatch,
    "names of products": _PRODUCT.search,
    "labels with their values": _LABELLED.match,
}
"""What a column may hold that is no name -> its test."""


def kind_of(values: Sequence[str], *, share: float = 0.5) -> str:
    """Return what most values are in place of names; empty where they may be names."""
    if not values:
        return ""
    for kind, test in KINDS.items():
        if sum(bool(test(value)) for value in values) >= share * len(values):
            return kind
    return ""


def name_like(value: str) -> bool:
    """Return whether a cell could be a name or a short text for a sign."""
    letters = sum(letter.isalpha() for letter in value)
    return 1 < len(value) <= 60 and letters * 2 > len(value) and not any(test(value) for test in KINDS.values())


def is_small_count(value: str) -> bool:
    """Return whether a cell is a whole number as quantities are."""
    return bool(re.fullmatch(r"\d{1,3}([.,]0+)?", value)) and 0 <= float(value.replace(",", ".")) <= 500


_LENGTH: Final = r"-?[\d.,/ ½¼¾]+\s*(mm|cm|in|\"|″|px|pt)?"
_COLOR: Final = re.compile(r"#?([0-9A-Fa-f]{3}|[0-9A-Fa-f]{6})|auto|same|" + "|".join(sorted(NAMED)), re.IGNORECASE)
_TAG: Final = r"-?(ss\d\d|cv\d\d|liga|dlig|calt|clig|hlig|swsh|cswh|salt|smcp|c2sc|pcap|onum|lnum|tnum|pnum|frac|kern|titl|hist|zero|case|ordn|sups|subs|init|medi|fina|isol|rlig|nalt|jalt|rand|aalt|locl|ccmp)(=\d+)?"
_FORMS: Final[Mapping[str, re.Pattern[str]]] = {
    "weight": re.compile(r"auto"),
    "features": re.compile(rf"none|{_TAG}(,{_TAG})*"),
    "color": _COLOR,
    "margin": re.compile(rf"auto|{_LENGTH}"),
    "shift": re.compile(rf"{_LENGTH}\s*,\s*{_LENGTH}"),
    "case": re.compile(r"typed|capitals|small-capitals"),
    "background": re.compile(r"white|transparent"),
    "surface": re.compile(r"[a-z][a-z0-9-]*"),
    "blank": re.compile(r"[a-z][a-z0-9-]*|(round|oval|rect\w*|square)\s*:.+", re.IGNORECASE),
    "clearance": re.compile(_LENGTH),
    "spread": re.compile(rf"auto|{_LENGTH}"),
    "bleed": re.compile(_LENGTH),
    "waste": re.compile(_LENGTH),
    "outline": re.compile(rf"none|{_LENGTH}(:#[0-9A-Fa-f]{{3,6}})?"),
    "hole": re.compile(rf"none|auto|({_LENGTH},?)+", re.DOTALL),
    "layout": re.compile(r"auto|arc-top|arc-bottom|box|[a-z]+(-[a-z]+)*"),
    "spacing": re.compile(r"even|plain"),
    "follow": re.compile(r"auto|letters|outline"),
    "repair": re.compile(r"none|weight|offset|auto"),
    "fallback": re.compile(r"yes|no|true|false|on|off|0|1", re.IGNORECASE),
    "cap": re.compile(rf"largest|{_LENGTH}"),
    "sweep": re.compile(r"\d{1,3}(\.\d+)?"),
    "artwork": re.compile(r"none|[a-z][a-z0-9-]*|[^:?*]+\.(png|jpe?g|tiff?|webp|bmp|gif)", re.IGNORECASE),
}
"""Options whose names are everyday words -> the form their values have. A weight in figures may be one in grams."""
_PICTURE_WORDS: Final = re.compile(r"none|[a-z][a-z0-9-]*|[^:?*/\\]*[^:?*]+\.(png|jpe?g|tiff?|webp|bmp|gif)")


def option_like(option: str, header_key: str, value: str) -> bool:
    """Return whether a cell holds what a value of a sign option looks like.

    Args:
        option: The option's name with underscores.
        header_key: The column's header as compared.
        value: The cell.
    """
    form = _FORMS.get(option)
    if form is None:
        return True
    if option == "artwork" and header_key in ("picture", "design"):
        form = _PICTURE_WORDS
    return form.fullmatch(value.strip()) is not None
