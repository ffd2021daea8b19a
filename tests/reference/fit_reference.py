"""Makes tests/data/fits.json: the two fits, by scipy's least_squares.

**Flat views.** `count` equal flat screens, one for each of the rig's views:
lit width W, lit height in the proportion of the facing view's pixels, a bezel
b at each side, neighbours turned by A about the line where their cases meet,
the facing screen's middle straight ahead at distance D and at eye level. The
rig is first shifted sideways and up, so that its facing view's middle lies
straight ahead at eye level as well.

**Single view.** One pinhole camera with square pixels over the whole canvas,
at the eye, looking along -z at the canvas middle; only its field of view moves.
The rig stays where it is.

Both minimise the rms angle between where a pixel is seen and where the model
would have it, over all lit pixels alike. Every view is integrated by a
Gauss-Legendre rule of NODES x NODES points, weighted by its count of pixels:
that is the sum over the pixels in the limit of many, and `--converged` shows
that a finer rule gives the same to 1e-4 degrees and 1e-3 mm, that a plain sum
over every 16th pixel each way is off by less than 1e-3 degrees and 1e-2 mm
(over every pixel it is 256 times closer: the error goes with the square of the
step), and that other starts lead to no better fit. The largest angle is taken over a grid of SAMPLES x SAMPLES
pixel centres a view that includes the corners' pixels.

    python3 fit_reference.py                           # write the file
    python3 fit_reference.py --check tests/data/fits.json
    python3 fit_reference.py --converged

Common practice, checked as the file is made: three 597 mm views on panels
curved at 1000 mm radius, seen from 558 to 600 mm, are run at angles of about
34 to 37 degrees; flat panels of that width stand at 2 atan(w/2d), about 54 to
56 degrees, if the eye is to be square to all three.
"""

import sys
from math import atan, degrees, radians, tan
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

import committed
from invented_rigs import RIGS
from rig_reference import Rig, heading, unit

DATA = Path(__file__).parent.parent / "data" / "fits.json"
NODES = 20
SAMPLES = 161
FREE = ("angle", "distance", "width", "bezel")
# What a person can type, in degrees and millimetres.
BOUNDS = {"angle": (0, 85), "distance": (150, 3000), "width": (50, 3000), "bezel": (0, 300)}
# What may move, for each rig that has more than one view. Distance and width
# together are left out: with thin bezels only their ratio matters.
FREE_SETS = (
    ("angle", "distance"),
    ("angle",),
    ("angle", "distance", "bezel"),
    ("angle", "width", "bezel"),
)

ALIKE = '''format = 1
name = "{name}"

[seat]
view = "b/1"
distance_mm = {distance}

[[panel]]
name = "a"
pixels = [2560, 1440]
size_mm = [597.0, 335.8125]
bezel_mm = {{ left = {bezel}, right = {bezel} }}
{curve}
[[panel]]
name = "b"
pixels = [2560, 1440]
size_mm = [597.0, 335.8125]
bezel_mm = {{ left = {bezel}, right = {bezel} }}
{curve}
[[panel]]
name = "c"
pixels = [2560, 1440]
size_mm = [597.0, 335.8125]
bezel_mm = {{ left = {bezel}, right = {bezel} }}
{curve}
[[seam]]
{turn}

[[seam]]
{turn}
'''


def square_angle(width, distance):
    """The angle in degrees at which the eye is square to flat neighbours that touch."""
    return degrees(2 * atan(width / (2 * distance)))


def common_rigs():
    """Rigs whose owners' numbers are common practice, and flat ones to be recovered."""
    for distance in (558.0, 600.0):
        yield ALIKE.format(
            name=f"Curved at a metre, from {distance:.0f}", distance=distance, bezel=0.0,
            curve="curve_radius_mm = 1000.0\n", turn="fold_deg = 0.0",
        )
        yield ALIKE.format(
            name=f"Flat, from {distance:.0f}", distance=distance, bezel=0.0, curve="",
            turn=f"angle_deg = {square_angle(597.0, distance)!r}",
        )
    yield ALIKE.format(
        name="Flat, with bezels", distance=640.0, bezel=9.5, curve="", turn="angle_deg = 47.25",
    )


class Samples:
    """Pixels of all views: fractions, weights, and where the eye sees them."""

    def __init__(self, rig, rule):
        """``rule`` gives fractions 0 to 1 along a side of n pixels, and their weights."""
        self.rig = rig
        self.views, self.canvas, self.points, self.weights = [], [], [], []
        for number, (index, view) in enumerate(rig.view_ids()):
            panel = rig.panels[index]
            w, h = panel.pixels[0] / panel.views, panel.pixels[1]
            (fx, wx), (fy, wy) = rule(w), rule(h)
            fx, fy = (a.ravel() for a in np.meshgrid(fx, fy, indexing="ij"))
            px, py = (view + fx) * w, fy * h
            x, y = panel.canvas_px[:2]
            self.views.append((number, fx, fy))
            self.canvas.append(np.stack([x + px, y + py], -1))
            self.points.append(rig.point(index, px, py))
            self.weights.append(np.outer(wx, wy).ravel() * w * h)
        self.canvas = np.concatenate(self.canvas)
        self.points = np.concatenate(self.points)
        weights = np.concatenate(self.weights)
        self.weights = weights / weights.sum()

    def shifted(self):
        """The points, shifted so that the facing view's middle is ahead at eye level."""
        index, view = self.rig.facing
        panel = self.rig.panels[index]
        middle = panel.at(panel.view_middle_s(view), 0.0)
        return self.points - [middle[0], middle[1], 0.0]


