from __future__ import annotations

import csv
import io
import tracemalloc
from pathlib import Path

import pytest

from studio.basics.errors import OrderError, SettingsError
from studio.orders.order_list import OrderList, list_bytes, read_orders
from studio.orders.order_row import OrderRow
from studio.orders.spreadsheet import guarded, unguarded

OPTIONS = frozenset({"blank", "face", "max-cap", "color", "also", "artwork", "artwork-fit", "hole", "weight"})


def read(text: str | bytes, encoding: str | None = None) -> OrderList:
    """Return the list that a text, or its bytes, holds."""
    data = text.encode() if isinstance(text, str) else text
    return read_orders(data, option_names=OPTIONS, encoding=encoding)


def texts(orders: OrderList) -> list[str]:
    """Return the texts of all rows."""
    return [row.text for row in orders.rows]


def faulty(orders: OrderList) -> list[int]:
    """Return the numbers of the rows that cannot be made."""
    return [row.row for row in orders.rows if row.faults]


def test_a_plain_list_is_read_in_full() -> None:
    """Every kind of column ends where it belongs."""
    orders = read("Order,Name,Qty,Max Cap,Note,Cabin\r\nP-1,Marlow & Tess,2,30mm,rush,Birch\r\nP-2,Ida,,,,\r\n")
    assert orders.rows == (
        OrderRow(1, 2, "Marlow & Tess", "P-1", 2, "rush", (("max_cap", "30mm"),), (("Cabin", "Birch"),)),
        OrderRow(2, 3, "Ida", "P-2", 1, "", (), (("Cabin", ""),)),
    )
    assert orders.passed_through == ("Cabin",)


NAMES = "name,order\nZoë & Renée,1\nBjørn Åse,2\n"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (NAMES.encode(), "UTF-8"),
        (NAMES.encode("utf-8-sig"), "UTF-8"),
        (NAMES.encode("utf-16"), "UTF-16"),
        (b"\xfe\xff" + NAMES.encode("utf-16-be"), "UTF-16"),
        (NAMES.encode("utf-16-le"), "UTF-16"),
        (NAMES.encode("utf-16-be"), "UTF-16"),
        (NAMES.encode("utf-32"), "UTF-32"),
        (b"\x00\x00\xfe\xff" + NAMES.encode("utf-32-be"), "UTF-32"),
        (NAMES.encode("cp1252"), "Windows-1252"),
    ],
)
def test_each_encoding_of_a_small_shop_gives_the_same_names(data: bytes, says: str) -> None:
    """Marked and unmarked Unicode and Windows-1252 are told apart, and which it was is said."""
    orders = read(data)
    assert texts(orders) == ["Zoë & Renée", "Bjørn Åse"]
    assert says in orders.assumed[0]


def test_the_names_to_check_are_shown_when_the_encoding_is_a_guess() -> None:
    """Where the encoding is assumed the sentence shows the words that would be wrong."""
    assert "check Zoë, Renée, Bjørn" in read(NAMES.encode("cp1252")).assumed[0]


def test_bytes_that_windows_1252_lacks_are_asked_about() -> None:
    """Bytes that no single code page explains for sure are never taken for one without a question."""
    orders = read(b"name\nZo\xeb\nA\x81b\n")
    (doubt,) = orders.doubts
    assert doubt.about == "encoding" and doubt.answers
    assert all("--encoding" in answer.told.as_options() for answer in doubt.answers)


def test_a_stated_encoding_wins() -> None:
    """An encoding given by name is used, with its mark dropped."""
    assert texts(read("name\nŘehoř\n".encode("cp1250"), "cp1250")) == ["Řehoř"]
    assert texts(read("name\nZoë\n".encode("mac-roman"), "mac-roman")) == ["Zoë"]
    assert texts(read("name\nZoë\n".encode("utf-8-sig"), "utf-8")) == ["Zoë"]


@pytest.mark.parametrize("name", ["klingon", "hex", "", "utf-8\0", "ö"])
def test_an_unknown_encoding_is_a_wrong_setting(name: str) -> None:
    """A name that is no text encoding is refused with examples."""
    with pytest.raises(SettingsError, match="cp1252"):
        read(b"name\nIda\n", name)


