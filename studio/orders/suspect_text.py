# ruff: noqa: E501
"""What a list's cell may hold in place of a name: leftovers of spreadsheets, placeholders, footers, markup.

Nothing here changes a text. What can be no name is a fault of its row; what may be one is told with it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

WRONGLY_DECODED: Final = "wrongly-decoded"
NOT_A_NAME: Final = "not-a-name"
LEFTOVER: Final = "spreadsheet-leftover"
HIDDEN: Final = "hidden-character"

_ERRORS: Final = re.compile(
    r"#(REF|N/A|NAME|VALUE|DIV/0|NULL|NUM|SPILL|CALC|FIELD|ERROR|BEZUG|NV|WERT|ZAHL)[!?]?|#{3,}|Err:\d{3}"
)
_NOTHING: Final = frozenset(
    {
        *("-", "--", "---", "–", "—", "?", "??", "???", ".", "..", "...", "…", "_", "/", "\\n", "\\N", "*", "n/a", "n.a.", "tbd"),
        *("tba", "tbc", "to be confirmed", "to be decided", "to follow", "see note", "see notes", "see below", "see above"),
        *("see comment", "see comments", "see remark", "see email", "see e-mail", "see attached", "same as above", "as above"),
        *("same", "ditto", "idem", "(blank)", "(none)", "(empty)", "<null>", "[null]", "(null)", "undefined", "no name"),
        *("no text", "not provided", "not applicable", "leave blank", "siehe notiz", "siehe oben", "siehe bemerkung", "wie oben"),
        *("s.o.", "dito", "voir note", "voir ci-dessus", "idem ci-dessus", "ver nota", "véase nota", "vedi nota", "zie opmerking"),
        *("〃", "do.", "your name here", "your text here", "name here", "text here", "enter name", "enter text", "kein name", "ohne namen"),
        *("ohne text", "sans nom", "sans texte", "sin nombre", "sin texto", "senza nome", "geen naam", "uten navn", "utan namn"),
        *("ask customer", "ask the customer", "to be advised", "to come", "lorem ipsum", "customer to advise", "waiting for name"),
        *("se notat", "se merknad", "patrz uwagi", "[object object]", "{{name}}", "<name>", "[name]", "#", '"', "''", "“”"),
    }
)  # fmt: skip
_PERHAPS_NOTHING: Final = frozenset(
    {
        *("na", "nan", "null", "none", "nil", "x", "xx", "xxx", "test", "true", "false", "yes", "no", "name", "names", "text"),
        *("total", "totals", "sum", "subtotal", "grand total", "summe", "gesamt", "blank", "empty", "unknown", "pending", "0"),
        *("inf", "-inf", "<na>", "nat", "keine", "aucun", "ninguno", "nessuno", "geen", "ingen", "cancelled", "canceled"),
        *("ohne", "kein", "keiner", "later", "none yet", "not yet", "asdf", "qwerty", "abc", "foo", "bar", "dummy", "sample", "example"),
        *("void", "refunded", "on hold", "storniert", "annulé", "annullato", "cancelado", "geannuleerd", "spare", "extra"),
    }
)  # fmt: skip
_FOOTER: Final = re.compile(
    r"((grand |sub)?total|sum|summe|gesamt|totalt|suma)\b\W*(\d|of\b|signs|orders|items|rows|:).*"
    r"|.*\bend of (the )?(report|list|file|data)\b.*|page \d+( of \d+)?|[-=*_~]{2,}.*"
    r"|\(?\d+ (rows?|records?|orders?|items?|signs?)( (affected|in total|found|selected|exported))?\)?\.?"
    r"|(printed|exported|generated|created|report|downloaded)\b.*\b(on|by|at|from|date)\b.*|(generated|exported|printed) ?:.*",
    re.IGNORECASE | re.DOTALL,
)
_LABEL: Final = re.compile(
    r"(engraving|engrave|personali[sz]ation|personali[sz]ed|name|names|text|inscription|wording|custom\w*|line \d|gravur|"
    r"gravure|texte|texto|testo|tekst|wunschtext|title|sign|message)\b[\w ]{0,20}:\s*\S.*",
    re.IGNORECASE | re.DOTALL,
)
_FIGURES: Final = re.compile(r"\d+[.,]0+|[-+]?\d+([.,]\d+)?[eE][-+]?\d+|[-+]?\d*[.,]\d{3,}")
_DATE: Final = re.compile(
    r"\d{4}-\d{2}-\d{2}([ T]\d{2}:\d{2}(:\d{2}(\.\d+)?)?)?|\d{1,2}[./]\d{1,2}[./]\d{2,4}|\d{1,2}-[A-Z][a-z]{2}(-\d{2,4})?"
    r"|[A-Z][a-z]{2}-\d{2}|\d{1,2}:\d{2}(:\d{2})?( ?[AaPp][Mm])?"
)
_SERIAL: Final = re.compile(r"[2-6]\d{4}(\.\d+)?")
_TEXT_FORMULA: Final = re.compile(r'="((?:[^"]|"")*)"', re.DOTALL)
_FORMULA: Final = re.compile(r"[=+@][A-Za-z(]|=\S|[-+]\d|@\S")
_MARKUP: Final = re.compile(r"</?[A-Za-z][^<>]{0,200}>|\{\\[a-z]+|\[/?(b|i|url)\b")
_ESCAPES: Final = re.compile(
    r"\\[rt](?![a-z])|\\r\\n|\\u[0-9a-fA-F]{4}|\\x[0-9a-fA-F]{2}|%[CDEF][0-9A-F]%[89AB][0-9A-F]|=[CDEF][0-9A-F]=[89AB][0-9A-F]"
)
_LOST: Final = re.compile(r"[^\W\d_]\?+[^\W\d_]|[^\W\d_]\?(?=[a-z])|^\?+[a-z]|[a-z]\?\?|^[^\W\d_]+\?$")
_DIRECTION: Final = re.compile(r"[\u202a-\u202e\u2066-\u2069]")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f]|(?<![\u00c2-\u00f4])\x85")
_CELLS: Final = re.compile(r"[;\t|]\s*\d|\t")
_COUNT: Final = re.compile(
    r"\d+ ?(?-i:[x×]) \D.*|.*\D (?-i:[x×]) ?\d+|.*\D\(\d{1,2}\)|.*\b(qty|quantity|antal|anzahl|menge|stk|pcs)\b\W*\d+.*",
    re.IGNORECASE,
)
_CONTACT: Final = re.compile(r"[^\s@]+@[^\s@]+\.[a-z]{2,}|https?://|www\.", re.IGNORECASE)

_UTF_7: Final = re.compile(r"\+(A[A-Z][0-9A-Za-z+/])(?![0-9a-z/])")
_BULLET: Final = re.compile(r"([-*•·–—▪●○◦✓✔☐☑]|\[[ xX]?\]|\(?\d{1,3}[.)])\s+(?=[^\W\d_])")
_PARTED: Final = re.compile(r"\s/\s|//|\||\s\\\s")
_QUOTED: Final = re.compile(r"\"[^\"]+\"|“[^“”]+”|„[^„“”]+[“”]|«[^«»]+»|''[^']+''")
_REQUEST: Final = re.compile(
    r"\b(please|pls|kindly)\b[,:]? (write|put|print|engrave|add|make|use|do|say)\b|\b(could|can|would) (you|we|i)\b|\bthank(s| you)\b"
    r"|\b(please|pls|bitte|por favor|s'il vous pla[iî]t|svp)\W*$|^(just|only)\W+[\"“]|^(the |his |her |my )?(name|text|sign) (is|should|to read|reads)\b"
    r"|\b(in|all)[ -](caps|capitals|lower ?case|upper ?case|italics?|bold|cursive|script)\b|\b(spelled|spelt|spelling)\b"
    r"|\bin (red|blue|green|black|white|gold|silver|brown|pink|purple)\b|\((with|without|in|no|not|all|and)\b[^)]*\)|\b(i|we)('d| would| want| need)\b|\b(font|colou?r)\s*[:=]|^bitte\b.*\b(schreiben|drucken)\b",
    re.IGNORECASE,
)
"""What a customer writes to the maker, and not on the sign."""
_BETWEEN: Final = re.compile(r"\s*[,;/|]\s*")
_NUMBERED: Final = re.compile(r"(?:^|\s)#?(\d{1,2})\s?[.):]\s*(?=[^\W\d_])")

Remark = tuple[str, str]
"""A finding's code and what it says."""