def gauss(nodes):
    """Gauss-Legendre rule, the same for every side."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    return lambda n: ((x + 1) / 2, w / 2)


def every(step):
    """The middles of runs of ``step`` pixels, equally weighted."""

    def rule(n):
        count = max(1, round(n / step))
        return (np.arange(count) + 0.5) / count, np.full(count, 1 / count)

    return rule


def centres(count):
    """Evenly spread pixel centres from the first to the last."""
    return lambda n: ((np.linspace(0, n - 1, count) + 0.5) / n, np.full(count, 1 / count))


def parting(seen, model):
    """For pairs of directions, vectors as long as the angle between them, in radians."""
    a, b = unit(seen), unit(model)
    across = np.cross(a, b)
    size = np.linalg.norm(across, axis=-1)
    angle = np.arctan2(size, (a * b).sum(-1))
    return across * np.where(size > 1e-12, angle / np.maximum(size, 1e-300), 1.0)[:, None]


def fit(residual, start, samples, dense, bounds=(-np.inf, np.inf)):
    """Minimises the rms angle: the parameters, its rms and its largest, in degrees."""
    root = np.sqrt(samples.weights)[:, None]
    scale = np.maximum(np.abs(start), 1.0)
    low, high = (np.broadcast_to(np.asarray(bound, float), start.shape) for bound in bounds)

    def solve(low, high, start):
        return least_squares(
            lambda q: (root * residual(q * scale, samples)).ravel(), start / scale,
            bounds=(low / scale, high / scale), xtol=1e-15, ftol=1e-15, gtol=1e-15,
            x_scale="jac", max_nfev=2000,
        )

    # Strictly inside, where such a search begins.
    inside = np.clip(start, low + 1e-3, high - 1e-3)
    done = solve(low, high, inside)
    found = done.x * scale
    # An inner search only comes near a bound: what it drew near to is set on it, and
    # the others are sought anew.
    stuck = [(b, i) for i in range(len(start)) for b in (low[i], high[i])
             if np.isfinite(b) and abs(found[i] - b) < 1e-3 * max(1.0, abs(b))]
    for bound, i in stuck:
        found[i] = bound
    moving = [i for i in range(len(start)) if i not in [i for _, i in stuck]]
    if stuck and moving:
        held = found.copy()

        def rest(q, at):
            whole = held.copy()
            whole[moving] = q
            return residual(whole, at)

        some, _, _ = fit(rest, found[moving], samples, dense, (low[moving], high[moving]))
        found[moving] = some
    cost = (samples.weights * (residual(found, samples) ** 2).sum(-1)).sum()
    largest = np.linalg.norm(residual(found, dense), axis=-1).max()
    return found, degrees(np.sqrt(cost)), degrees(float(largest))


class FlatViews:
    """The model of equal flat screens, for one rig."""

    def __init__(self, rig):
        self.ids = rig.view_ids()
        self.facing = self.ids.index(rig.facing)
        panel = rig.panels[rig.facing[0]]
        self.shape = panel.pixels[1] / (panel.pixels[0] / panel.views)
        bezels = [b for p in rig.panels for b in (p.bezel_left_mm, p.bezel_right_mm)]
        # What is held takes these; the angle starts at the mean turn from view to view.
        turns = []
        for (i, v), (j, u) in zip(self.ids, self.ids[1:]):
            p, q = rig.panels[i], rig.panels[j]
            facings = (p.yaw + p.turn_at(p.view_middle_s(v)), q.yaw + q.turn_at(q.view_middle_s(u)))
            turns.append(degrees(facings[0] - facings[1]))
        self.own = {
            "angle": float(np.mean(turns)) if turns else 0.0,
            "distance": rig.distance_mm,
            "width": panel.width / panel.views,
            "bezel": float(np.mean(bezels)),
        }

    def screens(self, angle_deg, distance, width, bezel):
        """Middle and yaw of every screen, from left to right."""
        reach, turn = width / 2 + bezel, radians(angle_deg)
        placed = {self.facing: (np.array([0.0, 0.0, -distance]), 0.0)}
        for side in (1, -1):
            middle, yaw = placed[self.facing]
            last = len(self.ids) if side == 1 else -1
            for k in range(self.facing + side, last, side):
                hinge = middle + side * reach * heading(yaw)
                yaw = yaw - side * turn
                middle = hinge + side * reach * heading(yaw)
                placed[k] = (middle, yaw)
        return [placed[k] for k in range(len(self.ids))]

    def points(self, samples, angle, distance, width, bezel):
        """Where the model has the samples' pixels."""
        screens = self.screens(angle, distance, width, bezel)
        result = []
        for number, fx, fy in samples.views:
            middle, yaw = screens[number]
            right = (fx - 0.5)[:, None] * width * heading(yaw)
            up = (0.5 - fy)[:, None] * width * self.shape * np.array([0.0, 1.0, 0.0])
            result.append(middle + right + up)
        return np.concatenate(result)

    def fit(self, free, samples, dense):
        """The fit, under the keys of the sheet's JSON."""
        assert set(free) < set(FREE) and not {"distance", "width", "bezel"} <= set(free)

        def values(q):
            return {**self.own, **dict(zip(free, q))}

        def residual(q, at):
            return parting(at.shifted(), self.points(at, **values(q)))

        start = np.array([self.own[name] for name in free])
        bounds = np.array([BOUNDS[name] for name in free], float).T
        found, rms, largest = fit(residual, start, samples, dense, bounds)
        v = values(found)
        limits = [n for n in free if min(abs(v[n] - b) for b in BOUNDS[n]) < 1e-6]
        return {
            "count": len(self.ids),
            "free": list(free),
            "angle_deg": float(v["angle"]),
            "distance_mm": float(v["distance"]),
            "width_mm": float(v["width"]),
            "bezel_mm": float(v["bezel"]),
            "rms_deg": rms,
            "max_deg": largest,
            "at_limit": limits,
        }


