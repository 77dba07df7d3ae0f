"""Whether a face's small letters join, found from its outlines.

Letters that join must not be set apart, and on a tight arc they are led along it in one piece.

Invariant: what the catalogue states of a face plays no part; a face of the user's is judged as a shipped one is.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from studio.basics.kept import KeptValue
from studio.text.font import Face
from studio.text.shaping import Cluster, ShapedGlyph, shape_line
from studio.text.side_profiles import line_cap_height_em, profile_of

SAMPLES: Final = ("aneuinamun", "анилинамел", "ανιμενακαν")
"""Letters of every script whose letters are drawn joined in some faces and not in others: Latin, Cyrillic, Greek."""
JOINED_SHARE: Final = 0.7
_TOUCHING_EM: Final = 0.005
"""Letters this near touch: the ink of a join laid on its edge."""
_CONNECTED: Final = KeptValue[Face, bool]()


def is_connected(face: Face) -> bool:
    """Whether most pairs of small letters touch when they are set straight; measured once, or ahead of time."""
    ahead = face.measures.joined_share
    return _CONNECTED.of(face, lambda: (joined_share(face) if ahead is None else ahead) >= JOINED_SHARE)


def joined_share(face: Face) -> float:
    """Return the share of neighbouring small letters that touch; 0 where the face has none of the sample letters."""
    for sample in SAMPLES:
        text = "".join(letter for letter in sample if face.covers(letter))
        if len(text) > len(sample) // 2:
            return _joined_share(text, face)
    return 0.0


def _joined_share(text: str, face: Face) -> float:
    clusters = shape_line(text, face).clusters
    pairs = tuple(pairwise(clusters))
    return sum(_touch(left, right) for left, right in pairs) / max(len(pairs), 1)


def _touch(left: Cluster, right: Cluster) -> bool:
    if _box_end(left) + _TOUCHING_EM < left.advance_em + _box_start(right):
        return False
    cap_height_em = line_cap_height_em((left,))
    reach = profile_of(left, cap_height_em).right.chain_em[:, 0]
    gaps = profile_of(right, cap_height_em).left.chain_em[:, 0] + left.advance_em - reach
    return bool(np.any(gaps[~np.isnan(gaps)] <= _TOUCHING_EM))


def _box_start(cluster: Cluster) -> float:
    """Return the left edge of a cluster's box, from the font's own extents: outlines need not be read for it."""
    return min(glyph.x_em + glyph.scale * _extents(glyph)[0] for glyph in cluster.glyphs)


def _box_end(cluster: Cluster) -> float:
    return max(glyph.x_em + glyph.scale * _extents(glyph)[1] for glyph in cluster.glyphs)


def _extents(glyph: ShapedGlyph) -> tuple[float, float]:
    box = glyph.face.font.get_glyph_extents(glyph.glyph_id)
    if box is None or box.width == 0:
        return (np.inf, -np.inf)
    return (box.x_bearing / glyph.face.upem, (box.x_bearing + box.width) / glyph.face.upem)
