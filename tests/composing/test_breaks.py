"""Names are broken where a sign painter would break them, and the maker's own breaks win over everything."""

from __future__ import annotations

import pytest

from tests.composing.signs import BLANKS, broken, cases, name_of, planned


def test_expected_breaks_come_out() -> None:
    """Of 48 names on their blanks at least 46 are broken as expected, and at least 44 with the lines' sizes too."""
    right = sized = 0
    wrong = []
    for where, face, expected in cases():
        blank, _, artwork = where.partition("+")
        ways = expected.split(" or ")
        text = _plain(ways[0]).replace("-|", "-").replace("|", " ")
        lettering = name_of(planned(text, blank=BLANKS[blank], artwork=artwork or "none", face=face))
        found = broken(lettering)
        is_right = lettering.layout == "box" and _plain(found) in [_plain(way) for way in ways]
        right += is_right
        sized += found in ways
        if not is_right:
            wrong.append(f"{where} {face}: {found}, expected {expected}")
    assert len(cases()) == 48
    assert right >= 46, wrong
    assert sized >= 44


def _plain(lines: str) -> str:
    return lines.replace("<", "").replace(">", "")


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("The\\nHalvorsens of\\nPikewater", ("The", "Halvorsens of", "Pikewater")),
        ("Marlow &\\nTess", ("Marlow &", "Tess")),
        ("Welcome to our\\ncabin", ("Welcome to our", "cabin")),
    ],
)
@pytest.mark.parametrize("composition", ["full", "balanced", "calm"])
def test_typed_line_ends_hold(text: str, lines: tuple[str, ...], composition: str) -> None:
    """Lines stand as they were typed, also where the price of such a break would rule it out."""
    assert name_of(planned(text, composition=composition, face="Nunito")).lines == lines


@pytest.mark.parametrize("text", ["Lady of\u00a0the\u00a0Lake", "Marlow\u00a0& Tess", "Cabin\u00a07"])
def test_no_break_spaces_hold(text: str) -> None:
    """No line ends at a no-break space, however much larger the name would come out."""
    lines = name_of(planned(text, face="Nunito", blank="round-4in")).lines
    for joined in [word for word in text.split(" ") if "\u00a0" in word]:
        assert any(joined in line for line in lines)


@pytest.mark.parametrize(
    ("text", "never"),
    [
        ("The Halvorsens", ("The", 0.75)),
        ("Dr. & Mrs. Wendell", ("Dr. &", 0.0)),
        ("Lake of the Woods", ("Lake of", 0.0)),
        ("Home of Otto", ("Home", 0.0)),
        ("Добро пожаловать в Пайкуотер", ("пожаловать в", 0.0)),
    ],
)
@pytest.mark.parametrize("blank", ["round-10in", "plaque-12x6in", "oval-12x8in"])
def test_no_line_ends_on_a_word_of_the_next(text: str, never: tuple[str, float], blank: str) -> None:
    """A line ends on an article, preposition or title only where it holds nothing else and stands smaller."""
    lettering = name_of(planned(text, face="Rubik", blank=blank))
    for line, cap_mm in zip(lettering.lines, lettering.line_caps_mm, strict=True):
        if line == never[0] and len(lettering.lines) > 1:
            assert cap_mm <= never[1] * lettering.cap_height_mm + 1e-6


@pytest.mark.parametrize("text", ["Pikewater est. 1952", "John Smith Jr.", "Slip No. 42", "Abernathy III"])
@pytest.mark.parametrize("blank", ["round-10in", "round-4in", "plaque-12x6in"])
def test_pairs_stay_whole(text: str, blank: str) -> None:
    """A year stays with its word, Jr. and III with the name, a number with its sign or below it in full."""
    lines = name_of(planned(text, face="Oswald", blank=blank)).lines
    assert "est." not in lines and "Jr." not in lines and "III" not in lines
    assert not any(line.endswith("No.") and line != "No." for line in lines)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({"emphasis": "none"}, "The|Okafor|Family"),
        ({"emphasis": "Family"}, "<The>|<Okafor>|Family"),
        ({"small": "Okafor"}, "The|<Okafor>|Family"),
    ],
)
def test_the_maker_says_which_words_are_large(values: dict[str, str], expected: str) -> None:
    """Emphasis and small words decide the sizes of lines, whatever the words are for."""
    typed = expected.replace("<", "").replace(">", "").replace("|", "\\n")
    found = broken(name_of(planned(typed, face="Nunito", **values)))
    assert found.replace("<The>", "The") == expected.replace("<The>", "The")


def test_small_letters_and_capitals_are_read_alike() -> None:
    """The kinds of words do not depend on letter case, nor on how a letter with a mark is encoded."""
    assert name_of(planned("THE HALVORSENS", face="Nunito")).lines == ("THE", "HALVORSENS")
    composed = name_of(planned("Zo\u00eb & S\u00f8ren", face="Rubik"))
    apart = name_of(planned("Zoe\u0308 & S\u00f8ren", face="Rubik"))
    assert composed.lines == apart.lines and composed.cap_height_mm == apart.cap_height_mm


@pytest.mark.parametrize(
    ("text", "lines", "sizes"),
    [
        ("In Loving Memory of Rex", ("In Loving", "Memory", "of Rex"), (0.51, 0.51, 1.0)),
        ("Class of 2025", ("Class", "of", "2025"), (1.0, 0.51, 1.0)),
        ("Liam & Emma July 4 2025", ("Liam", "& Emma", "July 4 2025"), (1.0, 1.0, 0.41)),
        ("Anna 4 July 2025", ("Anna", "4 July 2025"), (1.0, 0.41)),
        ("Familie Huber 12. Mai 1998", ("Familie", "Huber", "12. Mai 1998"), (0.64, 1.0, 0.41)),
        ("April & June", ("April", "& June"), (1.0, 1.0)),
        ("Rex 2008-2021", ("Rex", "2008-2021"), (1.0, 0.41)),
        ("Lot 7 Birch Lane", ("Lot 7", "Birch", "Lane"), (1.0, 1.0, 1.0)),
        ("Sgt. Ortega", ("Sgt.", "Ortega"), (0.51, 1.0)),
    ],
)
def test_dates_dedications_and_addresses_stay_together(
    text: str, lines: tuple[str, ...], sizes: tuple[float, ...]
) -> None:
    """A date is one small line, the name of a memorial is large, and a number stands with its noun."""
    composed = name_of(planned(text, face="Nunito", blank="round-10in")).composed
    assert composed is not None
    assert (composed.candidates[0].lines, composed.candidates[0].line_sizes) == (lines, sizes)
