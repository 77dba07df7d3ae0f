"""Bytes that were damaged or made up: a sentence every time, never a traceback, a hang, or all of the memory.

`SAPWOOD_FUZZ=5000 pytest -s tests/properties/test_fuzz_files.py` tries so many of each kind; the usual run tries few.
"""

from __future__ import annotations

import contextlib
import io
import os
import resource
import struct
import time
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image

from studio.basics.errors import StudioError
from studio.model.options import option_keys
from studio.orders.order_list import read_orders
from studio.storage.pictures import read_pixels
from studio.text.font import open_face
from studio.text.shaping import shape_line

ROOT = Path(__file__).parents[2]
EXAMPLES = int(os.environ.get("SAPWOOD_FUZZ", "150"))
LONGEST_S = 5.0
MOST_MB = 500
"""Most that one file may take beyond what the process held before it was opened."""
COUNTS: Counter[str] = Counter()
LIST = '\ufefforder;name;qty;face;note\r\nP-1;"Zoë ""Z""";2;Lobster;"a\r\nb"\r\nP-2;Тома;1;;\r\n'.encode()
FONTS = ("Yellowtail/Yellowtail-Regular.ttf", "Righteous/Righteous-Regular.ttf", "Nunito/Nunito[wght].ttf")
FONT_FILES = tuple((ROOT / "fonts" / name).read_bytes() for name in FONTS)
fuzzed = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), database=None)


class Damaged(bytes):
    """A file's bytes that do not fill the screen when told."""

    def __repr__(self) -> str:
        return f"{len(self)} bytes, {zlib.crc32(self):08x}"


def small_picture(kind: str = "PNG", mode: str = "RGBA") -> bytes:
    """Return a small good picture."""
    stream = io.BytesIO()
    Image.linear_gradient("L").resize((40, 30)).convert(mode).save(stream, kind, dpi=(300, 300))
    return stream.getvalue()


PICTURES = (small_picture(), small_picture(mode="P"), small_picture("JPEG", "RGB"), small_picture(mode="LA"))


@st.composite
def damaged(draw: st.DrawFn, originals: tuple[bytes, ...]) -> bytes:
    """Draw a good file with a few changes: bytes set, pieces cut out, doubled or put in, the end missing."""
    data = bytearray(draw(st.sampled_from(originals)))
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, max(len(data) - 1, 0)))
        length = draw(st.integers(1, 40))
        match draw(st.sampled_from(("set", "cut", "double", "insert", "end"))):
            case "set":
                data[at : at + 4] = draw(
                    st.sampled_from((b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\x80"))
                )
            case "cut":
                del data[at : at + length]
            case "double":
                data[at:at] = data[at : at + length]
            case "insert":
                data[at:at] = draw(st.binary(max_size=40))
            case _:
                del data[max(at, 8) :]
    return Damaged(data)


@st.composite
def scratched(draw: st.DrawFn, originals: tuple[bytes, ...]) -> bytes:
    """Draw a good file of the same length with single bytes changed, which gets further in than larger damage."""
    data = bytearray(draw(st.sampled_from(originals)))
    for _ in range(draw(st.integers(1, 12))):
        data[draw(st.integers(4, len(data) - 1))] = draw(st.integers(0, 255))
    return Damaged(data)


def with_right_sums(data: bytes) -> bytes:
    """Return a PNG whose chunks' checksums were set right, as far as it has chunks, so that damage gets further in."""
    out, at = bytearray(data[:8]), 8
    while at + 12 <= len(data):
        length = struct.unpack_from(">I", data, at)[0]
        if at + 12 + length > len(data):
            break
        body = data[at + 4 : at + 8 + length]
        out += data[at : at + 4] + body + struct.pack(">I", zlib.crc32(body))
        at += 12 + length
    return bytes(out + data[at:])


def tried(kind: str, task: Callable[[], object]) -> None:
    """Run a task that may complain as the program does, and in no other way; within time and memory."""
    began, held_mb = time.monotonic(), fresh_peak_mb()
    try:
        task()
        COUNTS[f"{kind}: read"] += 1
    except StudioError as error:
        assert error.message and "Traceback" not in error.message
        COUNTS[f"{kind}: refused with a sentence"] += 1
    assert time.monotonic() - began < LONGEST_S
    assert peak_mb() - held_mb < MOST_MB


def fresh_peak_mb() -> float:
    """Set the process's peak of memory back to what it holds now, where the system can, and return it."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")
    return peak_mb()


def peak_mb() -> float:
    """Return the process's peak of memory since it was set back."""
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return next(int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM:"))


def test_the_bound_of_memory_can_fail() -> None:
    """A task that takes more than the bound is caught, however much the process held before."""
    bound = MOST_MB * 1_000_000
    with pytest.raises(AssertionError):
        tried("memory", lambda: len(b"x" * (bound + bound // 2)))
    tried("memory", lambda: len(b"x" * (bound // 4)))
    COUNTS.pop("memory: read")


@pytest.fixture(scope="module", autouse=True)
def told() -> Iterator[None]:
    """Print the counts at the end."""
    yield
    print("\n" + "\n".join(f"{count:>7} {what}" for what, count in sorted(COUNTS.items())))


@fuzzed
@given(st.one_of(damaged((LIST, LIST.decode().encode("utf-16"))), st.binary(max_size=400)))
@example(b"\0" * 1000)
@example(b'name\n"' + b"x" * 3_000_000)
@example(b"a,b\n" + b'"' * 100_001)
@example(b"," * 200_000 + b"\n")
@example(b"name\n" + b"\n" * 500_000)
def test_order_lists(data: bytes) -> None:
    """Damaged and made-up lists are read, or refused with a sentence; every row has a number and faults in words."""

    def read() -> None:
        orders = read_orders(data, option_names=option_keys())
        assert [row.row for row in orders.rows] == list(range(1, len(orders.rows) + 1))

    tried("lists", read)


def bomb(width_px: int, height_px: int) -> bytes:
    """Return a small PNG that unpacks to a huge one."""
    picture = small_picture(mode="L")
    header = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    start = picture.index(b"IHDR") + 4
    return with_right_sums(picture[:start] + header + picture[start + 13 :])


def text_bomb() -> bytes:
    """Return a PNG with a compressed text chunk of 300 MB."""
    picture = small_picture()
    body = b"zTXtComment\0\0" + zlib.compress(bytes(300_000_000), 9)
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return picture[:33] + chunk + picture[33:]


@fuzzed
@given(st.one_of(damaged(PICTURES), scratched(PICTURES)), st.booleans())
@example(bomb(60_000, 60_000), False)
@example(bomb(2**31 - 1, 1), False)
@example(text_bomb(), False)
def test_pictures(tmp_path_factory: pytest.TempPathFactory, data: bytes, mended: bool) -> None:
    """Damaged pictures and ones that unpack to far more than they are, are read or refused with a sentence."""
    file = tmp_path_factory.getbasetemp() / "fuzzed.png"
    file.write_bytes(with_right_sums(data) if mended and data[:4] == b"\x89PNG" else data)
    tried("pictures", lambda: read_pixels(file))


@fuzzed
@given(st.one_of(damaged(FONT_FILES), scratched(FONT_FILES)))
@example(b"\0\1\0\0" + b"\xff" * 400)
@example(b"ttcf" + b"\xff" * 400)
def test_fonts(data: bytes) -> None:
    """Damaged fonts are opened and set a name, or are refused with a sentence."""

    def set_name() -> None:
        face = open_face(bytes(bytearray(data)), name="fuzzed")
        shape_line("Zoë & Ida fi", face)

    tried("fonts", set_name)