@pytest.mark.parametrize("name", ["utf-8", "ascii", "utf-16", "utf-32"])
def test_a_wrong_stated_encoding_is_an_unreadable_list(name: str) -> None:
    """Bytes that are not in the encoding asked for are refused with the place."""
    with pytest.raises(OrderError, match="cannot be read"):
        read(b"name\nZo\xeb\n", name)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"PK\x03\x04rest of a workbook", "workbook"),
        (b"\x89PNG\r\n\x1a\n", "picture"),
        (b"%PDF-1.7", "PDF"),
        (bytes(range(32)) * 50, "does not look like text"),
        (b"", "no orders"),
        (b"\xef\xbb\xbf", "no orders"),
        (b"\n \n\t\n", "no orders"),
        (b"name,qty\n", "no orders"),
        (b"name,qty\n,\n", "no orders"),
        (b"\xff\xfea", "not UTF-16"),
        (b"\xef\xbb\xbf\xff", "not UTF-8"),
        (b"order,qty\n1,2\n", "No column"),
        (b"name,name\nIda,Ida\n", "two columns called 'name', 1 and 2"),
        (b"Ida,1\nTom,2\nAnna,1\n", "2 columns and no header"),
    ],
)
def test_what_is_no_order_list_is_refused_in_words(data: bytes, says: str) -> None:
    """A file that cannot be an order list is refused as a whole, with a way out."""
    with pytest.raises(OrderError, match=says) as caught:
        read(data)
    assert caught.value.advice


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\r\n", "\n", "\r"])
def test_each_delimiter_and_line_end_is_found(delimiter: str, end: str) -> None:
    """Any usual delimiter with any line end gives the same orders, names holding the other delimiters included."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, delimiter=delimiter, lineterminator=end)
    rows = [["A, B; C", "1"], ["D | E", "2"], [f"two{end}lines", "3"], ['say "hi"', "4"]]
    writer.writerows([["Name", "Order"], *rows])
    orders = read(stream.getvalue())
    assert texts(orders) == ["A, B; C", "D | E", "two\nlines", 'say "hi"']
    assert [row.order for row in orders.rows] == ["1", "2", "3", "4"]
    assert [row.line for row in orders.rows] == [2, 3, 4, 6]
    assert faulty(orders) == []


@pytest.mark.parametrize("first", ["sep=;", "SEP=;", '"sep=;"'])
def test_a_stated_delimiter_is_honoured(first: str) -> None:
    """A `sep=` line decides, is no row, and keeps the line numbers as the file has them."""
    orders = read(f"{first}\r\nname,x;order\r\nIda;7\r\n".replace("name,x", "name"))
    assert (orders.rows[0].text, orders.rows[0].order, orders.rows[0].line) == ("Ida", "7", 3)
    assert any("as its first line says" in sentence for sentence in orders.assumed)


@pytest.mark.parametrize(
    "header",
    ["name", "NAME", " Name ", "\ufeffName", "Text", "Customer Name", "customer-name", "Name on Sign", "Ｎａｍｅ"],
)
def test_usual_headers_for_the_text_are_known(header: str) -> None:
    """Case, spaces, dashes, a stray mark and wide letters do not hide the text's column."""
    assert texts(read(f"{header},Order\nIda,1\n")) == ["Ida"]


def test_the_surest_header_holds_the_text() -> None:
    """Of two columns that could hold the text the plainer one does, the other passes on, and this is said."""
    orders = read("Customer,Text\nTess Marlow,Birch Cabin\n")
    assert texts(orders) == ["Birch Cabin"]
    assert orders.rows[0].extra == (("Customer", "Tess Marlow"),)
    assert any("Customer" in sentence for sentence in orders.assumed)


def test_option_columns_may_have_dashes_spaces_or_underscores() -> None:
    """A sign option is known however its words are joined, and by its other usual spelling."""
    for header in ("max-cap", "max_cap", "Max Cap", "MAX-CAP"):
        assert read(f"name,{header}\nIda,30mm\n").rows[0].options == (("max_cap", "30mm"),)
    assert read("name,Colour,Font\nIda,#123,Lobster\n").rows[0].options == (("color", "#123"), ("face", "Lobster"))


def test_a_slip_in_an_option_column_is_pointed_out() -> None:
    """A header one letter off a sign option passes on, with a sentence that names the option."""
    assert any("did you mean 'artwork_fit'" in sentence for sentence in read("name,artwrok fit\nIda,x\n").assumed)


