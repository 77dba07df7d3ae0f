"""A press, a piece of wood and a camera, simulated, to judge the reader of the test strip by.

Written apart from the reader and from the strip's own modules: it knows nothing but the print file, which it presses as
a maker would. Its own rendering, spread, grain, perspective, lens, light, noise and JPEG; nothing is shared.

Stages: print (PNG, mirrored) -> flipped -> dye amounts -> fibre-ragged, spread -> light on grained wood -> camera.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image
from scipy import ndimage

FINE_PX_PER_MM = 24.0
MARGIN_MM = 14.0


@dataclass(frozen=True)
class Press:
    """What the press and the wood do."""

    along_mm: float = 0.35
    across_mm: float = 0.25
    mixing: str = "dye"
    density: float = 1.1
    wood: str = "maple"
    texture: float = 0.03
    ragged_mm: float = 0.0
    grown_mm: float = 0.0
    mirrored_by_mistake: bool = False
    covered: tuple[tuple[float, float, float], ...] = ()
    """Coins lying on the strip: x, y, radius in mm, y up, as read."""


@dataclass(frozen=True)
class Camera:
    """What the camera does."""

    px_per_mm: float = 20.0
    turn_deg: float = 0.0
    tilt_deg: float = 0.0
    tilt_towards_deg: float = 0.0
    lens: float = 0.0
    light: float = 0.0
    light_towards_deg: float = 0.0
    vignette: float = 0.0
    warm: float = 0.0
    exposure: float = 0.85
    blur_px: float = 0.8
    noise: float = 0.0
    jpeg: int | None = None
    room: float = 1.08
    """How much wider than the strip the picture is."""
    shift_px: tuple[float, float] = (0.0, 0.0)
    sharpened: float = 0.0
    table: str = "grey"
    """What lies around the wood: grey, white, dark or checks."""
    shadow: float = 0.0
    """How much light a shadow over half the picture takes."""
    glare: float = 0.0


WOODS = {
    "bare": (0.72, 0.53, 0.33),
    "maple": (0.80, 0.64, 0.46),
    "painted": (0.91, 0.89, 0.82),
    "factory": (0.95, 0.95, 0.93),
    "film": (0.86, 0.77, 0.61),
}


def linear(codes: np.ndarray) -> np.ndarray:
    """SRGB to light, by the formula of IEC 61966-2-1."""
    share = np.asarray(codes, np.float32) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4).astype(np.float32)


def encoded(light: np.ndarray) -> np.ndarray:
    """Light to sRGB codes, as floats."""
    share = np.clip(light, 0, 1)
    return 255 * np.where(share <= 0.0031308, share * 12.92, 1.055 * share ** (1 / 2.4) - 0.055)


def grain(shape: tuple[int, int], px_per_mm: float, rng: np.random.Generator) -> np.ndarray:
    """Tone of wood, mean 0 and standard deviation 1: long fibres along x, growth rings, broad bands."""
    rows, columns = shape
    fibre = ndimage.gaussian_filter(rng.standard_normal(shape, np.float32), (0.12 * px_per_mm, 3.0 * px_per_mm))
    y = np.arange(rows)[:, None] / px_per_mm
    drift = ndimage.gaussian_filter1d(rng.standard_normal(columns), 25 * px_per_mm)
    drift = drift / max(drift.std(), 1e-9)
    rings = np.sin(2 * math.pi * (y + 1.2 * drift[None, :]) / rng.uniform(3, 8) + rng.uniform(0, 6)) ** 3
    band = ndimage.gaussian_filter(rng.standard_normal((rows // 8 + 1, columns // 8 + 1)), (px_per_mm, 6 * px_per_mm))
    band = np.kron(band, np.ones((8, 8)))[:rows, :columns]
    tone = fibre / fibre.std() + 0.7 * rings / rings.std() + 0.5 * band / band.std()
    return (tone / tone.std()).astype(np.float32)


def pressed(png: bytes, press: Press, seed: int) -> np.ndarray:
    """Light of the pressed strip with wood around it, shape (rows, columns, 3), y down, at FINE_PX_PER_MM."""
    rng = np.random.default_rng(seed)
    image = Image.open(io.BytesIO(png)).convert("RGB")
    width = round(120 * FINE_PX_PER_MM)
    height = round(70 * FINE_PX_PER_MM)
    printed = linear(np.asarray(image))
    if not press.mirrored_by_mistake:
        printed = printed[:, ::-1]
    light = np.stack(
        [
            np.asarray(
                Image.fromarray(np.ascontiguousarray(printed[..., c])).resize((width, height), Image.Resampling.BOX)
            )
            for c in range(3)
        ],
        axis=-1,
    )
    margin = round(MARGIN_MM * FINE_PX_PER_MM)
    light = np.pad(light, ((margin, margin), (margin, margin), (0, 0)), constant_values=1.0)
    if press.grown_mm:
        radius = press.grown_mm * FINE_PX_PER_MM
        inside = ndimage.distance_transform_edt(light.mean(-1) > 0.5)
        grow = np.clip(radius + 1.0 - inside, 0, 1)[..., None]
        light = light * (1 - grow * (light.mean(-1, keepdims=True) > 0.5))
    if press.ragged_mm:
        ragged = [
            ndimage.gaussian_filter(
                rng.standard_normal(light.shape[:2], np.float32), (0.3 * FINE_PX_PER_MM, 0.6 * FINE_PX_PER_MM)
            )
            for _ in range(2)
        ]
        row, column = np.mgrid[: light.shape[0], : light.shape[1]].astype(np.float32)
        row += press.ragged_mm * FINE_PX_PER_MM * ragged[0] / ragged[0].std()
        column += press.ragged_mm * FINE_PX_PER_MM * ragged[1] / ragged[1].std()
        light = np.stack(
            [ndimage.map_coordinates(light[..., c], (row, column), order=1, mode="nearest") for c in range(3)], -1
        )
    solid = 10**-press.density
    # drawing on the fine grid (1/12 px2) and sampling it linearly (1/6 px2) blur by themselves: that is taken off, so
    # that the spread that comes out is the one that was asked for
    across_px, along_px = press.across_mm * FINE_PX_PER_MM, press.along_mm * FINE_PX_PER_MM
    sigma = (math.sqrt(max(across_px**2 - 0.25, 0.0)), math.sqrt(max(along_px**2 - 0.25, 0.0)))
    if press.mixing == "dye":
        amount = -np.log10(solid + (1 - solid) * light) / press.density
        for c in range(3):
            amount[..., c] = ndimage.gaussian_filter(amount[..., c], sigma)
        left = 10 ** (-press.density * amount)
    else:
        left = np.empty_like(light)
        for c in range(3):
            left[..., c] = solid + (1 - solid) * ndimage.gaussian_filter(light[..., c], sigma)
    half = grain((-(-light.shape[0] // 2), -(-light.shape[1] // 2)), FINE_PX_PER_MM / 2, rng)
    tone = press.texture * ndimage.zoom(half, 2, order=1, grid_mode=True, mode="nearest")
    tone = tone[: light.shape[0], : light.shape[1]]
    bare = np.array(WOODS[press.wood], np.float32) * np.exp(-tone[..., None] * np.array((0.72, 1.0, 1.45), np.float32))
    seen = bare * left
    y, x = np.mgrid[: seen.shape[0], : seen.shape[1]]
    for cx, cy, radius in press.covered:
        px = margin + (cx + 60) * FINE_PX_PER_MM
        py = margin + (35 - cy) * FINE_PX_PER_MM
        coin = np.hypot(x - px, y - py) < radius * FINE_PX_PER_MM
        seen[coin] = (0.35, 0.36, 0.38)
    return seen.astype(np.float32)


def photographed(scene: np.ndarray, camera: Camera, seed: int) -> np.ndarray:
    """The codes a camera makes of a scene, shape (rows, columns, 3)."""
    rng = np.random.default_rng(seed + 7)
    turn, tilt, towards = (math.radians(v) for v in (camera.turn_deg, camera.tilt_deg, camera.tilt_towards_deg))
    far_mm = 320.0

    def projected(points: np.ndarray) -> np.ndarray:
        """Strip mm, y up, to pixels about the picture's middle, rows down."""
        x, y = points[:, 0], points[:, 1]
        u, v = x * math.cos(towards) + y * math.sin(towards), -x * math.sin(towards) + y * math.cos(towards)
        depth = far_mm + u * math.sin(tilt)
        u, v = u * math.cos(tilt) * far_mm / depth, v * far_mm / depth
        x, y = u * math.cos(towards) - v * math.sin(towards), u * math.sin(towards) + v * math.cos(towards)
        x, y = x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
        return np.column_stack((x * camera.px_per_mm, -y * camera.px_per_mm))

    corners = projected(np.array([(-60, -35), (60, -35), (60, 35), (-60, 35)], float))
    size = np.ceil((corners.max(0) - corners.min(0)) * camera.room).astype(int)
    middle = -corners.min(0) + (size - (corners.max(0) - corners.min(0))) / 2 + np.array(camera.shift_px)
    # the way back from pixels to mm, by the homography of four points
    source = np.array([(-50, -30), (50, -30), (50, 30), (-50, 30)], float)
    target = projected(source)
    rows = []
    for (a, b), (p, q) in zip(target, source, strict=True):
        rows += [[a, b, 1, 0, 0, 0, -p * a, -p * b, -p], [0, 0, 0, a, b, 1, -q * a, -q * b, -q]]
    back = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    reach = float(np.hypot(*size)) / 2
    over = 1  # one sample a pixel; the pixel's own width joins the lens's blur below
    out = np.empty((size[1], size[0], 3), np.float32)
    band = 256
    filtered = scene
    step = FINE_PX_PER_MM / camera.px_per_mm / over
    if step > 1.2:
        filtered = np.stack([ndimage.gaussian_filter(scene[..., c], 0.35 * step) for c in range(3)], -1)
    for top in range(0, size[1], band):
        stop = min(top + band, size[1])
        row, column = np.mgrid[top * over : stop * over, 0 : size[0] * over].astype(np.float32)
        px, py = (column + 0.5) / over, (row + 0.5) / over
        dx, dy = px - size[0] / 2, py - size[1] / 2
        bend = 1 - camera.lens * (dx * dx + dy * dy) / reach**2
        px, py = size[0] / 2 + dx * bend - middle[0], size[1] / 2 + dy * bend - middle[1]
        w = back[2, 0] * px + back[2, 1] * py + back[2, 2]
        x = (back[0, 0] * px + back[0, 1] * py + back[0, 2]) / w
        y = (back[1, 0] * px + back[1, 1] * py + back[1, 2]) / w
        at = ((35 + MARGIN_MM - y) * FINE_PX_PER_MM - 0.5, (x + 60 + MARGIN_MM) * FINE_PX_PER_MM - 0.5)
        for c in range(3):
            fine = ndimage.map_coordinates(filtered[..., c], at, order=1, mode="constant", cval=-1.0)
            fine = np.where(fine < 0, _table(camera.table, x, y, c), fine)
            out[top:stop, :, c] = fine.reshape(stop - top, over, size[0], over).mean(axis=(1, 3))
    blur_px = math.hypot(camera.blur_px, 0.5 / math.sqrt(3))
    for c in range(3):
        out[..., c] = ndimage.gaussian_filter(out[..., c], blur_px)
    y, x = np.mgrid[: size[1], : size[0]]
    u, v = (x - size[0] / 2) / reach, (y - size[1] / 2) / reach
    towards = math.radians(camera.light_towards_deg)
    lit = 1 + camera.light * (u * math.cos(towards) + v * math.sin(towards)) - camera.vignette * (u * u + v * v)
    if camera.shadow:
        edge = ndimage.gaussian_filter1d((np.arange(size[0]) > 0.55 * size[0]).astype(float), 2.0 * camera.px_per_mm)
        lit = lit * (1 - camera.shadow * edge[None, :])
    if camera.glare:
        spot = np.exp(-((u - 0.3) ** 2 + (v + 0.25) ** 2) / (2 * 0.12**2))
        out = out + (camera.glare * spot)[..., None].astype(np.float32)
    tint = np.array((1 + camera.warm, 1.0, 1 - camera.warm), np.float32)
    out = out * (lit[..., None] * camera.exposure).astype(np.float32) * tint
    if camera.sharpened:
        out += camera.sharpened * (out - np.stack([ndimage.gaussian_filter(out[..., c], 1.5) for c in range(3)], -1))
    if camera.noise:
        out += np.float32(camera.noise) * np.sqrt(np.maximum(out, 0.005)) * rng.standard_normal(out.shape, np.float32)
    codes = np.clip(np.rint(encoded(out)), 0, 255).astype(np.uint8)
    if camera.jpeg is not None:
        held = io.BytesIO()
        Image.fromarray(codes).save(held, "JPEG", quality=camera.jpeg)
        codes = np.asarray(Image.open(io.BytesIO(held.getvalue())).convert("RGB"))
    return codes


