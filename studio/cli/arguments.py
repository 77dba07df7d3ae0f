"""What can be typed: the commands, their options, and help that opens with examples.

Invariant: sign options come from the one table in `files.options`; nothing heavy is imported.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from typing import Final, NoReturn

from studio.basics.errors import SettingsError
from studio.cli.batch_options import add_batch_options
from studio.cli.paper_options import add_list_paper, add_sign_paper, add_strip_paper
from studio.cli.press_options import add_pages, add_press, add_ruler
from studio.model.options import OPTIONS, SignOption, Value, nearest

_PART: Final = re.compile(r"\s*(\d{1,7})\s*(?:-\s*(\d{1,7})\s*)?")
_MOST_ROWS: Final = 1_000_000


def parse_rows(text: str) -> frozenset[int]:
    """Return the row numbers that `3,7-12` names, each from 1.

    Raises:
        SettingsError: It is no such list.
    """
    chosen: set[int] = set()
    for part in text.split(","):
        match = _PART.fullmatch(part)
        first = int(match[1]) if match else 0
        last = int(match[2] or match[1]) if match else 0
        if first < 1 or last < first or last > _MOST_ROWS:
            raise SettingsError(
                f"--rows: {part.strip()[:30]!r} is not a row or a range.", advice="Write it like 3,7-12."
            )
        chosen.update(range(first, last + 1))
    return frozenset(chosen)


COMMANDS: Final[dict[str, str]] = {
    "render": "print, proof, thumbnail and report of one sign",
    "check": "how a sign fits and what will blur; writes nothing",
    "preview": "the proof in the terminal",
    "batch": "every sign of an order list",
    "press": "the press card of a surface, and its steps with a countdown",
    "ruler": "a page that measures a printer, and what its readings come to",
    "strip": "a test strip to press, and a photo of it read",
    "list": "blanks, artwork, faces, surfaces, papers or printers to choose from",
}
LISTS: Final = ("blanks", "artwork", "faces", "surfaces", "papers", "printers")

TOP_HELP: Final = """\
Examples:
  sapwood                                       open the studio
  sapwood render "Marlow & Tess"                a sign, ready to print
  sapwood check "Marlow & Tess" --blank round:8in --face Lobster
  sapwood preview "Lakeside" --layout arc-top
  sapwood batch orders.csv -o out               a whole list
  sapwood list faces

usage: sapwood [COMMAND] [options]

Personalise wooden name signs: fit the lettering, check that it survives the grain, print at exact size.

