"""An order list read for a command: shown as what it was taken for, with a question for everything that is a guess.

Where nobody can be asked the command stops, and says what to type.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Final

from studio.basics.errors import OrderError, SettingsError
from studio.cli.diagnostics import say
from studio.model.options import option_keys
from studio.orders.order_list import LARGEST_BYTES, OrderList, list_bytes, read_orders, within_bounds
from studio.orders.taken_for import Doubt
from studio.orders.told import KnownList, ListWishes, parse_columns, parse_delimiter, parse_header
from studio.production.list_settings import keep_list, known_lists, named_list
from studio.storage.workspace import Shop

_MOST_ROUNDS: Final = 12
_MOST_ANSWERS: Final = 6


def read_list(arguments: argparse.Namespace, shop: Shop) -> OrderList:
    """Return the orders of the list that a command names, with no guess left in how it was read.

    Raises:
        OrderError: It cannot be read, or something is a guess and nobody is there to ask.
        SettingsError: What was said of it makes no sense.
    """
    known = known_lists(shop.settings)
    told = _told(arguments, known)
    data = _stdin() if arguments.orders == "-" else list_bytes(Path(arguments.orders).expanduser())
    orders = _read(data, told, known)
    for _ in range(_MOST_ROUNDS):
        if not orders.doubts or not _can_ask(arguments):
            break
        _show(orders)
        told = _asked(orders.doubts[0]).over(told)
        orders = _read(data, told, known)
    if orders.doubts:
        _show(orders)
        raise _stopped(orders, arguments)
    _show(orders)
    name = arguments.keep_list or (_asked_for_name(orders) if _was_asked(arguments, told, known) else "")
    if name:
        say(f"Kept as [lists.{name}] in {keep_list(name, told, orders.taken_for.headers)}.")
    return orders


def _told(arguments: argparse.Namespace, known: tuple[KnownList, ...]) -> ListWishes:
    """Return what the command line says of the list."""
    told = parse_columns(arguments.columns, option_keys()) if arguments.columns else ListWishes()
    told = replace(
        told,
        header=None if arguments.header is None else parse_header(arguments.header),
        delimiter=None if arguments.delimiter is None else parse_delimiter(arguments.delimiter),
        encoding=arguments.encoding,
        sheet=arguments.sheet,
    )
    return told.over(named_list(arguments.list_name, known)) if arguments.list_name else told


def _read(data: bytes, told: ListWishes, known: tuple[KnownList, ...]) -> OrderList:
    return read_orders(data, option_names=option_keys(), told=told, known_lists=known)


def _stdin() -> bytes:
    return within_bounds(sys.stdin.buffer.read(LARGEST_BYTES + 1))


def _show(orders: OrderList) -> None:
    for line in orders.taken_for.table():
        say(line)
    for remark in orders.remarks:
        say(f"note: {remark}")


def _can_ask(arguments: argparse.Namespace) -> bool:
    try:
        return arguments.orders != "-" and sys.stdin.isatty() and sys.stderr.isatty()
    except (AttributeError, ValueError):
        return False


def _was_asked(arguments: argparse.Namespace, told: ListWishes, known: tuple[KnownList, ...]) -> bool:
    return _can_ask(arguments) and told != _told(arguments, known)


def _asked(doubt: Doubt) -> ListWishes:
    """Ask one question on the terminal and return what its answer says of the list."""
    say()
    say(doubt.message)
    for number, answer in enumerate(doubt.answers, 1):
        say(f"  {number}  {answer.words}")
    more = ", or the name of an encoding" if doubt.about == "encoding" else ""
    while True:
        typed = _line(f"Type a number{more}; Enter takes 1, q stops: ")
        if typed == "":
            return doubt.answers[0].told
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(doubt.answers):
            return doubt.answers[int(typed) - 1].told
        if typed.lower() in ("q", "quit"):
            raise OrderError("Stopped; nothing was made.", advice="Start again, or say what the list is: see --help.")
        if doubt.about == "encoding" and not typed.isdigit():
            return ListWishes(encoding=typed)
        say(f"There is no {typed[:20]!r} among them.")


def _asked_for_name(orders: OrderList) -> str:
    if not orders.taken_for.headers:
        return ""
    return _line("Keep these answers for lists with the same headers? Type a name for them; Enter goes on without: ")


def _line(prompt: str) -> str:
    try:
        sys.stderr.write(prompt)
        sys.stderr.flush()
        typed = sys.stdin.readline()
    except (OSError, ValueError) as problem:
        raise SettingsError("The terminal cannot be read.", advice="Say what the list is by options.") from problem
    if not typed:
        raise OrderError("Stopped; nothing was made.", advice="Start again, or say what the list is: see --help.")
    return typed.strip()


def _stopped(orders: OrderList, arguments: argparse.Namespace) -> OrderError:
    """Return what to say where a guess would have to be made: each, with the ways to settle it."""
    count = len(orders.doubts)
    lines = [f"{'One thing' if count == 1 else f'{count} things'} about the list would be a guess, so nothing is made."]
    for number, doubt in enumerate(orders.doubts, 1):
        lines.append(f"  {number}. {doubt.message}")
        lines += [f"       {answer.told.as_options()}   ({answer.words})" for answer in doubt.answers[:_MOST_ANSWERS]]
    where = "-" if arguments.orders == "-" else arguments.orders
    advice = f"If the first of each is right: sapwood batch {where} {orders.taken_for.to_type()}"
    keep = " and --keep-list NAME remembers it" if orders.taken_for.headers else ""
    return OrderError("\n".join(lines), advice=f"{advice}{keep}.")