def _table(kind: str, x: np.ndarray, y: np.ndarray, channel: int) -> np.ndarray | float:
    """Light of the table at places in mm."""
    if kind == "checks":
        return np.where((np.floor(x / 9) + np.floor(y / 9)) % 2 > 0, (0.6, 0.2, 0.2)[channel], 0.75)
    return {"grey": 0.18, "white": 0.9, "dark": 0.02}[kind]


def hard_case(seed: int) -> tuple[Press, Camera]:
    """A case worse than a maker should hand in: strong figure, faint dye, cloth, shadow, glare, steep views."""
    rng = np.random.default_rng(10_000 + seed)
    press, camera = drawn_case(seed, (11.0, 22.0))
    press = replace(
        press,
        along_mm=float(rng.uniform(0.1, 0.75)),
        density=float(rng.uniform(0.45, 1.4)),
        texture=float(rng.uniform(0.02, 0.14)),
        ragged_mm=float(rng.uniform(0, 0.05)),
    )
    press = replace(press, across_mm=press.along_mm * float(rng.uniform(0.5, 1.0)))
    camera = replace(
        camera,
        table=str(rng.choice(["grey", "white", "dark", "checks"])),
        shadow=float(rng.choice([0.0, rng.uniform(0, 0.4)])),
        glare=float(rng.choice([0.0, rng.uniform(0, 0.15)])),
        tilt_deg=float(rng.uniform(0, 28)),
        noise=float(rng.uniform(0.005, 0.03)),
        jpeg=int(rng.integers(60, 95)),
        room=float(rng.uniform(1.0, 1.7)),
        blur_px=float(rng.uniform(0.5, 1.4)),
    )
    return press, camera


