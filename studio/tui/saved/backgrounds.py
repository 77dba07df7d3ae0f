"""What artwork and blank came to, kept from one start to the next: the map of free room, and the picture in small.

Invariant: what is kept is used only for the same file, the same measures and the same program, and only when it is
whole; whatever is wrong with it, it is worked out anew as if nothing had been kept.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from studio.errors import StudioError
from studio.layout.distance_grid import Field, grid_over
from studio.layout.open_area import OpenArea, stated_box
from studio.model.sign import Sign
from studio.pipeline.cache import Assets, area_key, render_cache_of
from studio.render.proof import ProofBase, proof_base_key, proof_window
from studio.storage.atomic_write import write_whole
from studio.storage.paths import state_folder
from studio.tui.saved.stamps import program_stamp

SMALL_PX: Final = 300
"""The size of the picture that is kept: that of the first preview, and that which colours are compared at."""
MOST_KEPT: Final = 4
_SCHEMA: Final = 2
_LARGEST_BYTES: Final = 50_000_000
_HEAD_BYTES: Final = 4


def kept_file(sign: Sign) -> Path:
    """Return where the ground of a sign is kept, by all that it depends on."""
    source = Path(sign.artwork.artwork.source) if sign.artwork is not None else None
    stamp = (source.stat().st_mtime_ns, source.stat().st_size) if source is not None else ()
    what = repr((_SCHEMA, program_stamp(), area_key(sign), proof_base_key(sign), SMALL_PX, str(source), stamp))
    return state_folder() / "grounds" / f"{hashlib.sha256(what.encode()).hexdigest()[:32]}.bin"


def lay_out(sign: Sign, assets: Assets) -> bool:
    """Put what was kept of a sign's ground on the bench's shelf; tell whether there was anything."""
    render_cache = render_cache_of(assets)
    if sign.artwork is None or area_key(sign) in render_cache.areas:
        return False
    try:
        arrays, is_on_picture = _read(kept_file(sign))
        area, base = _area(sign, arrays, is_on_picture=is_on_picture), _base(sign, arrays)
    except (OSError, ValueError, KeyError, TypeError):
        return False
    render_cache.areas[area_key(sign)] = area
    render_cache.proofs[proof_base_key(sign), SMALL_PX] = base
    return True


def keep(sign: Sign, assets: Assets) -> None:
    """Keep a sign's ground for next time, as far as it was worked out; what cannot be written is let go."""
    render_cache = render_cache_of(assets)
    area, base = render_cache.areas.get(area_key(sign)), render_cache.proofs.get((proof_base_key(sign), SMALL_PX))
    if sign.artwork is None or area is None or base is None:
        return
    with contextlib.suppress(OSError, StudioError):
        file = kept_file(sign)
        if not file.is_file():
            file.parent.mkdir(parents=True, exist_ok=True)
            write_whole(file, _packed(area, base), overwrite=True, durable=False)
            _let_go(file.parent)


def _let_go(folder: Path) -> None:
    """Leave the newest few."""
    files = sorted(folder.glob("*.bin"), key=lambda file: file.stat().st_mtime_ns)
    for file in files[:-MOST_KEPT]:
        file.unlink(missing_ok=True)


def _packed(area: OpenArea, base: ProofBase) -> bytes:
    arrays: dict[str, NDArray[Any]] = {"ground": base.ground, "share": base.share, "pressed": base.pressed}
    arrays |= {
        name: field.values
        for name, field in (("picture", area.picture), ("approximate", area.approximate), ("dense", area.dense))
        if field is not None
    }
    body = b"".join(np.ascontiguousarray(array).tobytes() for array in arrays.values())
    head = {
        "on_picture": area.on_picture,
        "crc": zlib.crc32(body),
        "arrays": {name: [array.dtype.str, *array.shape] for name, array in arrays.items()},
    }
    told = json.dumps(head).encode()
    return len(told).to_bytes(_HEAD_BYTES, "little") + told + body


def _read(file: Path) -> tuple[dict[str, NDArray[Any]], bool]:
    """Return the arrays of a kept file; ValueError, KeyError or TypeError when it is not whole."""
    if file.stat().st_size > _LARGEST_BYTES:
        raise ValueError
    data = file.read_bytes()
    start = _HEAD_BYTES + int.from_bytes(data[:_HEAD_BYTES], "little")
    head = json.loads(data[_HEAD_BYTES:start])
    if zlib.crc32(data[start:]) != head["crc"]:
        raise ValueError
    arrays = {}
    for name, (kind, *shape) in head["arrays"].items():
        count = int(np.prod(shape))
        arrays[name] = np.frombuffer(data, np.dtype(kind), count, start).reshape(shape)
        start += arrays[name].nbytes
    return arrays, bool(head["on_picture"])


def _area(sign: Sign, arrays: dict[str, NDArray[Any]], *, is_on_picture: bool) -> OpenArea:
    grid = grid_over(sign.blank)
    held = {}
    for name in ("picture", "approximate", "dense"):
        if name in arrays:
            if arrays[name].shape != (grid.rows, grid.columns):
                raise ValueError
            held[name] = Field(grid, arrays[name])
    assert sign.artwork is not None
    area = OpenArea(sign.blank, sign.safe_margin_mm, box=stated_box(sign.artwork, sign.blank, sign.bleed_mm))
    return replace(area, on_picture=is_on_picture, **held)


def _base(sign: Sign, arrays: dict[str, NDArray[Any]]) -> ProofBase:
    window = proof_window(sign, SMALL_PX)
    size = (window.height_px, window.width_px)
    ground, share, pressed = (arrays[name] for name in ("ground", "share", "pressed"))
    if ground.shape != (*size, 3) or share.shape != size or pressed.shape != (*size, 4):
        raise ValueError
    return ProofBase(sign.blank, window, sign.surface, ground, share, pressed)
