# ruff: noqa: E501
"""Order lists as spreadsheets, shops and databases write them, made by code, each with what its maker meant.

The dialects are from memory; workbooks are written by openpyxl, odfpy and pandas themselves.
"""

from __future__ import annotations

import csv
import datetime
import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

Meant = tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class ListFile:
    """A file, what its maker meant (text and pieces of each sign), and whether it must be read without a question.

    `meant` is empty for what is no list at all; `outcome` is `read`, `ask`, `refuse`, or empty where any of the three
    will do so long as nothing wrong is made in silence.
    """

    name: str
    data: bytes
    meant: Meant
    outcome: str = ""


def rows(*texts: str, pieces: int = 1) -> Meant:
    """Return signs of one piece each."""
    return tuple((text, pieces) for text in texts)


def table(*lines: Sequence[object], delimiter: str = ",", end: str = "\r\n", quoting: int = csv.QUOTE_MINIMAL) -> str:
    """Return lines as CSV text."""
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=delimiter, lineterminator=end, quoting=quoting).writerows(lines)  # type: ignore[arg-type]
    return stream.getvalue()


def xlsx(*sheets: tuple[str, Sequence[Sequence[Any]]], **cells: Any) -> bytes:
    """Return a workbook as openpyxl writes it."""
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, lines in sheets:
        sheet = book.create_sheet(name)
        for line in lines:
            sheet.append(list(line))
        for place, value in cells.items():
            sheet[place] = value
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def ods(lines: Sequence[Sequence[str]]) -> bytes:
    """Return a workbook as odfpy writes it."""
    from odf.opendocument import OpenDocumentSpreadsheet
    from odf.table import Table, TableCell, TableRow
    from odf.text import P

    document = OpenDocumentSpreadsheet()
    sheet = Table(name="Orders")
    for line in lines:
        row = TableRow()
        for value in line:
            cell = TableCell(valuetype="string")
            cell.addElement(P(text=value))
            row.addElement(cell)
        sheet.addElement(row)
    document.spreadsheet.addElement(sheet)
    stream = io.BytesIO()
    document.write(stream)
    return stream.getvalue()


PLAIN = (("Order", "Name", "Qty"), ("P-1", "Marlow & Tess", "2"), ("P-2", "Zoë", "1"), ("P-3", "Tom", "1"))
PLAIN_MEANT: Meant = (("Marlow & Tess", 2), ("Zoë", 1), ("Tom", 1))