@pytest.mark.parametrize("text", ["Ida\nSmith & Sons\nMary Ann Lee\n", "Ida\r\rSmith & Sons\r\n\nMary Ann Lee"])
def test_bare_names_need_no_header(text: str) -> None:
    """One column of names without a header is read from its first line on, and this is said."""
    orders = read(text)
    assert texts(orders) == ["Ida", "Smith & Sons", "Mary Ann Lee"]
    assert any("'Ida'" in sentence for sentence in orders.assumed)


@pytest.mark.parametrize("first", ["Face", "Order", "Note", "Blank"])
def test_a_bare_name_that_is_also_an_option_is_a_name(first: str) -> None:
    """In a bare list only a word for the text itself counts as a header."""
    assert texts(read(f"{first}\nIda\n")) == [first, "Ida"]


def test_an_unquoted_comma_in_a_list_of_one_column_is_a_fault() -> None:
    """A name cut in two by the delimiter is not made; the message shows it and asks for quotes."""
    orders = read("name\nIda\nSmith, John\nTom\n")
    assert faulty(orders) == [2]
    assert "Smith, John" in orders.rows[1].faults[0] and "quotes" in orders.rows[1].faults[0]


def test_titles_above_the_header_are_left_out() -> None:
    """A title line above the header is no order, and this is said."""
    orders = read("Pikewater summer list,,\n,,\nName,Cabin,Qty\nIda,Birch,1\n")
    assert texts(orders) == ["Ida"]
    assert any("header is on line 3" in sentence for sentence in orders.assumed)


def test_blank_lines_are_no_rows_but_count_as_lines() -> None:
    """Rows are numbered without blank lines; lines are numbered with them."""
    orders = read("\nname,qty\n\nIda,1\n,\n   ,  \nTom,2\n\n")
    assert [(row.row, row.line, row.text) for row in orders.rows] == [(1, 4, "Ida"), (2, 7, "Tom")]


@pytest.mark.parametrize("last", ["Total,200", "TOTAL:,200", ",200\nGrand total,200", "200,Sum", "Total,1 200.50"])
def test_a_summary_at_the_end_is_no_order(last: str) -> None:
    """A last row with a word for total and numbers only is left out, and this is said."""
    orders = read(f"name,qty\nIda,1\n{last}\n")
    assert "Ida" in texts(orders)
    assert not {"Total", "TOTAL:", "Grand total", "200"} & {row.text for row in orders.rows if not row.faults}
    assert any("summary" in sentence for sentence in orders.assumed)


@pytest.mark.parametrize("row", ["Total,1\nIda,1", "Ida,1\nTotal Recall,2", "Ida,1\nTotal,"])
def test_a_name_like_a_summary_is_kept(row: str) -> None:
    """A total elsewhere than at the end, within a name, or without a number is an order."""
    assert len(read(f"name,qty\n{row}\n").rows) == 2


def test_an_order_number_on_several_lines_is_remarked_on() -> None:
    """Rows that share an order number are all made, and the lines are told once; different and empty ones are not."""
    orders = read("order,name\nA1,Ida\n,Tom\na1,Zoë\nA2,Tess\n,Nils\nA1,Mona\n")
    assert not faulty(orders) and len(orders.rows) == 6
    told = [sentence for sentence in orders.assumed if "order number" in sentence]
    assert told == ["Each line is made, also where lines share an order number: A1 (lines 2, 4, 7)."]
    many = read("order,name\n" + "".join(f"{number % 9},Ida\n" for number in range(54)))
    (remark,) = (sentence for sentence in many.assumed if "order number" in sentence)
    assert "0 (lines 2, 11, 20, 29, …)" in remark and remark.endswith("3 (lines 5, 14, 23, 32, …) and 5 more.")
    assert not any("order number" in sentence for sentence in read("order,name\nA1,Ida\nA2,Ida\n").assumed)


def test_a_missing_text_is_a_fault_of_its_row() -> None:
    """A row without text is faulty, and the rows round it are not."""
    orders = read("name,qty\nIda,1\n  ,2\nTom,1\n")
    assert faulty(orders) == [2]
    assert orders.rows[1].faults == ("It has no text.",)


@pytest.mark.parametrize(("cell", "count"), [("", 1), ("3", 3), (" 12 ", 12), ("2.0", 2), ("007", 7), ("9999", 9999)])
def test_quantities_are_read(cell: str, count: int) -> None:
    """A whole number is read, an empty cell is one."""
    row = read(f"name,qty\nIda,{cell}\n").rows[0]
    assert (row.quantity, row.faults) == (count, ())