def formula_value(text: str) -> str | None:
    """Return what `="007"` shows, a formula that keeps a spreadsheet from changing figures; `None` for other texts."""
    match = _TEXT_FORMULA.fullmatch(text.strip()) if text.lstrip().startswith('="') else None
    return match[1].replace('""', '"') if match else None


def faults_of(text: str) -> tuple[str, ...]:
    """Return why a text can be no name, in sentences; nothing where it may be one."""
    if text.isprintable() and len(text) > 20 and text[0] not in "#":
        return ()
    control = _CONTROL.search(text) if not text.isprintable() else None
    if control:
        code, place = ord(control[0]), control.start() + 1
        return (f"Its text holds a control character (U+{code:04X}, letter {place}). Type the text again.",)
    plain = " ".join(text.split())
    if _ERRORS.fullmatch(plain):
        return (f"Its text {plain!r} is what a spreadsheet shows for an error. Fix the cell there and save again.",)
    if plain.casefold() in _NOTHING:
        return (f"Its text {plain!r} stands for no name. Write the name there, or take the row out.",)
    return ()


def remarks_on(text: str) -> tuple[Remark, ...]:
    """Return what makes a text doubtful, each with the code of a warning."""
    if text.isalpha():
        return _word(text)
    found: list[Remark] = []
    plain = text.strip()
    if plain.casefold() in _PERHAPS_NOTHING:
        return _word(plain)
    if plain.startswith("'") and len(plain) > 1:
        found.append(
            (LEFTOVER, f"{plain[:30]!r} starts with an apostrophe, as spreadsheets mark text with. It is printed.")
        )
    elif _FORMULA.match(plain) and not plain[1:].strip().isalpha():
        found.append((LEFTOVER, f"{plain[:30]!r} starts like a formula of a spreadsheet. It is printed as it stands."))
    elif plain.startswith("="):
        found.append((LEFTOVER, f"{plain[:30]!r} starts with an equals sign. It is printed as it stands."))
    if plain[:1].isdigit() or plain[:1] in "+-.":
        if _FIGURES.fullmatch(plain):
            found.append(
                (LEFTOVER, f"{plain[:30]!r} looks like a number as a spreadsheet writes it. Check what was meant.")
            )
        elif _DATE.fullmatch(plain):
            found.append((LEFTOVER, f"{plain[:30]!r} looks like a date. Check what was meant."))
        elif _SERIAL.fullmatch(plain):
            found.append((LEFTOVER, f"{plain[:30]!r} may be a date as spreadsheets count them. Check what was meant."))
    elif _DATE.fullmatch(plain):
        found.append((LEFTOVER, f"{plain[:30]!r} looks like a date. Check what was meant."))
    found += [(NOT_A_NAME, f"{plain[:40]!r} {words}") for looks_so, words in _NO_NAMES if looks_so(plain)]
    if ("?" in plain and _LOST.search(plain)) or (
        ("\\" in plain or "%" in plain or "=" in plain or "+" in plain) and (_ESCAPES.search(plain) or _utf_7(plain))
    ):
        found.append((WRONGLY_DECODED, f"{plain[:40]!r} seems to have lost letters on its way. Type it again."))
    if not text.isprintable() and (mark := _DIRECTION.search(text)):
        found.append(
            (HIDDEN, f"It holds a character that turns the reading direction (U+{ord(mark[0]):04X}). Type it again.")
        )
    return tuple(found)