def dialects() -> Iterator[ListFile]:
    """Yield one list in the forms that spreadsheet programs save."""
    for sign, called in ((",", "comma"), (";", "semicolon"), ("\t", "tab"), ("|", "bar")):
        for end, ends in (("\r\n", "crlf"), ("\n", "lf"), ("\r", "cr")):
            yield ListFile(f"{called}-{ends}", table(*PLAIN, delimiter=sign, end=end).encode(), PLAIN_MEANT, "read")
    text = table(*PLAIN)
    for codec in ("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"):
        yield ListFile(f"unicode-{codec}", text.encode(codec), PLAIN_MEANT, "read")
    yield ListFile("utf-16-tabs", table(*PLAIN, delimiter="\t").encode("utf-16"), PLAIN_MEANT, "read")
    yield ListFile("utf-16-odd-byte", text.encode("utf-16") + b"\n", PLAIN_MEANT, "read")
    yield ListFile("quote-all", table(*PLAIN, quoting=csv.QUOTE_ALL).encode(), PLAIN_MEANT, "read")
    yield ListFile("sep-line", ("sep=;\r\n" + table(*PLAIN, delimiter=";")).encode("utf-8-sig"), PLAIN_MEANT, "read")
    yield ListFile("trailing-columns", table(*((*line, "", "") for line in PLAIN)).encode(), PLAIN_MEANT, "read")
    yield ListFile("trailing-rows", (text + ",,\r\n" * 40).encode(), PLAIN_MEANT, "read")
    yield ListFile("trailing-nuls", text.encode() + b"\0" * 4096, PLAIN_MEANT, "read")
    yield ListFile("ctrl-z", text.encode() + b"\x1a", PLAIN_MEANT, "read")
    yield ListFile("title-above", ("Pikewater summer,,\r\n,,\r\n" + text).encode(), PLAIN_MEANT, "read")
    yield ListFile("title-far-above", ("Pikewater summer,,\r\n" * 14 + text).encode(), PLAIN_MEANT, "read")
    yield ListFile(
        "address-block",
        ("Customer:,Pikewater\r\nDate:,2026-03-05\r\n\r\n" + text).encode(),
        PLAIN_MEANT,
        "read",
    )
    yield ListFile("index-column", table(("", *PLAIN[0]), *((n, *row) for n, row in enumerate(PLAIN[1:]))).encode(),
                   PLAIN_MEANT, "read")  # fmt: skip
    yield ListFile("float-quantities", text.replace(",2\r", ",2.0\r").encode(), PLAIN_MEANT, "read")
    yield ListFile("header-again", (text + text).encode(), PLAIN_MEANT + PLAIN_MEANT, "read")
    yield ListFile("total-at-end", (text + "Total,,4\r\n").encode(), PLAIN_MEANT, "read")
    yield ListFile("required-marks", text.replace("Name", "Name *").replace("Qty", "Qty (required)").encode(),
                   PLAIN_MEANT, "read")  # fmt: skip
    yield ListFile("two-note-columns", table(("Name", "Notes", "Notes"), ("Ida", "a", "b")).encode(), rows("Ida"))
    yield ListFile("no-header", b"P-1,Ida,1\nP-2,Tom,2\n", (("Ida", 1), ("Tom", 2)))
    yield ListFile("no-header-one-column", b"Ida\nTom\nBo\n", rows("Ida", "Tom", "Bo"), "ask")
    yield ListFile("unknown-header", b"Signs\nIda\nTom\n", rows("Ida", "Tom"), "ask")
    yield ListFile("unknown-headers", b"Foo;Bar\nIda;1\nTom;2\n", (("Ida", 1), ("Tom", 2)))
    yield ListFile("colons", b"name:qty\nIda:2\nTom:1\n", (("Ida", 2), ("Tom", 1)))
    yield ListFile("two-lists", b"name,order\nIda,A1\nTom,A2\norder,name\nB1,Bo\n", rows("Ida", "Tom", "Bo"))


HEADERS = {
    "de": ("Bestellnummer", "Gravurtext", "Menge"), "de-name": ("Bestellnr.", "Name", "Anzahl"),
    "de-stk": ("Auftrag", "Beschriftung", "Stück"), "fr": ("N° de commande", "Texte à graver", "Quantité"),
    "fr-nom": ("Commande", "Nom", "Qté"), "es": ("Pedido", "Texto", "Cantidad"), "es-nombre": ("Pedido", "Nombre", "Cant."),
    "it": ("Ordine", "Testo", "Quantità"), "it-nome": ("Ordine", "Nome", "Pezzi"), "pt": ("Encomenda", "Nome", "Quantidade"),
    "nl": ("Bestelling", "Tekst", "Aantal"), "da": ("Ordrenummer", "Navn", "Antal"), "no": ("Ordre", "Navn", "Antall"),
    "sv": ("Beställning", "Namn", "Antal"), "fi": ("Tilaus", "Nimi", "Määrä"), "is": ("id", "Nafn", "Fjöldi"),
    "pl": ("Zamówienie", "Imię", "Ilość"), "pl-napis": ("Nr zamówienia", "Napis", "Sztuk"),
    "cs": ("Objednávka", "Jméno", "Počet"), "sk": ("Objednávka", "Meno", "Množstvo"), "hu": ("Rendelés", "Név", "Darab"),
    "ro": ("Comandă", "Nume", "Cantitate"), "tr": ("Sipariş no", "İsim", "Adet"), "ru": ("Заказ", "Имя", "Количество"),
    "uk": ("Замовлення", "Ім'я", "Кількість"), "el": ("Παραγγελία", "Όνομα", "Ποσότητα"), "ja": ("注文番号", "名前", "数量"),
    "zh": ("订单号", "姓名", "数量"), "ko": ("주문번호", "이름", "수량"), "ar": ("رقم الطلب", "الاسم", "الكمية"),
    "he": ("order", "שם", "כמות"), "et": ("id", "Nimi", "Kogus"), "lt": ("id", "Vardas", "Kiekis"),
    "vi": ("đơn hàng", "Tên", "Số lượng"), "hr": ("id", "Ime", "Količina"),
}  # fmt: skip


