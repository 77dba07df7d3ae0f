"""True pictures in a terminal, by the terminal graphics protocol (APC G): the bytes that ask, show and remove.

The protocol is published by the kitty terminal ("Terminal graphics protocol"); keys and values here are its own. A
terminal is asked in a way that each can answer: behind the question stands the request for device attributes (DA1 of
ECMA-48 terminals), which all answer; one that answers only the latter shows no pictures.

Invariant: letters typed while a terminal is asked are handed back; its answers are never taken for letters.
"""

from __future__ import annotations

import base64
import os
import re
import select
import time
import zlib
from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.terminal.capabilities import is_colourless

IMAGE: Final = 31
"""Our picture's number; there is never more than one."""
QUESTION: Final = f"\x1b_Gi={IMAGE},s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[c"
REMOVED: Final = f"\x1b_Ga=d,d=I,i={IMAGE},q=2\x1b\\"
_YES: Final = f"\x1b_Gi={IMAGE};OK\x1b\\".encode()
_NOT_TYPED: Final = re.compile(rb"\x1b_G[^\x1b]*\x1b\\|\x1b[\[O][0-9;?]*[A-Za-z~]")
_CHUNK: Final = 4096
"""Most characters of a picture in one command, as the protocol says."""
LONGEST_WAIT_S: Final = 2.0


def may_be_asked(environment: Mapping[str, str]) -> bool:
    """Return whether asking makes sense: not inside a multiplexer, which hides the terminal, nor without colours."""
    return not (environment.get("TMUX") or environment.get("STY") or is_colourless(environment))


def is_answered(reply: bytes) -> bool | None:
    """Return whether a reply says that pictures are shown; `None` while the end of it has not come."""
    start = reply.rfind(b"\x1b[?")
    if start < 0 or b"c" not in reply[start:]:
        return None
    return _YES in reply


def typed_meanwhile(reply: bytes) -> str:
    """Return the letters that were typed while a terminal was asked; its answers and keys that type nothing are not."""
    rest = _NOT_TYPED.sub(b"", reply).decode("utf-8", "ignore")
    return "".join(letter for letter in rest if letter.isprintable())


def ask(write: Callable[[str], object], keys: int, *, wait_s: float = LONGEST_WAIT_S) -> tuple[bool, str]:
    """Ask a terminal whether it shows pictures; return that, and what was typed meanwhile.

    Nobody else may read its keys until then.

    Args:
        write: Sends text to the terminal at once.
        keys: File descriptor that its answers come from.
        wait_s: How long one that answers nothing is waited for.
    """
    import termios
    import tty

    before = termios.tcgetattr(keys)
    try:
        tty.setcbreak(keys, termios.TCSANOW)
        write(QUESTION)
        reply, until_s = b"", time.monotonic() + wait_s
        while is_answered(reply) is None and (left_s := until_s - time.monotonic()) > 0:
            if select.select([keys], [], [], left_s)[0]:
                reply += os.read(keys, 4096)
        return bool(is_answered(reply)), typed_meanwhile(reply)
    finally:
        termios.tcsetattr(keys, termios.TCSANOW, before)


def shown(pixels: NDArray[np.uint8], column: int, row: int, columns: int, rows: int) -> str:
    """Return what shows a picture over cells; the cursor stays where it was, and nothing is answered.

    Args:
        pixels: sRGB, shape (height, width, 3); the terminal scales it to the cells.
        column: Leftmost cell, from 0.
        row: Uppermost cell, from 0.
        columns: Cells across.
        rows: Cells down.
    """
    height, width = pixels.shape[:2]
    packed = base64.standard_b64encode(zlib.compress(np.ascontiguousarray(pixels).tobytes(), 1)).decode("ascii")
    chunks = [packed[start : start + _CHUNK] for start in range(0, len(packed), _CHUNK)]
    keys = f"a=T,f=24,o=z,t=d,s={width},v={height},i={IMAGE},p=1,c={columns},r={rows},C=1,q=2"
    parts = []
    for number, chunk in enumerate(chunks):
        more = f"m={int(number < len(chunks) - 1)}"
        parts.append(f"\x1b_G{f'{keys},{more}' if number == 0 else f'{more},q=2'};{chunk}\x1b\\")
    return f"\x1b7\x1b[{row + 1};{column + 1}H{''.join(parts)}\x1b8"
