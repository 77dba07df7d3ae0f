"""The order list's rows against the examples of RFC 4180, section 2 (from memory)."""

from __future__ import annotations

import pytest

from studio.orders.csv_rows import split_lines, split_rows
from studio.orders.order_list import read_orders


def cells(text: str, delimiter: str = ",") -> list[tuple[str, ...]]:
    """Return all rows' cells, with no fault in any."""
    rows = list(split_rows(split_lines(text), delimiter))
    assert not any(row.fault for row in rows)
    return [row.cells for row in rows]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "b\r\nbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","b""bb","ccc"', [("aaa", 'b"bb', "ccc")]),
        (" aaa , bbb\r\n", [(" aaa ", " bbb")]),
        ('"a,b","c"\r\n', [("a,b", "c")]),
    ],
)
def test_the_rfc_examples_split_as_written(text: str, expected: list[tuple[str, ...]]) -> None:
    """Each rule of section 2: line ends, a missing last one, quotes, line ends and quotes in quotes, spaces as data."""
    assert cells(text) == expected


@pytest.mark.parametrize("text", ['"aaa"b,ccc\r\n', '"aaa,bbb\r\n'])
def test_what_the_grammar_forbids_is_a_fault(text: str) -> None:
    """Letters after a closing quote, and a quote never closed, are no cells of the grammar."""
    assert [bool(row.fault) for row in split_rows(split_lines(text), ",")] == [True]


def test_the_optional_header_is_told_from_the_data() -> None:
    """With and without its header line a list holds the same orders."""
    for text in ("name\r\nIda\r\nTom\r\n", "Ida\r\nTom\r\n"):
        orders = read_orders(text.encode(), option_names=frozenset())
        assert [row.text for row in orders.rows] == ["Ida", "Tom"]


def test_a_mark_at_the_front_is_no_part_of_the_header() -> None:
    """A byte order mark and semicolons, which spreadsheets write in comma-decimal places (not in the RFC), are read."""
    orders = read_orders('\ufeff"name";order\r\nIda;7\r\n'.encode(), option_names=frozenset())
    assert [(row.text, row.order) for row in orders.rows] == [("Ida", "7")]