def single_view(rig, samples, dense):
    """The fit of one pinhole camera, under the keys of the sheet's JSON."""
    w, h = rig.canvas_px

    def residual(q, at):
        focal = w / 2 / tan(radians(q[0]) / 2)
        x, y = at.canvas[:, 0] - w / 2, h / 2 - at.canvas[:, 1]
        return parting(at.points, np.stack([x, y, np.full_like(x, -focal)], -1))

    start = np.array([min(rig.fov()["whole_deg"], 150.0)])
    found, rms, largest = fit(residual, start, samples, dense)
    vertical = degrees(2 * atan(tan(radians(found[0]) / 2) * h / w))
    return {
        "horizontal_deg": float(found[0]),
        "vertical_deg": vertical,
        "rms_deg": rms,
        "max_deg": largest,
    }


def case(text, rule):
    """All fits of one rig."""
    rig = Rig(text)
    samples, dense = Samples(rig, rule), Samples(rig, centres(SAMPLES))
    fits = []
    if len(rig.view_ids()) > 1:
        model = FlatViews(rig)
        fits = [model.fit(free, samples, dense) for free in FREE_SETS]
    result = {"name": rig.name, "rig": text, "flat_views": fits}
    if all(p.canvas_px[0] < q.canvas_px[0] for p, q in zip(rig.panels, rig.panels[1:])):
        # A canvas whose panels stand in another order has no single view.
        result["single_view"] = single_view(rig, samples, dense)
    return result


def all_rigs():
    return list(common_rigs()) + RIGS


def check_common_practice(cases):
    """Angles of curved threes as owners run them, and of flat threes by construction."""
    for found in cases:
        angle = found["flat_views"][0]["angle_deg"] if found["flat_views"] else None
        if found["name"].startswith("Curved at a metre"):
            assert 33.5 < angle < 37.5, (found["name"], angle)
        elif found["name"].startswith("Flat, from"):
            distance = float(found["name"].split()[-1])
            expected = square_angle(597.0, distance)
            assert 52.5 < expected < 56.5 and abs(angle - expected) < 1e-6, (found["name"], angle)


def compute(rule=gauss(NODES)):
    """The whole document."""
    cases = [case(text, rule) for text in all_rigs()]
    check_common_practice(cases)
    return {
        "source": "tests/reference/fit_reference.py (scipy.optimize.least_squares)",
        "cases": cases,
    }


def converged():
    """Prints how little finer rules and other starts change the fits."""
    sound = True
    for text in all_rigs():
        rig = Rig(text)
        if len(rig.view_ids()) < 2:
            continue
        dense, free = Samples(rig, centres(5)), FREE_SETS[0]
        model = FlatViews(rig)
        base = model.fit(free, Samples(rig, gauss(NODES)), dense)
        line = f"{rig.name:<32}"
        for rule, slack in ((gauss(2 * NODES), 1.0), (every(16), 10.0)):
            other = model.fit(free, Samples(rig, rule), dense)
            off_deg = abs(other["angle_deg"] - base["angle_deg"])
            off_mm = abs(other["distance_mm"] - base["distance_mm"])
            line += f"  {off_deg:.1e} deg {off_mm:.1e} mm"
            sound &= off_deg < 1e-4 * slack and off_mm < 1e-3 * slack
        for start in (-10.0, 25.0, 65.0):
            model.own["angle"] = start
            other = model.fit(free, Samples(rig, gauss(NODES // 2)), dense)
            line += f"  {other['rms_deg'] - base['rms_deg']:+.4f}"
            sound &= other["rms_deg"] > base["rms_deg"] - 1e-4
        print(line, flush=True)
    return sound


if __name__ == "__main__":
    if sys.argv[1:] == ["--converged"]:
        sys.exit(0 if converged() else 1)
    else:
        committed.main(__doc__, compute, DATA, 1e-4)