Commands:
"""
_EXAMPLES: Final[dict[str, tuple[str, ...]]] = {
    "render": (
        'sapwood render "Marlow & Tess"',
        "sapwood render \"Pikewater\" --layout arc-top --also arc-bottom='est. 2019' -o out",
        'sapwood render "Cabin 7" --blank rect:12inx6in:10mm --artwork none --face "Alfa Slab One"',
        'sapwood render "Marlow & Tess" --paper letter',
        'sapwood render -- "-Loon-"',
    ),
    "check": (
        'sapwood check "Marlow & Tess"',
        'sapwood check "Marlow & Tess" --surface bare --json',
    ),
    "preview": (
        'sapwood preview "Marlow & Tess"',
        'sapwood preview "Marlow & Tess" --ascii --width 76',
        'sapwood preview "Marlow & Tess" --as-printed',
    ),
    "batch": (
        "sapwood batch orders.csv --dry-run",
        "sapwood batch orders.csv -o out",
        "sapwood batch orders.csv -o out --resume",
        "sapwood batch orders.csv -o out --rows 3,7-12 --overwrite",
        "sapwood batch orders.csv -o out --paper letter",
    ),
    "press": (
        "sapwood press --surface film",
        "sapwood press --surface film --painted --no-timer",
        "sapwood press --surface laminate -o out",
    ),
    "ruler": (
        "sapwood ruler --printer kitchen",
        "sapwood ruler --printer kitchen --across 7@186 --feed 9@248 --ac 8@307 --bd 8@307",
        "sapwood ruler --printer kitchen --across 179.6 --feed 240.5",
        "sapwood ruler --printer kitchen --left 3 --bottom 13 --right 3 --top 3",
    ),
    "list": ("sapwood list faces", "sapwood list blanks --json"),
    "strip": (
        "sapwood strip print -o strip --paper letter",
        "sapwood strip read photo.jpg --save maple-film",
        "sapwood strip read photo.jpg --reference paper.jpg --surface film",
        "sapwood strip read scan.png --scanned 600",
        "sapwood strip read photo.jpg --ruler 100mm=99.4mm,60mm=59.8mm",
        "sapwood strip note --gap-along 0.8mm --gap-across 0.6mm --line 0.4mm --save maple-film",
    ),
}
_TAKES: Final = {
    "batch": "ORDERS",
    "list": "|".join(LISTS),
    "press": "",
    "ruler": "--printer NAME",
    "strip": "print|read|note [PICTURE]",
}
_NEGATIVE: Final = re.compile(r"-[\d.½¼¾]")


class Parser(argparse.ArgumentParser):
    """A parser of one command: examples first, errors as values with the nearest known name."""

    def __init__(self, command: str) -> None:
        super().__init__(
            prog=f"sapwood {command}",
            usage=f"sapwood {command} {_TAKES.get(command, 'TEXT')} [options]".replace("  ", " "),
            description=COMMANDS[command][:1].upper() + COMMANDS[command][1:] + ".",
            allow_abbrev=False,
            formatter_class=lambda prog: argparse.HelpFormatter(prog, max_help_position=34, width=110),
        )
        self.command = command

    def format_help(self) -> str:
        """Return examples, then everything else."""
        examples = "".join(f"  {example}\n" for example in _EXAMPLES[self.command])
        return f"Examples:\n{examples}\n{super().format_help()}"

    def error(self, message: str) -> NoReturn:
        """Raise in place of leaving, so that one place decides on exit codes."""
        if message.endswith("required: TEXT"):
            raise SettingsError(
                "There is no text for the sign.",
                advice=f'Write {self.prog} "Marlow & Tess"; one that starts with a dash goes after two: '
                f'{self.prog} -- "-Loon-".',
            )
        raise SettingsError(
            f"{message[:1].upper()}{message[1:]}.", advice=f"See {self.prog} --help, which opens with examples."
        )

    def parse(self, argv: Sequence[str]) -> argparse.Namespace:
        """Return the options; unknown ones raise SettingsError with the nearest known."""
        namespace, strays = self.parse_known_args(self._with_negatives_joined(argv))
        if strays:
            self._refuse(strays, namespace)
        return namespace

    def _with_negatives_joined(self, argv: Sequence[str]) -> list[str]:
        """Return the arguments with `--shift -3mm,0mm` as one, since a value with a minus looks like an option."""
        joined: list[str] = []
        arguments = iter(argv)
        for argument in arguments:
            joined.append(argument)
            if argument == "--":
                joined.extend(arguments)
                break
            action = self._option_string_actions.get(argument)
            if action is None or action.nargs == 0:
                continue
            value = next(arguments, None)
            if value is None:
                break
            if _NEGATIVE.match(value):
                joined[-1] = f"{argument}={value}"
            else:
                joined.append(value)
        return joined

    def _refuse(self, strays: list[str], namespace: argparse.Namespace) -> NoReturn:
        first = strays[0]
        if first.startswith("--"):
            name = first.partition("=")[0]
            hint = nearest(name, self._option_string_actions)
            raise SettingsError(
                f"{name} is not an option of {self.prog}{hint}", advice=f"{self.prog} --help lists them."
            )
        if first.startswith("-"):
            raise SettingsError(
                f"{first} is not an option of {self.prog}.",
                advice=f'A text that starts with a dash goes after two: {self.prog} -- "{first}".',
            )
        if hasattr(namespace, "text"):
            whole = " ".join([str(namespace.text), *strays])
            raise SettingsError(
                f"There is more than one text: {whole[:80]!r}.",
                advice=f'Put quotation marks round a text of several words: {self.prog} "{whole[:80]}".',
            )
        raise SettingsError(f"{first!r} is more than {self.prog} takes.", advice=f"See {self.prog} --help.")


def parser_for(command: str) -> Parser:
    """Return the parser of a command."""
    parser = Parser(command)
    if command == "list":
        parser.add_argument("kind", metavar="|".join(LISTS), help="what to list")
        parser.add_argument("--json", action="store_true", help="as JSON on stdout")
        return parser
    if command in ("press", "ruler"):
        add_press(parser) if command == "press" else add_ruler(parser)
        _add_output(parser, "none: no page is written" if command == "press" else "this one")
        return parser
    if command == "strip":
        _add_strip(parser)
        return parser
    if command == "batch":
        _add_batch(parser)
    else:
        parser.add_argument("text", metavar="TEXT", help=r"what stands on the sign; \n starts a new line")
    if command == "render":
        _add_output(parser)
        add_sign_paper(parser)
        add_pages(parser)
    if command == "check":
        parser.add_argument("--json", action="store_true", help="the whole report as JSON on stdout")
    if command == "preview":
        parser.add_argument("--width", metavar="N", help="characters across (default: what the terminal has)")
        parser.add_argument("--ascii", action="store_true", help="plain characters, no colour")
        parser.add_argument("--as-printed", action="store_true", help="the mirrored print with its marks")
    else:
        parser.add_argument("--strict", action="store_true", help="warnings refuse the sign")
    _add_sign_options(parser)
    return parser


def option_values(namespace: argparse.Namespace) -> dict[str, Value]:
    """Return the sign options that were typed, by key."""
    values: dict[str, Value] = {}
    for option in OPTIONS:
        value = getattr(namespace, option.key)
        if value is not None:
            values[option.key] = tuple(value) if isinstance(value, list) else str(value)
    return values


def whole_number(text: str, what: str, least: int, most: int) -> int:
    """Return a typed whole number within bounds.

    Raises:
        SettingsError: It is none, or out of bounds.
    """
    if not re.fullmatch(r"\d{1,9}", text.strip()) or not least <= int(text) <= most:
        raise SettingsError(
            f"{what}: {text[:20]!r} is not a whole number from {least} to {most}.", advice="Write it like "
            f"{what} {min(max(60, least), most)}."
        )  # fmt: skip
    return int(text)


def _add_output(parser: Parser, usual: str = "this one") -> None:
    parser.add_argument("-o", "--output", metavar="DIR", help=f"the folder to write into (default: {usual})")
    parser.add_argument("--overwrite", action="store_true", help="replace files of the same name")


def _add_strip(parser: Parser) -> None:
    parser.add_argument(
        "action", metavar="print|read|note", help="write the strip, read a photo of it, note what you see"
    )
    parser.add_argument("picture", metavar="PICTURE", nargs="?", help="read: a photo or scan of the pressed strip")
    parser.add_argument("--reference", metavar="PICTURE", help="read: the same strip on paper, photographed alike")
    parser.add_argument("--scanned", metavar="DPI", help="read: the scanner's dots an inch; tells the print's scale")
    parser.add_argument("--ruler", metavar="100mm=99.4mm,60mm=59.8mm", help="read: what a ruler says of both rulers")
    parser.add_argument("--gap-along", metavar="LENGTH", help="note: narrowest open gap in the row along the grain")
    parser.add_argument("--gap-across", metavar="LENGTH", help="note: narrowest open gap in the column across it")
    parser.add_argument("--line", metavar="LENGTH", help="note: thinnest line as dark as the squares")
    parser.add_argument("--surface", metavar="NAME", help="what it was pressed on (default: your usual surface)")
    parser.add_argument("--save", metavar="NAME", help="keep it as a surface in sapwood.toml")
    parser.add_argument("--json", action="store_true", help="the whole reading as JSON on stdout")
    _add_output(parser)
    add_strip_paper(parser)


def _add_batch(parser: Parser) -> None:
    parser.add_argument("orders", metavar="ORDERS", help="the order list: CSV, .xlsx or .ods; - reads standard input")
    _add_output(parser, "the list's name and -signs")
    add_batch_options(parser)
    add_list_paper(parser)
    add_pages(parser, "pages with it: approval of each sign, card, template and hanging of each kind; or all")


def _add_sign_options(parser: Parser) -> None:
    groups = {}
    for option in OPTIONS:
        if option.group not in groups:
            groups[option.group] = parser.add_argument_group(option.group)
        _add_sign_option(groups[option.group], option)


def _add_sign_option(group: argparse._ArgumentGroup, option: SignOption) -> None:
    shown = f"{option.help} ({option.default})".replace("%", "%%")
    if option.is_switch:
        group.add_argument(f"--{option.name}", dest=option.key, action="store_const", const="yes", help=shown)
        group.add_argument(
            f"--no-{option.name}",
            dest=option.key,
            action="store_const",
            const="no",
            help="refuse those letters instead",
        )
        return
    metavar = "|".join(option.choices) or option.metavar
    action = "append" if option.repeatable else "store"
    group.add_argument(f"--{option.name}", dest=option.key, metavar=metavar, action=action, help=shown)
