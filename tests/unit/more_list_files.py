# ruff: noqa: E501
"""What customers and shops put into a list beside a name: requests, list marks, several names, orders called off.

The habits are from memory: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from tests.unit.list_files import ListFile, rows, table

REQUESTS = (
    "Please write Ida",
    "Tom please",
    'Just "Bo"',
    "The name is Kari",
    "Hi! Could you put Else on it? Thanks!",
    "Ida (with a heart)",
    "Ida in red",
    "Ida - all caps",
)
NO_NAMES = (
    *(
        "n/a",
        "none",
        "(blank)",
        "no name",
        "ohne",
        "kein Name",
        "sin nombre",
        "TBC",
        "to follow",
        "later",
        "ask customer",
    ),
    *(
        "your name here",
        "Enter name",
        "Lorem ipsum",
        "asdf",
        "()",
        "[]",
        "{}",
        "-",
        "—",
        "...",
        "0",
        "undefined",
        "〃",
        "do.",
        "same",
    ),
)
MARKED = (
    "- Ida",
    "• Tom",
    "1) Bo",
    "[x] Kari",
    "[ ] Else",
    "“Ove”",
    '"Per"',
    "1. Ida 2. Tom",
    "Ida / Tom",
    "Ida | Tom",
    "Tom (3)",
)
GARBLED = ("Zo+AOs-", "Ida\\r\\nTom", "Jos?", "Â Ida", "РРІР°РЅ", "Caf\\xe9", "J%C3%B6rg", "=C3=85se")
CALLED_OFF = ("cancelled", "Refunded", "storniert", "annulé", "already printed")


def _told(name: str, texts: tuple[str, ...]) -> ListFile:
    """Return a list of which only the row `Ivy` can be made without a word."""
    return ListFile(name, table(("Name", "Qty"), ("Ivy", 1), *((text, 1) for text in texts)).encode(), rows("Ivy"))


def files() -> Iterator[ListFile]:
    """Yield the lists."""
    yield _told("asked-of-the-maker", REQUESTS)
    yield _told("stands-for-no-name", NO_NAMES)
    yield _told("marks-of-a-list", MARKED)
    yield _told("garbled-otherwise", GARBLED)
    for status in CALLED_OFF:
        data = table(("Name", "State of the order"), ("Ida", status), ("Tom", "paid")).encode()
        yield ListFile(f"called-off-{status}", data, rows("Tom"))
    for text, pieces in (("Ida, Tom, Bo", 3), ("Ida; Tom", 2), ("Ida/Tom", 2), ("Ida\nTom\nBo", 3)):
        data = table(
            ("Name", "Qty"), (text, pieces), ("Marlow & Tess", 2), ("Lake, Lake", 2), ("The\nMoes", 2)
        ).encode()
        yield ListFile(f"several-names-{len(text)}", data, (("Marlow & Tess", 2), ("Lake, Lake", 2), ("The\nMoes", 2)))
    for pieces in ("1,000", "1.000", "two", "x2", "1.5", "-1", "٣"):
        yield ListFile(f"pieces-{pieces}", table(("Name", "Qty"), ("Ida", pieces), ("Tom", 2)).encode(), (("Tom", 2),))
    yield ListFile(
        "pieces-in-two-columns",
        table(("Name", "Qty ordered", "Qty shipped"), ("Ida", 3, 1), ("Tom", 2, 2)).encode(),
        (),
        "ask",
    )
    yield ListFile(
        "options-as-they-are", table(("Name", "Color", "Weight", "Spread"), ("Ida", "auto", "auto", "auto"), ("Tom", "navy", "", "")).encode(),
        rows("Ida", "Tom"), "read",
    )  # fmt: skip
    yield ListFile(
        "a-note-that-asks",
        table(("Name", "Comment"), ("Ida", "Please make it say Idda"), ("Tom", "")).encode(),
        (),
        "ask",
    )
    real = (
        "С’юзанна",
        "Сільва",
        "O’Brien & Sons",
        "Mary-Ann",
        "St. John’s",
        "Ready, Steady",
        "Lake 7",
        "7",
        "Nº 5",
        "A+B",
        "Mr & Mrs Lee",
        "Café 12½",
    )
    yield ListFile("real-names", table(("Name", "Qty"), *((text, 1) for text in real)).encode(), rows(*real), "read")
