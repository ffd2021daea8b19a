"""Reads where the program's pictures really have their lines.

Each layer is drawn alone. On every panel the centroid of a line's light is
taken column by column where the line is shallow and row by row where it is
steep, and compared with the closed form of `rig_reference.py`, wherever no
other line and no border of the panel comes near.

Passes if, for every rig and layer, the centroids lie within RMS_PX rms and
WORST_PX at worst of the closed form, enough of them could be read, and no
light lies astray, that is further than STRAY_PX from every line's edge.

    python3 line_centroids.py --binary target/release/throughline rigs/*.toml
"""

import argparse
import sys
import tempfile

import numpy as np

from screenshots import Screenshot

LAYERS = ("grid", "horizon", "diagonals")
RMS_PX = 0.02
WORST_PX = 0.10
# No reading where another line comes this near, or a border of the panel.
CLEAR_PX = 6.0
# Of the places where a reading is possible, the share that must show the line.
DRAWN_SHARE = 0.98
STRAY_PX = 1.0
# Linear light below this, all channels together, is dark.
DARK = 0.003
FEWEST_READINGS = 500


class PanelLines:
    """The lines of a picture on one panel, as functions of its pixel coordinates."""

    def __init__(self, panel, lines):
        self.panel = panel
        self.lines = lines
        # Normals in the panel's frame, and each plane's value at its middle.
        normals = np.array([line.normal for line in lines])
        self.n = normals @ panel.seat_from_panel
        self.c = normals @ panel.middle
        self.widths = np.array([line.width_px for line in lines])

    def values(self, px, py, which=slice(None)):
        """Plane value and its change per column and per row, lines x positions."""
        p = self.panel
        s, t = p.s_from_px(px), p.t_from_py(py)
        x, _, z = np.moveaxis(p.local(s, t), -1, 0)
        a = np.zeros_like(s) if p.radius_mm is None else s / p.radius_mm
        n, c = self.n[which], self.c[which]
        f = c[:, None] + n[:, :1] * x + n[:, 1:2] * t + n[:, 2:] * z
        fx = (n[:, :1] * np.cos(a) + n[:, 2:] * np.sin(a)) * p.pitch_mm[0]
        fy = np.broadcast_to(-n[:, 1:2] * p.pitch_mm[1], f.shape)
        return f, fx, fy

    def rows(self, i, px):
        """Row of line i at columns px."""
        p = self.panel
        with np.errstate(divide="ignore", invalid="ignore"):
            return p.py_from_t(p.line_t(p.s_from_px(px), self.lines[i].normal)[0])

    def columns(self, i, py):
        """Columns, none to two, at which line i crosses rows py (NaN where it doesn't)."""
        p = self.panel
        nx, ny, nz = self.n[i]
        rest = self.c[i] + ny * p.t_from_py(py)
        with np.errstate(divide="ignore", invalid="ignore"):
            if p.radius_mm is None:
                roots = [-rest / nx]
            else:
                # nx R sin a + nz R (1 - cos a) + rest = 0, as a sine of a shifted angle.
                size, phase = np.hypot(nx, nz), np.arctan2(nz, nx)
                arc = np.arcsin(-(rest / p.radius_mm + nz) / size)
                angles = [phase + arc, phase + np.pi - arc]
                roots = [((a + np.pi) % (2 * np.pi) - np.pi) * p.radius_mm for a in angles]
        return [(s / p.width + 0.5) * p.pixels[0] for s in roots]

    def clear(self, i, px, py, along_rows, reach):
        """Where a window of half-length ``reach`` across line i holds no other line."""
        others = np.arange(len(self.lines)) != i
        if not others.any():
            return np.ones(px.shape, bool)
        f, fx, fy = self.values(px, py, others)
        step = np.abs(fx if along_rows else fy)
        slope = np.hypot(fx, fy)
        half = self.widths[others][:, None] / 2
        near = np.abs(f) < (half + CLEAR_PX) * slope
        # The other line's light in the window's own direction.
        in_window = np.abs(f) < reach * step + (half + 1.5) * slope
        return ~(near | in_window).any(0)