def quantity_remark(text: str, quantity: int) -> Remark | None:
    """Return what makes a text look like several signs: as many parts as pieces are wanted."""
    if quantity < 2:
        return None
    parts = [part for part in _BETWEEN.split(text.strip()) if part]
    if quantity > 2 and len(parts) == 1:  # two lines are a sign more often than two names
        parts = text.strip().split("\n")
    if len(parts) != quantity or len({part.casefold() for part in parts}) == 1:
        return None
    return NOT_A_NAME, f"Its text has {quantity} parts, and {quantity} pieces are wanted: one sign for each part?"


def _is_numbered(text: str) -> bool:
    """Return whether a text begins with the mark of a list, or holds the numbers 1 and 2 of one."""
    return _BULLET.match(text) is not None or [int(n) for n in _NUMBERED.findall(text)][:2] == [1, 2]


def _is_bare(text: str) -> bool:
    return text.isascii() and not any(letter.isalnum() for letter in text)


_NO_NAMES: Final[tuple[tuple[Callable[[str], object], str], ...]] = (
    (_FOOTER.fullmatch, "looks like the end of a report, and not like a name."),
    (_LABEL.fullmatch, "starts with a label, which is printed too."),
    (_is_numbered, "holds the number or mark of a list, which is printed too."),
    (_REQUEST.search, "may hold what is asked of the maker, and not only the text."),
    (_QUOTED.fullmatch, "stands in quotation marks, which are printed too."),
    (_PARTED.search, "may hold two lines. What parts them is printed; a new line is \\n."),
    (_is_bare, "holds no letter and no figure. Check the row."),
    (_MARKUP.search, "holds signs of a web page's source, which are printed too."),
    (_CELLS.search, "may be several cells in one. See what parts the cells of this list."),
    (_COUNT.fullmatch, "may hold a quantity, which is printed with the text."),
    (_CONTACT.search, "holds an address of the internet."),
)
"""What a text looks like that may be no name, and what is said of it."""


def _utf_7(text: str) -> bool:
    """Return whether a text holds an accented letter as UTF-7 writes it (RFC 2152)."""
    for match in _UTF_7.finditer(text):
        try:
            letter = f"+{match[1]}-".encode("ascii").decode("utf-7")
        except UnicodeDecodeError:
            continue
        if len(letter) == 1 and "\u00c0" <= letter <= "\u024f" and letter.isalpha():
            return True
    return False


def _word(text: str) -> tuple[Remark, ...]:
    if len(text) <= 12 and text.casefold() in _PERHAPS_NOTHING:
        return ((NOT_A_NAME, f"{text!r} may stand for no name, or be a heading. Check the row."),)
    return ()