def languages() -> Iterator[ListFile]:
    """Yield lists with headers in many languages."""
    for language, header in HEADERS.items():
        lines = (header, ("P-1", "Ida", "3"), ("P-2", "Tom", "1"), ("P-3", "Bo", "1"))
        for sign in (",", ";") if language in ("de", "fr", "ru") else (";",):
            data = table(*lines, delimiter=sign).encode("utf-8-sig")
            yield ListFile(f"language-{language}-{sign}", data, (("Ida", 3), ("Tom", 1), ("Bo", 1)), "read")


CODE_PAGES: dict[str, tuple[str, ...]] = {
    "cp1252": ("Zoë", "Bjørn Åse", "François"), "cp1252-de": ("Jörg Müller", "Käthe Groß"), "cp1252-one": ("José",),
    "mac_roman": ("Ågot", "José", "Müller", "François"), "mac_roman-one": ("Åse",), "cp850": ("Ågot", "José", "Müller"),
    "cp850-no": ("Bjørn", "Jørg", "Åse"), "cp437": ("José", "Ågot", "Müller"), "cp865": ("Bjørn", "Ærlig", "Åse"),
    "cp1250": ("Łukasz", "Jiří Dvořák", "Željko"), "iso8859_2": ("Łukasz", "Ścibor"), "cp852": ("Łukasz", "Jiří"),
    "cp1250-cz": ("Jiří", "Dvořák"), "mac_latin2": ("Łukasz", "Žofie"), "cp1251": ("Иван", "Мария Ким", "Пётр"),
    "koi8_r": ("Иван", "Мария"), "cp866": ("Иван", "Мария"), "mac_cyrillic": ("Иван", "Мария"), "cp1253": ("Γιάννης", "Ελένη"),
    "cp1254": ("İpek", "Şule", "Çağla"), "cp1257": ("Jānis", "Žydrė"), "cp1255": ("שרה", "דוד"), "cp1256": ("محمد", "سارة"),
    "cp932": ("田中", "さくら"), "euc_jp": ("田中", "さくら"), "gb18030": ("张伟", "王芳"), "big5": ("陳美玲", "王芳"), "cp949": ("김철수", "박지민"),
    "iso8859_15": ("Zoë", "Œuvre"), "cp857": ("İpek", "Şule"), "cp1258": ("Zoë",), "cp874": ("สมชาย", "มาลี"),
}  # fmt: skip


def code_pages() -> Iterator[ListFile]:
    """Yield lists in code pages of all kinds, and lists that were decoded wrongly before."""
    for key, names in CODE_PAGES.items():
        lines = [("order", "name"), *((f"P-{n}", name) for n, name in enumerate(names, 1)), ("P-9", "Tom")]
        data = table(*lines, delimiter=";").encode(key.partition("-")[0])
        yield ListFile(f"code-page-{key}", data, rows(*names, "Tom"))
    for name, data in {
        "mac-bytes": b"order;name\r\n1;\x8fgot\r\n2;Jos\x82\r\n3;M\x81ller\r\n",
        "undefined-bytes": b"order;name\r\n1;A\x81b\r\n2;Zo\xeb\r\n",
    }.items():
        yield ListFile(name, data, rows("Ågot", "José", "Müller") if name == "mac-bytes" else rows("Aüb", "Zoë"), "ask")
    yield ListFile("ebcdic", "name,order\nIda,1\n".encode("cp500"), ())
    for names, how in ((("Åse", "Zoë", "José"), "latin-1"), (("Åse", "Zoë"), "cp1252")):
        twice = [name.encode().decode(how, "replace") for name in names]
        lines = [("order", "name"), *((str(n), name) for n, name in enumerate(twice))]
        yield ListFile(f"saved-twice-{how}", table(*lines).encode(), rows(*names))
    for name, how, other in (("José", "mac_roman", "cp1252"), ("Bjørn", "cp850", "cp1252"), ("Jörg", "cp850", "cp1252"),
                             ("Łukasz", "cp1250", "cp1252"), ("Иван", "cp1251", "cp1252"), ("Müller", "mac_roman", "cp1252"),
                             ("Γιάννης", "cp1253", "cp1252"), ("Jäger", "mac_roman", "cp1252")):  # fmt: skip
        garbled = name.encode(how).decode(other)
        yield ListFile(f"garbled-{how}-{name}", table(("order", "name"), ("1", garbled)).encode(), rows(name))
    good = table(("order", "name"), *((str(n), name) for n, name in enumerate(("Zoë", "Åse", "Bjørn", "José"))))
    yield ListFile(
        "one-bad-line", good.encode() + "9,Renée\r\n".encode("cp1252"), rows("Zoë", "Åse", "Bjørn", "José", "Renée")
    )
    yield ListFile(
        "cut-inside-a-letter", (good + "9,Zo").encode() + b"\xc3", rows("Zoë", "Åse", "Bjørn", "José", "Zoë")
    )
    yield ListFile("utf-16-cut", good.encode("utf-16")[:-1], rows("Zoë", "Åse", "Bjørn", "José"))


