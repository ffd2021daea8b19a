"""Readings at seams, solved by scipy's least_squares on the same objective.

    python3 solve_reference.py [--check ../data/solve.json]

Rigs are the demos and invented ones; readings are those of a rig that differs from
its file, with noise. Some cases leave much open: a single reading, none, or level
lines alone.
"""

from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

import committed
from reading_model import free_paths, moved, slide, value
from rig_reference import Rig

RIGS = Path(__file__).resolve().parents[2] / "rigs"
OUT = Path(__file__).resolve().parents[1] / "data" / "solve.json"
DEMOS = ["tram-cab", "rally-loft", "ferry-bridge", "night-train"]
# Of the file's own digits: a thousandth of the least sigma.
TOLERANCE = 2e-5


def invented(random, most=5):
    """A rig as people build them: two panels to `most`, flat or curved."""
    count = int(random.integers(2, most + 1))
    facing = int(random.integers(count))
    text = f'format = 1\nname = "Invented"\n[seat]\nview = "p{facing}/1"\n'
    text += f"distance_mm = {random.uniform(550, 850):.1f}\n"
    text += f"height_mm = {random.uniform(-50, 80):.1f}\noffset_mm = {random.uniform(-30, 30):.1f}\n"
    for n in range(count):
        w, h = [(1920, 1080), (2560, 1440), (1200, 1920), (3440, 1440)][random.integers(4)]
        pitch = random.uniform(0.22, 0.29)
        text += f'[[panel]]\nname = "p{n}"\npixels = [{w}, {h}]\n'
        text += f"size_mm = [{w * pitch:.1f}, {h * pitch * random.uniform(0.99, 1.01):.1f}]\n"
        if random.random() < 0.4:
            text += f"curve_radius_mm = {random.uniform(900, 1900):.0f}\n"
        text += "bezel_mm = { left = 6.5, right = 9.0, top = 9.0, bottom = 12.0 }\n"
        text += f"tilt_deg = {random.uniform(-5, 5):.2f}\nroll_deg = {random.uniform(-1, 1):.2f}\n"
    for _ in range(count - 1):
        key = ["angle_deg", "fold_deg"][random.integers(2)]
        text += f"[[seam]]\n{key} = {random.uniform(12, 38):.1f}\ngap_mm = {random.uniform(0, 6):.1f}\n"
        text += f"step_mm = {random.uniform(-6, 6):.1f}\nrise_mm = {random.uniform(-15, 15):.1f}\n"
    return text


def line(random, rig, seam, level):
    """A line over a seam, and where it is drawn and read."""
    left, right = rig.panels[seam], rig.panels[seam + 1]
    edges = [left.at(left.width / 2, 0.0), right.at(-right.width / 2, 0.0)]
    middle = (edges[0] + edges[1]) / 2
    middle[1] += random.uniform(-0.4, 0.4) * min(left.height, right.height)
    slope = 0.0 if level else radians_of(random.uniform(-45, 45))
    across = np.array([-middle[2], 0.0, middle[0]])
    along = np.cos(slope) * across / np.linalg.norm(across) + np.sin(slope) * np.array([0.0, 1.0, 0.0])
    normal = np.cross(along, middle)
    normal *= np.sign(normal[1]) / np.linalg.norm(normal)
    columns = left.pixels[0]
    reach = [columns * random.uniform(0.55, 0.8), columns * random.uniform(0.95, 1.0)]
    at = random.choice([0.01, 0.25, 0.6, 0.9]) * right.pixels[0]
    return {
        "seam": seam + 1, "normal": normal.tolist(),
        "left_px": [round(px, 2) for px in reach[:: random.choice([-1, 1])]], "right_px": round(float(at), 2),
    }


def radians_of(degrees):
    return float(np.radians(degrees))


def read(random, text, per_seam, priors, level=False, sigma_px=0.3):
    """A readings file's JSON for a rig that differs from its file as priors foresee."""
    rig = Rig(text)
    free = free_paths(rig, priors)
    truth = moved(rig, {p: value(rig, p) + s * float(np.clip(random.normal(), -2, 2)) for p, s in free.items()})
    readings = []
    for seam in range(len(rig.seams)):
        for _ in range(per_seam):
            reading = line(random, rig, seam, level)
            sigma = round(sigma_px * random.uniform(0.5, 2.0), 4)
            noise = sigma * random.normal()
            reading["slide_px"] = round(slide(rig, truth, reading) + noise, 4)
            reading["sigma_px"] = sigma
            readings.append(reading)
    document = {"format": 1, "rig": rig.name, "readings": readings}
    if priors:
        document["priors"] = priors
    return document