def read_centroids(light, lines, i, positions, crossings, along_rows):
    """Centroids of light in windows around line i, with the light found in each.

    ``positions`` are columns (or rows, if ``along_rows``) and ``crossings`` the
    expected coordinate of the line there.
    """
    reach = int(np.ceil(lines.widths[i] * 0.75 + 3))
    first = np.floor(crossings).astype(int) - reach
    offsets = np.arange(2 * reach + 1)
    cells = first[:, None] + offsets
    index = (positions[:, None], cells) if along_rows else (cells, positions[:, None])
    found = light[index].astype(float)
    total = found.sum(1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return (found * (cells + 0.5)).sum(1) / total, total


def stray_pixels(panel, light, lines):
    """How many lit pixels of a panel belong to no line."""
    view = PanelLines(panel, lines)
    rows, columns = np.nonzero(light > DARK)
    astray = np.ones(len(rows), bool)
    for i, line in enumerate(lines):
        at = np.flatnonzero(astray)
        f, fx, fy = view.values(columns[at] + 0.5, rows[at] + 0.5, slice(i, i + 1))
        astray[at] = np.abs(f)[0] > (line.width_px / 2 + STRAY_PX) * np.hypot(fx, fy)[0]
    return int(astray.sum())


def read_panel(panel, light, lines):
    """All readings on one panel: errors in pixels, and how many were possible."""
    view = PanelLines(panel, lines)
    errors, possible = [], 0
    w, h = panel.pixels
    for i, line in enumerate(lines):
        reach = int(np.ceil(line.width_px * 0.75 + 3)) + 1.0
        branches = [(False, np.arange(w), view.rows(i, np.arange(w) + 0.5), h)]
        for roots in view.columns(i, np.arange(h) + 0.5):
            branches.append((True, np.arange(h), roots, w))
        for along_rows, at, crossing, limit in branches:
            border = max(CLEAR_PX, reach) + 2
            span = h if along_rows else w
            ok = (crossing > border) & (crossing < limit - border)
            ok &= (at + 0.5 > border) & (at + 0.5 < span - border)
            at, crossing = at[ok], crossing[ok]
            px, py = (crossing, at + 0.5) if along_rows else (at + 0.5, crossing)
            _, fx, fy = view.values(px, py, slice(i, i + 1))
            steep = np.abs(fx[0]) > np.abs(fy[0])
            ok = steep == along_rows
            ok &= view.clear(i, px, py, along_rows, reach)
            at, crossing = at[ok], crossing[ok]
            if not len(at):
                continue
            slant = np.hypot(fx, fy)[0][ok] / np.abs(fx if along_rows else fy)[0][ok]
            centroid, total = read_centroids(light, view, i, at, crossing, along_rows)
            drawn = total > 0.9 * line.light * line.width_px * slant
            possible += len(at)
            errors.append((centroid - crossing)[drawn])
    return np.concatenate(errors) if errors else np.zeros(0), possible


def check(binary, rig_path, layer, folder):
    """Reads one layer of one rig, prints its row of the table and says if it passes."""
    shot = Screenshot(binary, rig_path, layer, folder)
    lines = [line for line in shot.lines if line.layer == layer]
    assert lines, f"{shot.rig.name}: no lines in {layer}"
    errors, possible, stray = [np.zeros(0)], 0, 0
    for index, panel in enumerate(shot.rig.panels):
        light = shot.of_panel(index).sum(2)
        found, places = read_panel(panel, light, lines)
        errors.append(found)
        possible += places
        stray += stray_pixels(panel, light, lines)
    errors = np.concatenate(errors)
    rms = float(np.sqrt(np.mean(errors**2))) if len(errors) else float("nan")
    worst = float(np.abs(errors).max(initial=0.0))
    share = len(errors) / possible if possible else 0.0
    passed = (
        rms < RMS_PX
        and worst < WORST_PX
        and len(errors) >= FEWEST_READINGS
        and share >= DRAWN_SHARE
        and stray == 0
    )
    print(
        f"{shot.rig.name:<24} {layer:<10} {len(lines):>5} {len(errors):>8} {share:>7.1%} {stray:>6}"
        f" {rms:>9.4f} {worst:>9.4f}  {'ok' if passed else 'FAILED'}",
        flush=True,
    )
    return passed


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("rigs", nargs="+", help="rig files")
    args = parser.parse_args()
    print("rig                      layer      lines readings   drawn  stray    rms px  worst px")
    with tempfile.TemporaryDirectory() as folder:
        results = [check(args.binary, r, layer, folder) for r in args.rigs for layer in LAYERS]
    sys.exit(0 if results and all(results) else 1)


if __name__ == "__main__":
    main()
