"""Where the corners of the layer `marks` lie, written a second time from its description.

Cells have a side, in pixels, of a fixed list: the one nearest to 16.2 mm by ratio.
They start at the lit top left corner; up to six of the topmost, in the middle, carry
a label. Corners are told from cells with at least half a cell around them.
"""

from math import log, sqrt

import numpy as np

CELL_MM = 16.2
SIDES_PX = [8, 10, 14, 20, 30, 42, 60, 84, 120, 168, 240, 336, 480]
LABEL_CELLS = 6


def side_px(panel):
    """Side of a panel's cells, in its pixels."""
    pitch = sqrt(panel.pitch_mm[0] * panel.pitch_mm[1])
    return min(SIDES_PX, key=lambda side: abs(log(side * pitch / CELL_MM)))


def label(panel):
    """First cell of the label and the one after its last; the topmost row's."""
    side = side_px(panel)
    columns, rows = (px // side for px in panel.pixels)
    taken = min(LABEL_CELLS, columns // 2) if rows else 0
    first = (columns - taken) // 2
    return first, first + taken


def corners(panel):
    """Every corner of a panel's field, in its pixel coordinates: N x 2."""
    side = side_px(panel)
    counts = [int((px - side // 2) // side) for px in panel.pixels]
    i, j = (a.ravel() for a in np.meshgrid(*(np.arange(1, n + 1) for n in counts)))
    first, end = label(panel)
    free = (j > 1) | (i < first) | (i > end) if end > first else np.full(i.shape, True)
    return side * np.stack([i, j], -1)[free].astype(float)


def stand_in(panel):
    """A picture with the same corners, for checks that have no program."""
    side = side_px(panel)
    columns, rows = (np.arange(px) // side for px in panel.pixels)
    codes = np.where((columns[None] + rows[:, None]) % 2, 0, 200).astype(np.uint8)
    first, end = label(panel)
    codes[:side, first * side : end * side] = 0
    return codes


def unlike(codes, panel):
    """Which of a panel's corners are no corners of a checkerboard in its picture.

    A corner has two dark and two light cells around it, and their edges run
    exactly through it.
    """
    at = np.rint(corners(panel)).astype(int)
    d = max(2, side_px(panel) // 5)
    bad = np.ones(len(at), bool)
    for n, (x, y) in enumerate(at):
        around = codes[max(y - d, 0) : y + d, max(x - d, 0) : x + d].astype(int)
        if around.shape != (2 * d, 2 * d):
            continue
        quarters = [around[:d, :d], around[:d, d:], around[d:, d:], around[d:, :d]]
        one, two, three, four = (q.mean() for q in quarters)
        even = all(np.ptp(q) <= 2 for q in quarters)
        bad[n] = not (even and abs(one - three) < 2 and abs(two - four) < 2 and abs(one - two) > 100)
    return bad
