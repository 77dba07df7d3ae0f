from __future__ import annotations

import csv
import io

from hypothesis import assume, example, given
from hypothesis import strategies as st

from studio.basics.errors import OrderError
from studio.orders.csv_rows import split_lines, split_rows
from studio.orders.order_list import OrderList, read_orders
from studio.orders.row_reading import LONGEST_TEXT
from studio.orders.spreadsheet import guarded, unguarded

OPTIONS = frozenset({"blank", "face", "max-cap", "also"})
CSV_LIKE = st.text(st.sampled_from("name,;|\t\"\r\n\0 '=xé\ufeff1"), max_size=200)
LETTERS = st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp"), exclude_characters="\ufeff")
NAMES = st.text(LETTERS | st.sampled_from(",;|\t\"\n'"), min_size=1, max_size=30).filter(lambda name: name.strip())


def written(rows: list[list[str]], delimiter: str, end: str) -> str:
    """Return rows as the csv module writes them."""
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=delimiter, lineterminator=end).writerows(rows)
    return stream.getvalue()


def read(data: bytes) -> OrderList:
    """Return the list the bytes hold."""
    return read_orders(data, option_names=OPTIONS)


@given(st.binary(max_size=400) | CSV_LIKE.map(str.encode) | CSV_LIKE.map(lambda text: text.encode("utf-16")))
@example(b"sep=\0\nname\n")
@example(b'"')
@example(b'name\n"a\r\r\n""')
@example(b"\xff\xfe\x00\x00\x00")
def test_any_bytes_are_orders_or_an_order_error(data: bytes) -> None:
    """Whatever the file holds, reading gives numbered rows or one kind of error with advice."""
    try:
        orders = read(data)
    except OrderError as problem:
        assert problem.message and problem.advice
        return
    assert orders.rows
    assert [row.row for row in orders.rows] == list(range(1, len(orders.rows) + 1))
    lines = [row.line for row in orders.rows]
    assert lines == sorted(set(lines))
    for row in orders.rows:
        assert row.faults or row.text.strip()
        assert len(row.text) <= LONGEST_TEXT
        assert row.quantity >= 1


@given(
    st.lists(NAMES, min_size=1, max_size=8),
    st.sampled_from(",;\t|"),
    st.sampled_from(["\r\n", "\n", "\r"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be-mark", "utf-32"]),
)
def test_any_names_come_back_from_any_unicode_list(names: list[str], delimiter: str, end: str, encoding: str) -> None:
    """Names written by another CSV writer are read back letter for letter, delimiters and quotes in them included."""
    assume(end != "\r" or not any("\n" in name for name in names))  # such a list mixes two kinds of line ends
    text = written([["Name", "Order"], *([name, f"P{place}"] for place, name in enumerate(names))], delimiter, end)
    data = b"\xfe\xff" + text.encode("utf-16-be") if encoding == "utf-16-be-mark" else text.encode(encoding)
    orders = read(data)
    assert [row.text for row in orders.rows] == names
    assert [row.order for row in orders.rows] == [f"P{place}" for place in range(len(names))]
    assert not any(row.faults for row in orders.rows)


@given(st.lists(st.text(st.sampled_from("abcéèüßøåÆñ &'-,;€œ"), min_size=1, max_size=20), min_size=1, max_size=6))
def test_any_western_names_come_back_from_windows_1252(names: list[str]) -> None:
    """Names in Windows-1252 come back, unless their bytes happen to be good UTF-8."""
    assume(all(name.strip() for name in names))
    data = written([["Name", "Order"], *([name, "1"] for name in names)], ";", "\r\n").encode("cp1252")
    try:
        data.decode("utf-8")
        assume(data.isascii())
    except UnicodeDecodeError:
        pass
    orders = read(data)
    assert [row.text for row in orders.rows] == names or any(doubt.about == "encoding" for doubt in orders.doubts)


@given(st.lists(st.lists(st.text(max_size=12), min_size=1, max_size=4), max_size=8), st.sampled_from(",;\t|"))
def test_rows_split_like_the_csv_module_does(rows: list[list[str]], delimiter: str) -> None:
    """On well-formed text our rows are those of the csv module."""
    assume(not any("\0" in cell for row in rows for cell in row))
    text = written(rows, delimiter, "\r\n")
    expected = [tuple(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)]
    assert [row.cells for row in split_rows(split_lines(text), delimiter)] == expected


@given(st.text(st.sampled_from('a,"\n\r'), max_size=120), st.integers(0, 20))
def test_a_good_row_after_a_break_is_always_read(rubbish: str, place: int) -> None:
    """Whatever stands above it, a well-formed last row is read, or is told to be part of the broken cell above."""
    text = f"{rubbish}\nIda,{place}\n"
    last = list(split_rows(split_lines(text), ","))[-1]
    assert last.cells == ("Ida", str(place)) or '"' in rubbish


@given(st.text(max_size=20))
def test_guarding_a_cell_can_be_undone(text: str) -> None:
    """The formula guard is undone exactly, and twice guarding is no exception."""
    assert unguarded(guarded(text)) == text
    assert unguarded(unguarded(guarded(guarded(text)))) == text
