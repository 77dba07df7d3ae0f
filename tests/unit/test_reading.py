"""Remarks on the text itself: what is left out, what is warned of, what is offered, how it is spelled."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from studio.proofreading.cleaning import cleaned
from studio.proofreading.proofread import remarks
from studio.proofreading.spell_out import spelled

CYRILLIC_A, CYRILLIC_IE = "\u0430", "\u0435"
HEBREW = "\u05e8\u05d5\u05ea"


def _codes(text: str) -> list[str]:
    return [remark.code for remark in remarks(text)]


def _offer(text: str) -> str | None:
    (remark,) = remarks(text)
    return remark.offer


def _garbled(text: str, encoding: str = "cp1252") -> str:
    """Save a text as UTF-8 and open it as another encoding; bytes unknown there stay as they are."""
    pieces = (bytes([byte]) for byte in text.encode())
    return "".join(piece.decode(encoding, "ignore") or chr(piece[0]) for piece in pieces)


# Spaces and what does not show


def test_spaces_at_the_ends_and_double_ones_are_trimmed_with_a_note_each() -> None:
    """Each trimmed place has its own note, with its place in the text given."""
    text, notes = cleaned("  Tess  & Marlow ")
    assert text == "Tess & Marlow"
    assert [(note.code, note.severity, note.start, note.end) for note in notes] == [
        ("spaces-trimmed", "note", 0, 2),
        ("spaces-trimmed", "note", 6, 8),
        ("spaces-trimmed", "note", 16, 17),
    ]
    assert notes[1].message == "2 spaces after 'Tess' were made one plain space."


@pytest.mark.parametrize(
    "text",
    [
        "Tess\nMarlow",
        "Tess\u00a0& Marlow",
        "Lake\u2009House",
        "Tess\\nMarlow",
        "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645",
        "\u0647\u200d",
        "\u0915\u094d\u200d\u0937",
        "\U0001f468\u200d\U0001f469\u200d\U0001f467",
        "\u2764\ufe0f",
        "1\ufe0f\u20e3",
        "\U0001f3f4\U000e0067\U000e0062\U000e007f",
        f"{HEBREW} \u200e(1)\u200e Tess",
        "\u06dd\u0661",
    ],
)
def test_what_carries_meaning_is_kept(text: str) -> None:
    """Newlines, hard spaces, joiners and selectors that shape letters, and needed direction marks stay, unremarked."""
    assert cleaned(text) == (text, ())


@pytest.mark.parametrize(
    ("text", "left", "named"),
    [
        ("Mar\u200blow", "Marlow", "U+200B ZERO WIDTH SPACE after 'Mar'"),
        ("\ufeffTess", "Tess", "U+FEFF ZERO WIDTH NO-BREAK SPACE at the start"),
        ("Te\u00adss", "Tess", "U+00AD SOFT HYPHEN after 'Te'"),
        ("Te\u200dss", "Tess", "U+200D ZERO WIDTH JOINER after 'Te'"),
        ("Auf\u200clage", "Auflage", "U+200C ZERO WIDTH NON-JOINER after 'Auf'"),
        ("Tess\x07", "Tess", "U+0007 (a control character) after 'Tess'"),
        ("Tess\u200e", "Tess", "U+200E LEFT-TO-RIGHT MARK after 'Tess'"),
        ("a\ufe0f", "a", "U+FE0F VARIATION SELECTOR-16 after 'a'"),
        ("a\U000e0067", "a", "U+E0067 TAG LATIN SMALL LETTER G after 'a'"),
    ],
)
def test_what_does_not_show_is_left_out_by_name(text: str, left: str, named: str) -> None:
    """An invisible character without meaning goes, and the note gives its number, name and place."""
    result, notes = cleaned(text)
    assert result == left
    assert [note.message for note in notes] == [f"{named} was left out: it does not show."]


def test_line_breaks_of_every_kind_become_newlines() -> None:
    """Breaks in the manner of other systems count as newlines; spaces beside them and empty lines at the ends go."""
    text, notes = cleaned("\r\nTess \r\n Marlow\u2028Lake\n")
    assert text == "Tess\nMarlow\nLake"
    assert len(notes) == 4


def test_a_byte_that_is_no_character_is_told_of() -> None:
    """A byte that came through undecoded is shown as lost, with the letter it would be on Windows."""
    text, (note,) = cleaned("Zo\udceb")
    assert text == "Zo\ufffd"
    assert "(0xEB, 'ë' in Windows-1252)" in note.message


def test_invisible_halves_of_garbled_letters_are_kept_for_the_repair() -> None:
    """Cleaning a garbled name does not take away the bytes that the repair needs."""
    for name in ("Mar\u00eda", "voil\u00e0", "\u0410\u043d\u043d\u0430", "\u00c5sa"):
        for encoding in ("cp1252", "latin-1"):
            text, _ = cleaned(_garbled(name, encoding))
            assert _offer(text) == name


@given(
    text=st.text(alphabet="ab \t\u00a0\n\r\u200b\u200d\u00ad\u200f\u05d0\u0628\u0915\u094d\ufe0f\u3164", max_size=14)
)
def test_cleaning_twice_changes_nothing_more(text: str) -> None:
    """A cleaned text is clean, and letters are never touched."""
    once, _ = cleaned(text)
    assert cleaned(once) == (once, ())
    letters = "ab\u05d0\u0628\u0915\u094d"
    assert [c for c in once if c in letters] == [c for c in text if c in letters]


# Letters of two alphabets


def test_a_cyrillic_letter_in_a_latin_word_is_named_and_its_twin_offered() -> None:
    """The warning names the letter by number and what it looks like; the offer is the whole text."""
    (remark,) = remarks(f"Marlow & T{CYRILLIC_IE}ss")
    assert (remark.code, remark.severity, remark.start, remark.end) == ("mixed-scripts", "warn", 9, 13)
    assert "U+0435 CYRILLIC SMALL LETTER IE looks like 'e'" in remark.message
    assert remark.offer == "Marlow & Tess"


@pytest.mark.parametrize(
    ("text", "offer"),
    [
        ("\u0397ome", "Home"),
        ("\u0410nna & Tom", "Anna & Tom"),
        ("\u0438\u0432\u0430a", "\u0438\u0432\u0430\u0430"),
        ("Zo\u0451", "Zo\u00eb"),
        ("\u0395\u03bb\u03b5\u03bda", "\u0395\u03bb\u03b5\u03bd\u03b1"),
        ("\u042fna", None),
        ("\U0001d4e3\U0001d4ee\U0001d4fc\U0001d4fc", "Tess"),
        ("\uff34\uff45\uff53\uff53", "Tess"),
    ],
)
def test_the_word_is_put_in_the_alphabet_it_is_meant_in(text: str, offer: str | None) -> None:
    """The alphabet that leaves fewest letters without a twin wins; without a full twin nothing is offered."""
    assert _codes(text) == ["mixed-scripts"]
    assert _offer(text) == offer


@pytest.mark.parametrize(
    "text",
    [
        "\u6771\u4eac\u30bf\u30ef\u30fc\u3055\u304f\u3089",
        "\u6771\u4eac\uff34",
        "Tess2 & 4U",
        f"Tess & {CYRILLIC_A}\u043d\u043d\u0430",
        "\u02bbOhana",
        "Zo\u00eb",
        "Vie\u0323\u0302t",
        "\u0404\u0432\u0430 \u0407\u0436\u0430\u043a",
        f"{HEBREW} 18",
        "\U0001f642Tess",
        "A\u00aa 3\u00b2",
    ],
)
def test_names_in_their_own_scripts_raise_no_alarm(text: str) -> None:
    """Words of one alphabet each, Japanese, digits, marks and signs are no mix."""
    assert remarks(text) == ()


# Text decoded wrongly


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1"])
@pytest.mark.parametrize(
    "name",
    [
        "Zoë", "José", "Tess’s", "Ångström", "Łukasz & Żaneta", "Việt", "Škoda", "Þór", "ÉTÉ", "JÖRG", "Œuvre",
        "Şükrü", "“Tess”", "Marlow\u00a0& Tess", "Анна", "Ελένη", "רות", "ليلى", "मीरा", "李", "한나", "🙂 Tess",
        "Zoe\u0308",
    ],
)  # fmt: skip
def test_a_garbled_name_is_repaired_once_or_twice_over(name: str, encoding: str) -> None:
    """UTF-8 opened as Windows-1252 or Latin-1, and the same done twice, is warned of and the name offered."""
    once = _garbled(name, encoding)
    for text in (once, _garbled(once, encoding)):
        (remark,) = remarks(text)
        assert (remark.code, remark.severity, remark.offer) == ("wrongly-decoded", "warn", name)


@pytest.mark.parametrize(
    "text",
    [
        "São", "SÃO", "Ã…", "“AMANHÔ", "JOÃ’S", "MÄKELÄ’S", "RENÉ’S", "« Zoé\u00a0»", "ZOË…", "ÅSTÅ–SMITH", "Ø 12",
        "4×½", "CAFÉ™", "Âme", "naïve—Zoë", "ÅÄÖ", "ÂÊÎ", "D’Ávila", "Œœ", "IRMÃ\u00a0TESS", "Æ’s", "Süß…", "Þórð",
        "Tom & Jo; hi", "Nguyễn", "Łódź", "ÍŠ",
    ],
)  # fmt: skip
def test_real_accents_raise_no_alarm(text: str) -> None:
    """Accented letters, in capitals and beside quotation marks, dashes and hard spaces, are taken as typed."""
    assert "wrongly-decoded" not in _codes(text)


@pytest.mark.parametrize(
    ("text", "offer"),
    [("Marlow &amp; Tess", "Marlow & Tess"), ("Zo&euml;", "Zoë"), ("Zo&amp;euml;", "Zoë"), ("Caf&#233;", "Café")],
)
def test_signs_of_a_web_page_are_read(text: str, offer: str) -> None:
    """Character references left in by a web shop are warned of and read."""
    (remark,) = remarks(text)
    assert (remark.code, remark.offer) == ("wrongly-decoded", offer)


def test_a_lost_letter_cannot_be_offered() -> None:
    """The replacement character means that a letter is gone: a warning without an offer."""
    (remark,) = remarks("Zo\ufffd & Tess")
    assert (remark.code, remark.severity, remark.start, remark.offer) == ("wrongly-decoded", "warn", 2, None)


# Straight quotes


@pytest.mark.parametrize(
    ("text", "offer"),
    [
        ("Tess's", "Tess’s"),
        ('"Tess" & "Tom"', "“Tess” & “Tom”"),
        ("Marlow's 'Nest'", "Marlow’s ‘Nest’"),
        ("rock 'n' roll", "rock ’n’ roll"),
        ("since '98", "since ’98"),
        ("the Lakers' Cabin", "the Lakers’ Cabin"),
        ('"Cabin 12" (6\'2")', "“Cabin 12” (6'2\")"),
        ("say \"I'm 'in'\"", "say “I’m ‘in’”"),
        ("O`Brien", "O’Brien"),
        ("צ'רלי", "צ׳רלי"),
        ('צה"ל', "צה״ל"),
        ('"רות"', "“רות”"),
    ],
)
def test_drawn_quotes_are_offered(text: str, offer: str) -> None:
    """One note offers the apostrophes and quotation marks that belong there; feet and inches stay."""
    (remark,) = remarks(text)
    assert (remark.code, remark.severity, remark.offer) == ("straight-quotes", "note", offer)
    assert _codes(offer) == []


@pytest.mark.parametrize("text", ["6'2\"", '12" sign', "Tess’s “Nest”", "Tess & Marlow", ""])
def test_measures_and_drawn_quotes_get_no_note(text: str) -> None:
    """Inch marks behind numbers, and quotes already drawn, are left alone."""
    assert remarks(text) == ()


@given(text=st.text(alphabet="aT \"'`1(\u00c3\u00a9\u2019\u05d0\u0435&;mp\u00a0\n", max_size=16))
def test_every_offer_is_another_text_and_places_lie_inside(text: str) -> None:
    """An offer always changes something, and what is remarked on lies within the text."""
    for remark in remarks(text):
        assert remark.offer != text
        assert 0 <= remark.start < remark.end <= len(text)


# Spelling


@pytest.mark.parametrize(
    ("text", "spelling"),
    [
        ("Marlow & Tess", "M-a-r-l-o-w & T-e-s-s"),
        ("Zoe\u0308", "Z-o-e\u0308 (e\u0308 = e with diaeresis)"),
        ("Anna-Lena’s", "A-n-n-a-[hyphen]-L-e-n-a-[apostrophe]-s"),
        ("O'Brien", "O-[straight apostrophe]-B-r-i-e-n"),
        ("Tess\nL0ve 2024", "T-e-s-s / L-0-v-e 2-0-2-4 (0 = digit zero)"),
        ("Łå Łå", "Ł-å Ł-å (Ł = capital l with stroke; å = a with ring above)"),
        ("Ọ\u0300ṣun", "Ọ\u0300-ṣ-u-n (Ọ\u0300 = capital o with dot below and grave; ṣ = s with dot below)"),
        ("Tеss", "T-е-s-s (е = Cyrillic ie)"),
        ("שׁ", "שׁ (שׁ = Hebrew shin with shin dot)"),
        ("漢", "漢 (漢 = U+6F22)"),
        ("🇫🇷", "🇫🇷 (🇫🇷 = flag FR)"),
        ("", ""),
    ],
)
def test_a_name_is_spelled_letter_by_letter(text: str, spelling: str) -> None:
    """Plain letters stand alone, easily mistaken signs are named, unusual letters explained once at the end."""
    assert spelled(text) == spelling


@given(text=st.text(max_size=12))
def test_anything_can_be_read_and_spelled(text: str) -> None:
    """No text at all makes cleaning, remarking or spelling fail."""
    clean, notes = cleaned(text)
    assert len(clean) <= len(text)
    assert all(note.code == "spaces-trimmed" for note in notes)
    assert isinstance(spelled(clean), str)
    assert all(remark.message for remark in remarks(clean))