def drawn_case(seed: int, px_per_mm: tuple[float, float] = (15.0, 26.0)) -> tuple[Press, Camera]:
    """A press and a camera drawn from a seed, as varied as workshops are."""
    rng = np.random.default_rng(seed)
    along = float(rng.uniform(0.10, 0.55))
    wood = str(rng.choice(list(WOODS)))
    texture = {"bare": (0.03, 0.07), "maple": (0.02, 0.05), "film": (0.02, 0.05)}.get(wood, (0.01, 0.02))
    covered: tuple[tuple[float, float, float], ...] = ()
    if rng.random() < 0.25:
        spots = ((-53, 28), (53, 28), (53, -28), (-53, -28), (0, 28), (0, -28), (-41, 28))
        x, y = spots[int(rng.integers(len(spots)))]
        covered = ((x + rng.uniform(-1, 1), y + rng.uniform(-1, 1), 5.2),)
    press = Press(
        along_mm=along,
        across_mm=along * float(rng.uniform(0.55, 1.0)),
        mixing=str(rng.choice(["dye", "cover"])),
        density=float(rng.uniform(0.7, 1.4)),
        wood=wood,
        texture=float(rng.uniform(*texture)),
        ragged_mm=float(rng.choice([0.0, rng.uniform(0, 0.05)])) if wood == "bare" else 0.0,
        mirrored_by_mistake=bool(rng.random() < 0.1),
        covered=covered,
    )
    camera = Camera(
        px_per_mm=float(rng.uniform(*px_per_mm)),
        turn_deg=float(rng.uniform(-180, 180)),
        tilt_deg=float(rng.uniform(0, 16)),
        tilt_towards_deg=float(rng.uniform(0, 360)),
        lens=float(rng.uniform(-0.012, 0.012)),
        light=float(rng.uniform(0, 0.25)),
        light_towards_deg=float(rng.uniform(0, 360)),
        vignette=float(rng.uniform(0, 0.12)),
        warm=float(rng.uniform(-0.12, 0.12)),
        exposure=float(rng.uniform(0.55, 0.8)),
        blur_px=float(rng.uniform(0.65, 0.95)),
        noise=float(rng.uniform(0.002, 0.012)),
        jpeg=int(rng.integers(75, 96)),
        room=float(rng.uniform(1.03, 1.25)),
    )
    return press, camera
