"""The sheet a piece is drawn on: flat inks, grained inks, torn shadows, and the hole that leaves bare wood.

Invariant: drawing is in mm, y up, origin at the centre; what has been erased last has alpha exactly 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

import numpy as np
import skia
from curves import Points
from numpy.typing import NDArray
from palette import rgb
from scipy.ndimage import gaussian_filter

SIZE_MM = 260.0
GRAIN_TILE = 1024
FULL_PX = 3071


def path_of(*outlines: Points | Sequence[Sequence[float]], close: bool = True) -> skia.Path:
    """One path of all the outlines, filled non-zero."""
    path = skia.Path()
    for outline in outlines:
        path.addPoly([skia.Point(float(x), float(y)) for x, y in np.asarray(outline)], close)
    return path


def paths_of(outlines: Iterable[Points], chunk: int = 400) -> list[skia.Path]:
    """Many small outlines as paths of at most `chunk` each, so that each stays quick to fill."""
    held = list(outlines)
    return [path_of(*held[i : i + chunk]) for i in range(0, len(held), chunk)]


def even_noise(seed: int, sigma_px: float) -> NDArray[np.uint8]:
    """A tile of blotches `sigma_px` wide whose values are spread evenly over 0 to 255."""
    raw = np.random.default_rng(seed).standard_normal((GRAIN_TILE, GRAIN_TILE)).astype(np.float32)
    blurred = gaussian_filter(raw, sigma_px, mode="wrap")
    ranks = np.empty(blurred.size, np.int64)
    ranks[np.argsort(blurred, axis=None)] = np.arange(blurred.size)
    return (ranks * 256 // blurred.size).astype(np.uint8).reshape(blurred.shape)


class Sheet:
    """A square transparent sheet of `size_px` pixels, 260 mm wide."""

    def __init__(self, size_px: int, seed: int) -> None:
        self.size_px = size_px
        self.rng = np.random.default_rng(seed)
        self.scale = size_px / SIZE_MM
        self.surface = skia.Surface(size_px, size_px)
        self.canvas = self.surface.getCanvas()
        self.canvas.translate(size_px / 2, size_px / 2)
        self.canvas.scale(self.scale, -self.scale)
        self.tiles: dict[float, skia.Shader] = {}

    def ink(self, colour: str, alpha: float = 1.0) -> skia.Paint:
        """A flat ink."""
        r, g, b = rgb(colour)
        return skia.Paint(AntiAlias=True, Color=skia.Color(r, g, b, int(alpha * 255 + 0.5)))

    def fill(self, shape: skia.Path | Points | Sequence[skia.Path], colour: str, alpha: float = 1.0) -> None:
        """Fill a shape with a flat ink."""
        paint = self.ink(colour, alpha)
        for path in self._paths(shape):
            self.canvas.drawPath(path, paint)

    def line(self, points: Points, colour: str, width: float, alpha: float = 1.0) -> None:
        """A round-ended line of even width."""
        paint = self.ink(colour, alpha)
        paint.setStyle(skia.Paint.kStroke_Style)
        paint.setStrokeWidth(width)
        paint.setStrokeCap(skia.Paint.kRound_Cap)
        paint.setStrokeJoin(skia.Paint.kRound_Join)
        self.canvas.drawPath(path_of(points, close=False), paint)

    def erase(self, shape: skia.Path | Points | Sequence[skia.Path]) -> None:
        """Take every ink off a shape."""
        paint = skia.Paint(AntiAlias=True, BlendMode=skia.BlendMode.kClear)
        for path in self._paths(shape):
            self.canvas.drawPath(path, paint)

    @contextmanager
    def clip(self, shape: skia.Path | Points) -> Iterator[None]:
        """Draw only inside a shape."""
        self.canvas.save()
        self.canvas.clipPath(self._paths(shape)[0], skia.ClipOp.kIntersect, True)
        try:
            yield
        finally:
            self.canvas.restore()

    @contextmanager
    def grain(self, shape: skia.Path | Points | None, colour: str, size: float = 0.085) -> Iterator[skia.Canvas]:
        """Inside, draw how dense the grain is to be (alpha 0 to 1); it comes out as blotches of `colour`."""
        r, g, b = rgb(colour)
        sharp = 9.0
        rows = [0, 0, 0, 0, r / 255, 0, 0, 0, 0, g / 255, 0, 0, 0, 0, b / 255, 0, 0, 0, sharp, -sharp * 0.515]
        self.canvas.save()
        if shape is not None:
            self.canvas.clipPath(self._paths(shape)[0], skia.ClipOp.kIntersect, True)
        self.canvas.saveLayer(None, skia.Paint(ColorFilter=skia.ColorFilters.Matrix(rows)))
        self.canvas.saveLayer(None, skia.Paint(Alphaf=0.63))
        try:
            yield self.canvas
        finally:
            self.canvas.restore()
            cover = skia.Paint(Shader=self._tile(size), BlendMode=skia.BlendMode.kPlus)
            self.canvas.drawPaint(cover)
            self.canvas.restore()
            self.canvas.restore()

    def fade(
        self,
        shape: skia.Path | Points,
        colour: str,
        start: Sequence[float],
        end: Sequence[float],
        densities: Sequence[float] = (1.0, 0.0),
        at: Sequence[float] | None = None,
        size: float = 0.085,
    ) -> None:
        """Grain of `colour` on a shape whose density runs through `densities` from `start` to `end`."""
        shader = skia.GradientShader.MakeLinear(
            [skia.Point(*map(float, start)), skia.Point(*map(float, end))],
            [skia.Color(0, 0, 0, int(255 * min(d, 1.0) + 0.5)) for d in densities],
            self._stops(densities, at),
        )
        with self.grain(shape, colour, size) as canvas:
            canvas.drawPaint(skia.Paint(Shader=shader))

    def glow(
        self,
        shape: skia.Path | Points | None,
        colour: str,
        centre: Sequence[float],
        radius: float,
        densities: Sequence[float] = (1.0, 0.0),
        at: Sequence[float] | None = None,
        size: float = 0.085,
    ) -> None:
        """Grain of `colour` whose density runs through `densities` from a centre outwards to `radius`."""
        shader = skia.GradientShader.MakeRadial(
            skia.Point(*map(float, centre)),
            float(radius),
            [skia.Color(0, 0, 0, int(255 * min(d, 1.0) + 0.5)) for d in densities],
            self._stops(densities, at),
        )
        with self.grain(shape, colour, size) as canvas:
            canvas.drawPaint(skia.Paint(Shader=shader))

    def edge(
        self,
        shape: skia.Path | Points,
        colour: str,
        blur: float,
        shift: Sequence[float] = (0.0, 0.0),
        density: float = 0.9,
        size: float = 0.085,
    ) -> None:
        """Grain of `colour` along the inside of a shape's edge, heavier on the side away from `shift`."""
        path = self._paths(shape)[0]
        outside = skia.Path(path)
        outside.toggleInverseFillType()
        outside.offset(float(shift[0]), float(shift[1]))
        with self.grain(path, colour, size) as canvas:
            canvas.drawPath(outside, self.soft(blur, density))

    def shadow(
        self,
        shape: skia.Path | Points | Sequence[skia.Path],
        colour: str,
        blur: float,
        shift: Sequence[float] = (0.6, -0.9),
        density: float = 0.8,
        within: skia.Path | None = None,
    ) -> None:
        """The paper-cut shadow a shape throws on what lies under it, as grain."""
        with self.grain(within, colour) as canvas:
            for path in self._paths(shape):
                moved = skia.Path(path)
                moved.offset(float(shift[0]), float(shift[1]))
                canvas.drawPath(moved, self.soft(blur, density))

    def pixels(self) -> NDArray[np.uint8]:
        """The sheet as rows of RGBA, alpha not multiplied in."""
        image = self.surface.makeImageSnapshot()
        return np.asarray(
            image.toarray(colorType=skia.ColorType.kRGBA_8888_ColorType, alphaType=skia.AlphaType.kUnpremul_AlphaType)
        )

    def soft(self, blur: float, density: float) -> skia.Paint:
        """A paint for use inside `grain`: an even density whose edge is blurred."""
        paint = skia.Paint(AntiAlias=True, Color=skia.Color(0, 0, 0, int(255 * density + 0.5)))
        if blur > 0:
            paint.setMaskFilter(skia.MaskFilter.MakeBlur(skia.kNormal_BlurStyle, blur))
        return paint

    def _stops(self, densities: Sequence[float], at: Sequence[float] | None) -> list[float]:
        return list(at) if at is not None else [float(v) for v in np.linspace(0, 1, len(densities))]

    def _paths(self, shape: skia.Path | Points | Sequence[skia.Path]) -> list[skia.Path]:
        if isinstance(shape, skia.Path):
            return [shape]
        if isinstance(shape, list) and shape and isinstance(shape[0], skia.Path):
            return list(shape)
        return [path_of(np.asarray(shape))] if len(shape) else []

    def _tile(self, size_mm: float) -> skia.Shader:
        if size_mm not in self.tiles:
            # The tile is made for full size and shrunk with the drawing, so that drafts look like the print.
            levels = even_noise(7, size_mm * FULL_PX / SIZE_MM)
            image = np.zeros((*levels.shape, 4), np.uint8)
            image[..., 3] = (levels * 0.5).astype(np.uint8)
            step = SIZE_MM / FULL_PX
            self.tiles[size_mm] = skia.Image.fromarray(image).makeShader(
                skia.TileMode.kRepeat,
                skia.TileMode.kRepeat,
                skia.SamplingOptions(skia.FilterMode.kLinear),
                skia.Matrix.Scale(step, step),
            )
        return self.tiles[size_mm]