def shops() -> Iterator[ListFile]:
    """Yield exports of shops, where the obvious column is often the wrong one."""
    meant = rows("Ida", "Bo", "Kari")
    names, buyers = ("Ida", "Bo", "Kari"), ("Ann Lee", "Joe Ray", "Lin Oz")

    def export(
        name: str, header: Sequence[str], *columns: Sequence[object], outcome: str = "", signs: Meant = meant
    ) -> ListFile:
        return ListFile(f"shop-{name}", table(header, *zip(*columns, strict=True)).encode(), signs, outcome)

    numbers = ("#1001", "#1002", "#1003")
    mails = ("a@b.co", "c@d.co", "e@f.co")
    ask = "ask"
    yield export(
        "name-is-number", ("Name", "Email", "Note Attributes"), numbers, mails, [f"Engraving: {n}" for n in names]
    )
    yield export("name-is-number-only", ("Name", "Email"), numbers, mails, outcome=ask)
    yield export("customer-and-engraving", ("Customer", "Engraving text"), buyers, names, outcome="read")
    yield export("customer-and-sign-name", ("Customer name", "Name for sign"), buyers, names, outcome="read")
    yield export("name-and-custom-text", ("Name", "Custom text"), buyers, names, outcome=ask)
    yield export("name-and-text", ("Name", "Text"), buyers, names, outcome=ask)
    yield export("product-and-options", ("Name", "Options"), ["Name sign 10 in"] * 3, names, outcome=ask)
    yield export(
        "product-titles", ("Name", "Variant", "Extra"), ("Oak sign 10 in", "Oak sign 8 in", "Ash sign"), "abc", names
    )
    yield export("buyer-full-name", ("Full Name", "Personalization"), buyers, names, outcome="read")
    yield export("buyer-only", ("Full Name", "Sku"), buyers, ("a", "b", "c"), outcome=ask)
    yield export(
        "name-with-mail", ("Name", "Email", "Shipping City", "What it says"), buyers, mails, ("X", "Y", "Z"), names
    )
    yield export("name-with-addresses", ("Name", "Email", "Shipping Zip"), buyers, mails, ("1", "2", "3"), outcome=ask)
    yield export("unknown-second-text", ("Name", "Plankje"), buyers, names, outcome=ask)
    yield export("finnish-second-text", ("Nimi", "Teksti kylttiin"), buyers, names, outcome=ask)
    yield export("first-and-last", ("First Name", "Last Name"), names, ("Lee", "Ray", "Oz"), outcome=ask,
                 signs=rows("Ida Lee", "Bo Ray", "Kari Oz"))  # fmt: skip
    yield export("vor-und-nachname", ("Nachname", "Vorname"), ("Lee", "Ray", "Oz"), names, outcome=ask)
    yield export("two-lines", ("Line 1", "Line 2"), names, ("est. 1", "est. 2", ""), outcome=ask)
    yield export("text-and-line-2", ("Text", "Text 2"), names, ("est. 1", "est. 2", ""), outcome=ask)
    yield export(
        "variations", ("Order ID", "Variations"), ("1", "2", "3"), [f"Personalization:{n},Color:Red" for n in names]
    )
    yield export("two-engravings", ("Engraving", "Personalization"), names, buyers, outcome=ask)
    yield export("all-alike", ("text", "order"), ["Name sign"] * 3, ("1", "2", "3"), outcome=ask)
    yield export("codes-as-text", ("text", "who"), ("AB-1", "AB-2", "AB-3"), names, outcome=ask)
    yield export("sku-as-name", ("name", "engrave"), ("SKU-001", "SKU-002", "SKU-003"), names, outcome=ask)
    yield export("mails-as-name", ("name", "plate"), mails, names, outcome=ask)
    yield export("dates-as-name", ("name", "plate"), ("2026-03-05", "2026-03-06", "2026-03-07"), names, outcome=ask)
    yield export("note-asks", ("Name", "Note"), buyers, [f"please engrave: {n}" for n in names], outcome=ask)
    yield export("two-name-columns", ("name", "name"), buyers, names)
    yield export("gram-weight", ("Name", "Weight"), names, ("350", "350", "400"), outcome=ask)
    yield export("kilogram-weight", ("Name", "Weight"), names, ("0.5 kg", "0.5 kg", "1 kg"), outcome=ask)
    for header, value in (("Features", "gift wrap"), ("Color", "Walnut"), ("Design", "Pine sign"), ("Case", "phone case"),
                          ("Picture", "https://a.b/c.jpg"), ("Margin", "35%"), ("Surface", "Oak"), ("Shift", "night"),
                          ("Layout", "Portrait"), ("Spread", "A4"), ("Outline", "red"), ("Clearance", "sale")):  # fmt: skip
        yield export(f"column-{header.lower()}", ("Name", header), names, [value] * 3)
    yield export("option-columns", ("Name", "Color", "Surface", "Case"), names, ("#aa0000", "", "#00aa00"), ("film", "", ""),
                 ("capitals", "", "typed"), outcome="read")  # fmt: skip
    for header in (
        "Lineitem quantity",
        "Number of Items",
        "Antal",
        "Menge",
        "Anzahl",
        "Quantity Purchased",
        "Stk",
        "pcs",
        "個数",
    ):
        yield export(f"quantity-{header}", ("Name", header), names, ("2", "1", "3"), outcome="read",
                     signs=(("Ida", 2), ("Bo", 1), ("Kari", 3)))  # fmt: skip
    yield export(
        "unknown-quantity",
        ("Name", "Wie oft"),
        names,
        ("2", "1", "3"),
        outcome=ask,
        signs=(("Ida", 2), ("Bo", 1), ("Kari", 3)),
    )
    yield export("two-quantities", ("Name", "Qty", "Quantity"), names, ("2", "1", "3"), ("1", "1", "1"), outcome=ask)
    yield export("form-questions", ("Timestamp", "What name should we put on the sign?", "How many?"), ("1", "2", "3"), names, "213",
                 signs=(("Ida", 2), ("Bo", 1), ("Kari", 3)))  # fmt: skip


