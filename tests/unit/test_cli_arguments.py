from __future__ import annotations

import pytest

from studio.basics.errors import SettingsError
from studio.cli.arguments import COMMANDS, option_values, parse_rows, parser_for, whole_number
from studio.model.options import OPTIONS


@pytest.mark.parametrize("command", ["render", "check", "preview", "batch"])
def test_every_sign_option_is_on_every_command(command: str) -> None:
    """Each option of the table can be typed on each command that makes a sign, and arrives as it was typed."""
    typed: list[str] = []
    for option in OPTIONS:
        typed += [f"--no-{option.name}"] if option.is_switch else [f"--{option.name}", f"value of {option.name}"]
    values = option_values(parser_for(command).parse(["Pikewater", *typed]))
    for option in OPTIONS:
        expected = "no" if option.is_switch else f"value of {option.name}"
        assert values[option.key] == ((expected,) if option.repeatable else expected)


def test_what_was_not_typed_is_not_there() -> None:
    """Options that nobody typed leave room for settings and environment."""
    assert option_values(parser_for("render").parse(["Pikewater"])) == {}


def test_repeatable_options_gather() -> None:
    """An option given twice keeps both values, in order."""
    values = option_values(parser_for("check").parse(["x", "--hole", "0mm,1mm,8mm", "--hole", "0mm,-1mm,8mm"]))
    assert values == {"hole": ("0mm,1mm,8mm", "0mm,-1mm,8mm")}


@pytest.mark.parametrize("value", ["-3mm,0mm", "-.5in,1mm", "-1/2in,0mm"])
def test_values_may_start_with_a_minus(value: str) -> None:
    """A negative position is a value, not an option."""
    assert option_values(parser_for("check").parse(["x", "--shift", value, "--artwork-turn", "-90"])) == {
        "shift": value,
        "artwork_turn": "-90",
    }


def test_text_may_start_with_a_dash() -> None:
    """After two dashes anything is the text."""
    assert parser_for("render").parse(["--strict", "--", "-Loon-"]).text == "-Loon-"


@pytest.mark.parametrize(
    ("command", "argv", "words"),
    [
        ("render", ["x", "--fce", "Lobster"], ("--fce", "--face")),
        ("render", ["x", "--blan", "round:8in"], ("--blan", "--blank")),
        ("render", ["Marlow", "&", "Tess"], ("quotation marks", "Marlow & Tess")),
        ("render", ["x", "-Loon-"], ("--", "-Loon-")),
        ("render", [], ("no text", "-Loon-")),
        ("render", ["x", "--cap"], ("--cap", "expected one argument")),
        ("list", [], ("blanks|artwork|faces|surfaces",)),
        ("list", ["faces", "blanks"], ("'blanks'",)),
    ],
)
def test_mistyped_lines_are_told(command: str, argv: list[str], words: tuple[str, ...]) -> None:
    """A slip on the command line is told with what was meant, and never abbreviated silently."""
    with pytest.raises(SettingsError) as caught:
        parser_for(command).parse(argv)
    assert all(word in str(caught.value) for word in words), str(caught.value)


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_help_opens_with_examples(command: str) -> None:
    """The first lines of every help can be copied and run; every option's default stands in it."""
    lines = parser_for(command).format_help().splitlines()
    assert lines[0] == "Examples:"
    assert lines[1].startswith(f"  sapwood {command} ")
    if command not in ("list", "press", "ruler", "strip"):
        assert all(f"--{option.name}" in "\n".join(lines) for option in OPTIONS)


def test_examples_in_the_help_parse() -> None:
    """Every example of every help is a line that its own parser takes."""
    import shlex

    for command in COMMANDS:
        examples = [
            line.strip() for line in parser_for(command).format_help().splitlines() if line.startswith("  sapwood")
        ]
        assert examples
        for example in examples:
            assert parser_for(command).parse(shlex.split(example)[2:])


def test_row_numbers() -> None:
    """Single rows and ranges, in any order, become a set."""
    assert parse_rows("3,7-9, 1") == {1, 3, 7, 8, 9}
    for wrong in ("", "0", "7-3", "a", "1,,2", "1-99999999", "-3"):
        with pytest.raises(SettingsError, match="--rows"):
            parse_rows(wrong)


def test_whole_numbers_have_bounds() -> None:
    """A count outside its bounds, or none at all, is refused with the bounds."""
    assert whole_number("60", "--width", 20, 400) == 60
    for wrong in ("19", "401", "6.5", "", "x", "１０" * 30):
        with pytest.raises(SettingsError, match="from 20 to 400"):
            whole_number(wrong, "--width", 20, 400)