@pytest.mark.parametrize("cell", ["0", "-1", "two", "1.5", "10000", "1e3", "²", "٣", "9" * 5000])
def test_impossible_quantities_are_faults(cell: str) -> None:
    """What is no whole number in the range is a fault that shows the cell."""
    row = read(f"name,qty\nIda,{cell}\n").rows[0]
    assert len(row.faults) == 1 and cell[:20] in row.faults[0]


def test_an_unclosed_quote_costs_its_own_row_only() -> None:
    """A quote that is never closed makes its line faulty and swallows nothing."""
    orders = read('name,qty\nIda,1\n"Jack,2\nTom,3\nAnna,4\n')
    assert texts(orders)[0::3] == ["Ida", "Anna"]
    assert faulty(orders) == [2]
    assert "never closed" in orders.rows[1].faults[0] and "Jack" in orders.rows[1].faults[0]
    assert [row.line for row in orders.rows] == [2, 3, 4, 5]


def test_an_unclosed_quote_that_meets_another_costs_its_own_row_only() -> None:
    """A lost closing quote does not swallow rows up to the next quoted name."""
    orders = read('name,qty\n"Jack,2\nTom,3\n"Ida, jr",4\nAnna,5\n')
    assert faulty(orders) == [1]
    assert texts(orders)[1:] == ["Tom", "Ida, jr", "Anna"]


def test_a_quote_closed_far_below_is_a_lost_one() -> None:
    """A cell that would run over many lines is taken for a lost quote, and the rows below are read."""
    body = "".join(f"Guest {number},1\n" for number in range(100))
    orders = read(f'name,qty\n"Jack,2\n{body}Ida",4\nTom,5\n')
    assert 1 in faulty(orders)
    assert texts(orders)[1:101] == [f"Guest {number}" for number in range(100)]
    assert texts(orders)[-1] == "Tom"


def test_the_rest_of_a_broken_cell_is_not_made_as_a_sign() -> None:
    """Where a quoted cell of several lines is broken, its later lines are faulty too, and named as part of it."""
    orders = read('name,qty\n"Anna\nBen"x,2\nTom,3\n')
    assert faulty(orders) == [1, 2]
    assert "line 2" in orders.rows[1].faults[0]
    assert texts(orders)[2] == "Tom"


def test_too_many_cells_are_a_fault_and_empty_ones_are_not() -> None:
    """Values beyond the header make a row faulty; trailing delimiters do not; missing cells are empty."""
    orders = read("name,qty\nIda,1,\nTom,2,x\nAnna\n")
    assert faulty(orders) == [2]
    assert texts(orders) == ["Ida", "Tom", "Anna"]


def test_trailing_empty_columns_are_dropped_and_used_nameless_ones_kept() -> None:
    """A column without header and values is not copied; one with values is, by its number."""
    assert read("name,,\nIda,,\n").passed_through == ()
    orders = read("name,,\nIda,,x\n")
    assert orders.passed_through == ("column 3",)
    assert orders.rows[0].extra == (("column 3", "x"),)


def test_repeated_headers_of_passed_columns_stay_apart() -> None:
    """Two columns of one name both pass on, under different names."""
    orders = read("name,Site,site,Site\nIda,a,b,c\n")
    assert orders.rows[0].extra == (("Site", "a"), ("site (2)", "b"), ("Site (3)", "c"))


def test_zero_bytes_and_control_characters_are_faults() -> None:
    """A text with a character nobody typed is faulty with its place; the next row is good."""
    orders = read(b"name,qty\nI\0da,1\nT\x07om,1\nAnna,1\n")
    assert faulty(orders) == [1, 2]
    assert "U+0000, letter 2" in orders.rows[0].faults[0]


def test_soft_line_breaks_become_line_ends() -> None:
    """A vertical tab or a Unicode line separator in a text starts a new line of the sign."""
    assert texts(read("name,qty\nIda\x0bTom,1\nIda\u2028Tom,1\n")) == ["Ida\nTom", "Ida\nTom"]


def test_spaces_in_a_text_are_kept_for_the_checks() -> None:
    """Spaces are data, so the check that tells of them can see them."""
    assert texts(read("name,qty\n  Ida ,1\n")) == ["  Ida "]


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_cell_of_two_megabytes_is_one_faulty_row(quote: str) -> None:
    """A huge cell makes its row faulty, is not kept, and the next row is read."""
    orders = read(f"name,qty\n{quote}{'x' * 2_000_000}{quote},1\nTom,1\n")
    assert faulty(orders) == [1]
    assert texts(orders)[1] == "Tom"
    assert len(orders.rows[0].text) < 200