JUNK = (
    "NA", "nan", "NULL", "\\N", "None", "#NAME?", "#REF!", "#N/A", "######", "TBD", "x", "?", "-", "see note", "same as above",
    "1E+05", "2026-03-05 00:00:00", "45721", "'007", "'Tom", '="007"', "<b>Ida</b>", "Tom<br>Bo", "M?ller", "Total: 2 signs",
    "--- end of report ---", "\u202eevil", "Page 1 of 3", "12.0", "Engraving: Ida", "=A1+B1", "J\u0081rg", "I\0da", "ditto", "N/A",
    "(blank)", "\\u00c5se", "Zo%C3%AB", "2 x Ida", "Ida; 2", "a@b.co", "J\ufffdrg", "Printed on 5 March", "05.03.2026", "Err:502", "…",
)  # fmt: skip


def junk() -> Iterator[ListFile]:
    """Yield lists with one cell in place of a name; nothing meant stands there."""
    for place, cell in enumerate(JUNK):
        data = table(("order", "name", "qty"), ("1", "Ida", "1"), ("2", cell, "1"), ("3", "Tom", "2")).encode(
            "utf-8", "surrogatepass"
        )
        yield ListFile(f"junk-{place}", data, (("Ida", 1), ("Tom", 2)))
    body = "".join(f"{n},Guest {chr(64 + n)},1\r\n" for n in range(1, 9))
    meant = rows(*(f"Guest {chr(64 + n)}" for n in range(1, 9)))
    yield ListFile("group-lines", f"order,name,qty\r\n,Cabin row A,\r\n{body},Cabin row B,\r\n".encode(), meant)
    long_note = '"' + "\n".join(f"Hello, line {n}" for n in range(45)) + '"'
    yield ListFile("long-note", f"name,note\nIda,{long_note}\nTom,x\n".encode(), rows("Ida", "Tom"))
    plain_note = '"' + "\n".join(f"Hello line {n}" for n in range(45)) + '"'
    yield ListFile("long-plain-note", f"name,note\nIda,{plain_note}\nTom,x\n".encode(), rows("Ida", "Tom"), "read")
    yield ListFile(
        "stray-quote", b'name,qty\nIda,1\n"Jack,2\nTom,3\nAnna,4\n', (("Ida", 1), ("Jack", 2), ("Tom", 3), ("Anna", 4))
    )
    yield ListFile(
        "swallowing-quote",
        b'name,qty\n"Jack,2\nTom,3\nIda",4\nBo,1\n',
        (("Jack", 2), ("Tom", 3), ("Ida", 4), ("Bo", 1)),
    )
    yield ListFile("unquoted-comma", b"name\nIda\nSmith, John\n", rows("Ida", "Smith, John"))
    yield ListFile("backslash-quotes", b'name,qty\n"Ida \\"Bo\\" Lee",1\nTom,1\n', rows('Ida "Bo" Lee', "Tom"))
    yield ListFile("date-as-quantity", b"name,qty\nIda,2026-03-05\nTom,1\n", rows("Ida", "Tom"))
    yield ListFile("footer-count", b"name,qty\nIda,1\nTom,1\n(2 rows affected),\n", rows("Ida", "Tom"))
    yield ListFile(
        "wide",
        (",".join(["name", *(f"c{n}" for n in range(16383))]) + "\nIda" + ",x" * 16383 + "\n").encode(),
        rows("Ida"),
    )


