"""The one palette of the eight Pikewater pieces.

Invariant: every colour is a `#rrggbb` string dark or saturated enough to print; there is no white ink, so the
lightest tones stand a clear step below bare wood and anything lighter is left out of the drawing altogether.
"""

from __future__ import annotations

NIGHT = ("#0b1026", "#141b3d", "#202c5c", "#33457f", "#5568a3")
TEAL = ("#062a33", "#0b3f4a", "#14606b", "#2a8389", "#63aba8", "#9fc9bf")
PINE = ("#0a1f1a", "#12352a", "#1d5038", "#347346", "#5f9650", "#98b85a")
SAGE = ("#3f6b62", "#6d9686", "#9db8a0")
DAWN = ("#7a2f45", "#b04a4f", "#d9715a", "#ea9a5b", "#f0bd6a", "#f3d08c")
EMBER = ("#5c150f", "#9c2416", "#d0401a", "#ec6f20", "#f7a32e", "#fbcb58")
BARK = ("#1c110c", "#38221a", "#5a3724", "#855433", "#b07a48", "#d3a568")
STONE = ("#23292f", "#3d464b", "#626a68", "#8f918a")
DUSK = ("#2a2350", "#4a3468", "#7b4a78", "#a9677f")


def rgb(colour: str) -> tuple[int, int, int]:
    """The three channels of `#rrggbb`, 0 to 255."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def mix(first: str, second: str, share: float) -> str:
    """A colour `share` of the way from `first` to `second`."""
    pairs = zip(rgb(first), rgb(second), strict=True)
    return "#" + "".join(f"{int(a + (b - a) * share + 0.5):02x}" for a, b in pairs)