def solved(text, document, measured):
    """Every value and its sigma: the case's answer."""
    rig = Rig(text)
    free = free_paths(rig, document.get("priors", {}))
    paths = list(free)
    file = np.array([value(rig, p) for p in paths])
    centre, weights = file.copy(), np.diag([1 / free[p] for p in paths])
    if measured:
        known = [paths.index(v["path"]) for v in measured["values"]]
        centre[known] = [v["measured"] for v in measured["values"]]
        weights[known] = 0.0
        # Any root of the inverse will do.
        root = np.linalg.cholesky(np.linalg.inv(np.array(measured["covariance"]))).T
        weights[np.ix_(known, known)] = root
    scale = np.array([free[p] for p in paths])

    def residual(steps):
        numbers = file + scale * steps
        built = moved(rig, dict(zip(paths, numbers)))
        left = [(r["slide_px"] - slide(rig, built, r)) / r["sigma_px"] for r in document["readings"]]
        return np.concatenate([left, weights @ (numbers - centre)])

    done = least_squares(residual, np.zeros(len(paths)), jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-13)
    # The singular values of the slopes, not of their products.
    _, size, axes = np.linalg.svd(done.jac, full_matrices=False)
    spread = axes.T / size
    sigma = scale * np.sqrt((spread**2).sum(1))
    return {
        "chi2": float((done.fun**2).sum()),
        "values": [
            {"path": p, "solved": float(v), "sigma": float(s)}
            for p, v, s in zip(paths, file + scale * done.x, sigma)
        ],
    }


def measurement(random, text):
    """What was measured in another way: some values, with values that go together."""
    rig = Rig(text)
    paths = list(free_paths(rig, {}))[: 3 + int(random.integers(1, 4))]
    free = free_paths(rig, {})
    sigma = np.array([0.4 * free[p] for p in paths])
    mix = random.normal(size=(len(paths), 2))
    spread = (mix @ mix.T + np.eye(len(paths)) * 0.3) * np.outer(sigma, sigma)
    values = [
        {"path": p, "file": value(rig, p), "measured": round(value(rig, p) + 0.5 * s, 4), "sigma": float(e), "determined": True}
        for p, s, e in zip(paths, sigma, np.sqrt(np.diag(spread)))
    ]
    return {"values": values, "covariance": spread.tolist()}


def compute():
    cases = []

    def add(name, text, document, measured=None):
        case = {"name": name, "rig": text, "readings": document}
        if measured:
            case["measured"] = measured
        cases.append({**case, **solved(text, document, measured)})

    for seed, demo in enumerate(DEMOS):
        random = np.random.default_rng([2026, seed])
        text = (RIGS / f"{demo}.toml").read_text(encoding="utf-8")
        add(demo, text, read(random, text, 8, {}))
        add(f"{demo}, none", text, read(random, text, 0, {}))
        add(f"{demo}, one a seam", text, read(random, text, 1, {}))
        add(f"{demo}, level lines alone", text, read(random, text, 5, {}, level=True))
        add(f"{demo}, read too well to be true", text, read(random, text, 7, {}, sigma_px=0.002))
        add(f"{demo}, measured before", text, read(random, text, 4, {}), measurement(random, text))
    for number in range(8):
        random = np.random.default_rng([2027, number])
        text = invented(random)
        rig = Rig(text)
        priors = {}
        if number % 2:
            priors = {"panel.2.width_mm": 2.0, "panel.1.height_mm": 1.5, "seam.1.gap_mm": 4.0}
            priors |= {f"panel.{n + 1}.curve_radius_mm": 40.0 for n, p in enumerate(rig.panels) if p.radius_mm}
        add(f"invented {number + 1}", text, read(random, text, 4 + number % 5, priors))
    return {"source": "tests/reference/solve_reference.py (scipy.optimize.least_squares)", "cases": cases}


if __name__ == "__main__":
    committed.main(__doc__, compute, OUT, TOLERANCE)