def no_lists() -> Iterator[ListFile]:
    """Yield files that are no list at all."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("readme.txt", "hello")
    for name, data in {
        "html": b"<html><body><table><tr><td>Name</td></tr><tr><td>Ida</td></tr></table></body></html>",
        "html-xls": b"\xef\xbb\xbf<table><tr><th>name</th></tr><tr><td>Ida</td></tr></table>",
        "xml": b'<?xml version="1.0"?><Workbook><Row><Cell>Ida</Cell></Row></Workbook>',
        "json": b'[{"name": "Ida"}, {"name": "Tom"}]',
        "json-lines": b'{"name": "Ida"}\n{"name": "Tom"}\n',
        "vcard": b"BEGIN:VCARD\nVERSION:3.0\nFN:Ida\nEND:VCARD\n",
        "calendar": b"BEGIN:VCALENDAR\nVERSION:2.0\nEND:VCALENDAR\n",
        "mail": b"From: ann@b.co\nTo: shop@c.co\nSubject: signs\n\nIda\nTom\n",
        "mailbox": b"Return-Path: <a@b.co>\nReceived: by x\nSubject: signs\n\nIda\n",
        "pdf": b"%PDF-1.7\n...",
        "zip": packed.getvalue(),
        "picture": b"\x89PNG\r\n\x1a\n" + b"\0" * 40,
        "sqlite": b"SQLite format 3\0" + b"\0" * 80,
        "gzip": b"\x1f\x8b\x08\0\0\0\0\0",
        "sql": b"INSERT INTO orders VALUES (1, 'Ida');\nINSERT INTO orders VALUES (2, 'Tom');\n",
        "rtf": b"{\\rtf1\\ansi Ida\\par Tom}",
        "script": b"#!/bin/sh\necho Ida\n",
        "empty": b"",
        "blank": b"\n \n",
        "header-only": b"name,qty\n",
        "binary": bytes(range(256)) * 8,
    }.items():
        yield ListFile(f"no-list-{name}", data, (), "refuse")
    yield ListFile("no-list-prose", b"Dear shop,\nplease make two signs\nThank you\n", (), "ask")
    yield ListFile("no-list-yaml", b"- name: Ida\n- name: Tom\n", (), "ask")
    yield ListFile("no-list-markdown", b"| name | qty |\n|---|---|\n| Ida | 1 |\n", rows("Ida"))


def workbooks() -> Iterator[ListFile]:
    """Yield workbooks as libraries write them."""
    import pandas

    yield ListFile("xlsx", xlsx(("Sheet1", PLAIN)), PLAIN_MEANT, "read")
    yield ListFile("ods", ods(PLAIN), PLAIN_MEANT, "read")
    frame = pandas.DataFrame([dict(zip(PLAIN[0], line, strict=True)) for line in PLAIN[1:]])
    stream = io.BytesIO()
    frame.to_excel(stream, index=True)
    yield ListFile("xlsx-pandas", stream.getvalue(), PLAIN_MEANT, "read")
    yield ListFile("csv-pandas", frame.to_csv().encode(), PLAIN_MEANT, "read")
    yield ListFile("csv-pandas-sig", frame.to_csv(index=False).encode("utf-8-sig"), PLAIN_MEANT, "read")
    numbers = [("order", "name", "qty"), (1, "Ida", 2), (2, "Tom", 1.0)]
    yield ListFile("xlsx-numbers", xlsx(("Orders", numbers)), (("Ida", 2), ("Tom", 1)), "read")
    yield ListFile(
        "xlsx-number-as-text", xlsx(("Orders", [("name", "qty"), (7, 1), ("Ida", 1)])), (("007", 1), ("Ida", 1))
    )
    dated = [("name", "qty"), (datetime.datetime(2026, 3, 5), 1), ("Ida", datetime.datetime(2026, 3, 5)), ("Tom", 1)]
    yield ListFile("xlsx-dates", xlsx(("Orders", dated)), (("March 5", 1), ("Ida", 3), ("Tom", 1)))
    yield ListFile("xlsx-title", xlsx(("Orders", [("Pikewater",), (), *PLAIN])), PLAIN_MEANT, "read")
    yield ListFile("xlsx-second-sheet", xlsx(("Info", [("made in spring",)]), ("Orders", PLAIN)), PLAIN_MEANT, "read")
    yield ListFile("xlsx-two-sheets", xlsx(("May", PLAIN), ("June", PLAIN)), PLAIN_MEANT, "ask")
    yield ListFile("xlsx-empty", xlsx(("Sheet1", [])), (), "refuse")
    yield ListFile("xlsx-formula", xlsx(("Orders", [("name", "qty"), ("=1+1", 1), ("Ida", 1)])), rows("Ida"))
    yield ListFile("xlsx-wide", xlsx(("Orders", PLAIN), XFD1="far"), PLAIN_MEANT)
    yield ListFile(
        "xlsx-shop",
        xlsx(("Orders", [("Name", "Note Attributes"), ("#1001", "Ida"), ("#1002", "Tom")])),
        rows("Ida", "Tom"),
        "ask",
    )
    yield ListFile("xlsx-errors", xlsx(("Orders", [("name", "qty"), ("#REF!", 1), ("Ida", 1)])), rows("Ida"))
    yield ListFile("xlsx-cut", xlsx(("Sheet1", PLAIN))[:900], (), "refuse")
    yield ListFile("xls-locked", _locked(), (), "refuse")
    merged = _merged()
    yield ListFile("xlsx-merged", merged, rows("Ida", "Ida", "Tom"))
    macro = io.BytesIO(xlsx(("Sheet1", PLAIN)))
    with zipfile.ZipFile(macro, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\0" * 100)
    yield ListFile("xlsm", macro.getvalue(), PLAIN_MEANT, "read")


def _merged() -> bytes:
    """Return a workbook in which a name is merged over two rows."""
    import openpyxl

    book = openpyxl.Workbook()
    for line in (("name", "qty"), ("Ida", 1), (None, 1), ("Tom", 1)):
        book.active.append(line)
    book.active.merge_cells("A2:A3")
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _locked() -> bytes:
    """Return the first bytes of a workbook with a password: an old container that holds the encrypted package."""
    name = "EncryptedPackage".encode("utf-16-le")
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 1016 + name + b"\0" * 2000


def all_files() -> list[ListFile]:
    """Return every file there is."""
    return [
        *dialects(), *languages(), *code_pages(), *shops(), *junk(), *no_lists(), *workbooks(),
    ]  # fmt: skip