def test_long_texts_and_cells_are_faults() -> None:
    """A text longer than any sign, and a passed column longer than any remark, make the row faulty."""
    orders = read(f"name,remark on it\n{'x' * 501},a\nIda,{'y' * 10_001}\n{'x' * 500},{'y' * 10_000}\n")
    assert faulty(orders) == [1, 2]


def test_a_huge_bare_first_line_is_no_crash() -> None:
    """A first line that cannot be split is one faulty row of a bare list."""
    orders = read("x" * 300_000 + "\nIda\n")
    assert faulty(orders) == [1]
    assert texts(orders)[1] == "Ida"


def test_our_own_report_can_be_the_next_list() -> None:
    """A report read as a list gives its texts back unguarded, and none of its own columns pass on."""
    header = "row,line,order,text,state,quantity,print,findings,seconds,sha256,Cabin"
    orders = read(f"{header}\n1,2,P-1,'=Ida,refused,2,,no-room,0.1,,'-Birch\n")
    assert orders.rows[0].text == "=Ida"
    assert orders.rows[0].extra == (("Cabin", "-Birch"),)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx", "＝x", " =x", "'=x", "''=x", "Ida", "'Ida", "", "'"]
)
def test_the_guard_can_be_taken_off(text: str) -> None:
    """A guarded cell never starts like a formula, and gives its text back."""
    assert unguarded(guarded(text)) == text
    assert guarded(text).lstrip(" ")[:1] not in {*"=+-@\t\r＝"}


@pytest.mark.parametrize(
    "line",
    [
        "Guest {0},{0},Birch {0}\n",
        '"Guest {0}, jr",{0},"Birch ""{0}"""\n',
        '"Guest {0},{0},Birch\n',
        'Guest {0},{0},"Birch ""x"" {0}\n',
        '"Guest""{0}\n',
    ],
)
def test_work_grows_with_the_list_and_not_faster(line: str) -> None:
    """Ten times the rows, broken ones too, split into about ten times the lines read (counted, not timed)."""
    from studio.orders import csv_rows as list_rows

    def lines_fed(count: int) -> int:
        fed = 0
        plain = list_rows._Feed.__next__

        def counted(self: list_rows._Feed) -> str:
            nonlocal fed
            fed += 1
            return plain(self)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(list_rows._Feed, "__next__", counted)
            rows = read("name,order,cabin\n" + "".join(line.format(n) for n in range(count))).rows
        assert len(rows) <= count
        return fed

    assert lines_fed(5000) <= 14 * lines_fed(500)


def test_a_long_list_stays_small_in_memory() -> None:
    """Twenty thousand rows take less than a kilobyte each while being read."""
    data = ("name,qty\n" + "".join(f"Guest {n},1\n" for n in range(20_000))).encode()
    tracemalloc.start()
    orders = read(data)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(orders.rows) == 20_000
    assert peak < 20_000 * 1024


def test_files_that_cannot_be_opened_are_named(tmp_path: Path) -> None:
    """A missing list names the nearest file, a folder is called one, and bytes come back whole."""
    (tmp_path / "orders.csv").write_bytes(b"name\nIda\n")
    assert list_bytes(tmp_path / "orders.csv") == b"name\nIda\n"
    with pytest.raises(OrderError, match=r"Did you mean .*orders\.csv"):
        list_bytes(tmp_path / "order.csv")
    with pytest.raises(OrderError, match="is a folder"):
        list_bytes(tmp_path)
    with pytest.raises(OrderError, match="cannot be opened"):
        list_bytes(tmp_path / "orders.csv" / "x")
    with pytest.raises(OrderError, match="cannot be opened"):
        list_bytes(tmp_path / "a\0b")
    with pytest.raises(OrderError, match="There is no order list"):
        list_bytes(tmp_path / "nowhere" / "x.csv")


def test_names_with_commas_are_no_table() -> None:
    """Where six of ten names hold a comma the list is one of names: those six are refused, and none is made in part."""
    lines = ["Moe, Ida", "Bo, Tom", "Tess", "Lee, Kari", "Else", "Oka, Per", "Ove", "Dahl, Liv", "Ivy", "Berg, Jan"]
    rows = read("\n".join(lines)).rows
    assert [row.text for row in rows if not row.faults] == ["Tess", "Else", "Ove", "Ivy"]
    assert len(rows) == 10
