"""An eye that reads lines off a screenshot: it sees the pixels on panels that stand
otherwise than they were drawn for, lays a straightedge along a line's left part and says
how far its right part is off.

    straightedge_eye.py BUILT.toml [SEED]

For every line on stdin, the path of a screenshot of the whole canvas as a binary PPM, it
prints by how many rows of the right panel the right part must go up to lie along the
straightedge, or "none" where no line is to be read. With a seed it errs as people do
behind a peep card: 20 seconds of arc a pointing, the head swaying by 0.7 mm an axis.

The line's parts and the ticks beside its right part are the only pixels of full white.
"""

import sys
from math import pi
from pathlib import Path

import numpy as np

from rig_reference import Rig

POINTING_RAD = 20 / 3600 * pi / 180
SWAY_MM = 0.7


def pixels(path):
    """Rows of red, green and blue codes of a binary PPM."""
    data = Path(path).read_bytes()
    magic, width, height, most = data.split(maxsplit=4)[:4]
    assert magic == b"P6" and most == b"255"
    count = int(width) * int(height) * 3
    return np.frombuffer(data[-count:], np.uint8).reshape(int(height), int(width), 3)


def light(codes):
    """Linear light of sRGB codes (IEC 61966-2-1)."""
    v = np.asarray(codes, float) / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def centre(column, rows):
    """The centroid, in row coordinates, of a column's light between some rows."""
    first = max(rows.start, 0)
    part = column[first:rows.stop]
    return first + float((np.arange(len(part)) + 0.5) @ part / part.sum())


def runs(mask):
    """First and last place, inclusive, of every run in a mask."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(int), [0]])))
    return [(a, b - 1) for a, b in zip(edges[::2], edges[1::2])]


def ticks(white, grey):
    """Column and row coordinate of the middle between both ticks; None without them."""
    for x in np.flatnonzero(white.sum(0) >= 38):
        found = [run for run in runs(white[:, x]) if 19 <= run[1] - run[0] + 1 <= 23]
        for (a, b), (c, d) in zip(found, found[1:]):
            if 14 <= c - b - 1 <= 20:
                # At the lit edge there is but half a tick.
                is_half = x == 0 and not white[(a + b) // 2, 1]
                both = [centre(grey[:, x], slice(m - 2, n + 3)) for m, n in ((a, b), (c, d))]
                return (0.0 if is_half else x + 1.0), sum(both) / 2
    return None


def off(rig, picture, rng):
    """By how many rows the right part must go up; None where nothing is to be read."""
    for number in range(1, len(rig.panels)):
        left, right = rig.panels[number - 1 : number + 1]
        seen = []
        for panel in (left, right):
            x, y, w, h = panel.canvas_px
            part = picture[y : y + h, x : x + w]
            seen.append(((part == 255).all(-1), light(part[..., 0])))
        at = ticks(*seen[1])
        if at is None:
            continue
        white, grey = seen[0]
        columns = np.flatnonzero(white.any(0))
        points = []
        for x in columns:
            middle = int(np.median(np.flatnonzero(white[:, x])))
            points.append((x + 0.5, centre(grey[:, x], slice(middle - 9, middle + 10))))
        px, py = np.array(points).T
        eye = rng.normal(0, SWAY_MM, 3) if rng else np.zeros(3)
        space = left.at(left.s_from_px(px), left.t_from_py(py)) - eye
        directions = space / np.linalg.norm(space, axis=1, keepdims=True)
        normal = np.linalg.svd(directions)[2][-1]
        foot = right.at(right.s_from_px(at[0]), 0.0) - eye
        t = -(normal @ foot) / (normal @ right.up)
        rows = at[1] - float(right.py_from_t(t))
        if rng:
            rows += rng.normal(0, POINTING_RAD) * np.linalg.norm(foot) / right.pitch_mm[1]
        return rows
    return None


def main():
    rig = Rig(Path(sys.argv[1]).read_text())
    rng = np.random.default_rng(int(sys.argv[2])) if len(sys.argv) > 2 else None
    for line in sys.stdin:
        rows = off(rig, pixels(line.strip()), rng)
        print("none" if rows is None else f"{rows:.6f}", flush=True)


if __name__ == "__main__":
    main()
