r"""True pictures in a terminal, byte by byte.

What is asked and shown is held to the published terminal graphics protocol (APC G): the question with a=q and an answer
`ESC _ G i=…;OK ESC \\`, the request for device attributes behind it, pictures of 24 bits deflated (f=24, o=z) in
base64, in chunks of at most 4096 characters, m=1 in all but the last.
"""

from __future__ import annotations

import base64
import os
import re
import threading
import zlib

import numpy as np
import pytest

from studio.terminal.graphics import QUESTION, REMOVED, ask, is_answered, may_be_asked, shown, typed_meanwhile

YES = b"\x1b_Gi=31;OK\x1b\\"
DA1 = b"\x1b[?62;4;22c"


def test_the_question_can_be_answered_by_every_terminal() -> None:
    """A query for one pixel, then the request for device attributes."""
    assert QUESTION == "\x1b_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[c"
    assert base64.b64decode("AAAA") == b"\0\0\0"


@pytest.mark.parametrize(
    ("reply", "wanted"),
    [
        (b"", None),
        (YES, None),
        (YES + DA1[:-1], None),
        (YES + DA1, True),
        (DA1, False),
        (b"\x1b_Gi=31;ENOTSUPPORTED:no\x1b\\" + DA1, False),
        (b"ab" + YES + b"c" + DA1, True),
    ],
)
def test_answers(reply: bytes, wanted: bool | None) -> None:
    """Only an OK to our own question counts, and nothing is known before the attributes have come."""
    assert is_answered(reply) is wanted


def test_letters_typed_meanwhile_are_kept() -> None:
    """Of what came while it was asked, letters are handed back; answers, arrow keys and Enter are not."""
    assert typed_meanwhile(b"Qu" + YES + "ï".encode() + DA1 + b"\x1b[A\x1bOPl l\r") == "Quïl l"


@pytest.mark.parametrize(("reply", "wanted"), [(b"Z" + YES + DA1, (True, "Z")), (DA1, (False, "")), (b"", (False, ""))])
def test_a_terminal_is_asked(reply: bytes, wanted: tuple[bool, str]) -> None:
    """A terminal that answers, one that shows no pictures, and one that says nothing at all; its settings come back."""
    termios = pytest.importorskip("termios")
    pty = pytest.importorskip("pty")
    outside, inside = pty.openpty()
    try:
        before = termios.tcgetattr(inside)
        sent: list[str] = []

        def write(text: str) -> None:
            sent.append(text)
            if reply:
                threading.Timer(0.02, os.write, (outside, reply)).start()

        assert ask(write, inside, wait_s=5.0 if reply else 0.05) == wanted
        assert sent == [QUESTION]
        assert termios.tcgetattr(inside) == before
    finally:
        os.close(outside)
        os.close(inside)


def test_a_picture_comes_back_whole() -> None:
    """The commands of a picture, put together as a terminal does, hold its very pixels, size and place."""
    pixels = np.random.default_rng(3).integers(0, 256, (60, 50, 3), np.uint8)
    text = shown(pixels, 4, 2, 5, 3)
    assert text.startswith("\x1b7\x1b[3;5H") and text.endswith("\x1b8")
    commands = re.findall("\x1b_G([^;]*);([^\x1b]*)\x1b\\\\", text)
    assert len(commands) > 1 and all(len(data) <= 4096 for _, data in commands)
    keys = dict(part.split("=") for part in commands[0][0].split(","))
    assert (keys["a"], keys["f"], keys["o"], keys["t"]) == ("T", "24", "z", "d")
    assert (keys["s"], keys["v"], keys["c"], keys["r"], keys["C"], keys["q"]) == ("50", "60", "5", "3", "1", "2")
    assert [re.search("m=([01])", head).group(1) for head, _ in commands] == ["1"] * (len(commands) - 1) + ["0"]  # type: ignore[union-attr]
    assert zlib.decompress(base64.b64decode("".join(data for _, data in commands))) == pixels.tobytes()
    assert REMOVED == "\x1b_Ga=d,d=I,i=31,q=2\x1b\\" and keys["i"] == "31"


@pytest.mark.parametrize("name", ["TMUX", "STY", "NO_COLOR"])
def test_where_nothing_is_asked(name: str) -> None:
    """Inside a multiplexer, and where no colours are wanted, the terminal is left alone."""
    assert may_be_asked({"TERM": "xterm"})
    assert not may_be_asked({"TERM": "xterm", name: "1"})
