"""Reference data for `measure`: OpenCV's camera and poses, and scipy's answer to the same question.

`cameras`: points that `cv2.projectPoints` shows through random cameras. `poses`:
marks of one flat panel in photographs of an ideal camera, without noise, and
where `cv2.solvePnP`, which is told the camera, says each was taken from. `cases`:
made-up marks in three photographs of a demo rig that stands otherwise than its
file says, from the second layout and the physics of `photo_optics`, and what
`scipy.optimize.least_squares` makes of the same residuals: values, and sigmas
with the documented floors.

    python3 photo_reference.py [--out FILE | --check FILE]
"""

from math import degrees, radians
from pathlib import Path

import cv2
import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

import committed
from photo_optics import Camera, Screen, looking
from rig_reference import Rig

ROOT = Path(__file__).resolve().parents[2]

# What is known beforehand: centre and sigma.
PRIORS = {
    "fold_deg": 2.0, "gap_mm": 1.0, "step_mm": 2.0, "rise_mm": 2.0, "roll_deg": 0.5,
    "tilt_deg": 1.0, "distance_mm": 100.0, "height_mm": 100.0, "offset_mm": 100.0,
}
SIZE, RADIUS = 0.002, 0.04
GLASS, GLASS_SIGMA = 0.8, 0.5
RADIAL, DECENTRING, BOW = (0.3, 0.5, 0.5), 0.005, (0.5, 0.5, 0.3, 0.15, 0.15)
# Focal lengths: about that of all, each by what focusing makes.
CENTRE_SHARE, DRIFT, FOCUS = 0.01, 4.0, 0.005
# What is added to sigmas in squares, one sigma.
FLOORS = {
    "distance_mm": 0.5, "height_mm": 0.03, "offset_mm": 0.4, "fold_deg": 0.03, "gap_mm": 0.025,
    "step_mm": 0.035, "rise_mm": 0.001, "roll_deg": 0.0004, "tilt_deg": 0.0012,
}
SIZE_FLOOR, RADIUS_FLOOR = 0.0006, 0.004
SIGMA_PX = 0.1
FEWEST_MARKS = 12


def paths_of(rig):
    """The paths that are asked, the seat's first, with file value, sigma and floor."""
    found = []

    def add(path, value, sigma, floor):
        found.append((path, value, sigma, floor))

    for key, value in (("distance_mm", rig.distance_mm), ("height_mm", rig.height_mm),
                       ("offset_mm", rig.offset_mm)):
        add(f"seat.{key}", value, PRIORS[key], FLOORS[key])
    for i, p in enumerate(rig.panels):
        for key, value in (("width_mm", p.width), ("height_mm", p.height)):
            add(f"panel.{i + 1}.{key}", value, SIZE * value, SIZE_FLOOR * value)
        if p.radius_mm is not None:
            r = p.radius_mm
            add(f"panel.{i + 1}.curve_radius_mm", r, RADIUS * r, RADIUS_FLOOR * r)
        if i != rig.facing[0]:
            for key, value in (("tilt_deg", degrees(p.tilt)), ("roll_deg", degrees(p.roll))):
                add(f"panel.{i + 1}.{key}", value, PRIORS[key], FLOORS[key])
    for i, s in enumerate(rig.seams):
        numbers = (degrees(s.fold), s.gap_mm, s.rise_mm, s.step_mm)
        for key, value in zip(("fold_deg", "gap_mm", "rise_mm", "step_mm"), numbers):
            add(f"seam.{i + 1}.{key}", value, PRIORS[key], FLOORS[key])
    return found


def put(rig, values):
    """Gives a laid-out rig these numbers, all but the seat's, and lays it out anew."""
    for path, value in values.items():
        table, *number, key = path.split(".")
        if table == "panel":
            p = rig.panels[int(number[0]) - 1]
            if key == "width_mm":
                p.size_mm = (value, p.size_mm[1])
            elif key == "height_mm":
                p.size_mm = (p.size_mm[0], value)
            elif key == "curve_radius_mm":
                p.radius_mm = value
            else:
                setattr(p, key.removesuffix("_deg"), radians(value))
        elif table == "seam":
            s = rig.seams[int(number[0]) - 1]
            setattr(s, "fold" if key == "fold_deg" else key, radians(value) if key == "fold_deg" else value)
    rig._place()


def grid(panel, count):
    """About `count` places on a panel, in its pixels, edges included."""
    w, h = panel.pixels
    columns = int(round((count * w / h) ** 0.5))
    rows = max(2, count // columns)
    x, y = np.meshgrid(np.linspace(0.03, 0.97, columns) * w, np.linspace(0.04, 0.96, rows) * h)
    return np.round(np.stack([x.ravel(), y.ravel()], -1))


def case(name, seed):
    """One demo that stands otherwise, seen three times; and scipy's answer."""
    rng = np.random.default_rng(seed)
    text = (ROOT / "rigs" / f"{name}.toml").read_text(encoding="utf-8")
    rig = Rig(text)
    asked = paths_of(rig)
    file = {path: value for path, value, _, _ in asked}
    truth = {path: value + 0.6 * min(sigma, 15.0) * rng.normal() for path, value, sigma, _ in asked}
    eye = np.array([truth[f"seat.{k}"] - file[f"seat.{k}"]
                    for k in ("offset_mm", "height_mm", "distance_mm")])
    put(rig, truth)
    screens = [Screen(p, (*(0.3 * rng.normal(size=3)), 0.0, 0.0, 0.0, 0.0), 0.6) for p in rig.panels]
    lens = {"radial": (0.05, -0.08, 0.03), "decentring": (0.0005, -0.0003)}
    size = (4000, 3000)
    cameras, photos = [], []
    for place in ((0, 0, 0), (-350, 20, 250), (350, -30, 250)):
        cameras.append(Camera(
            size, eye + np.array(place, float), looking(*(0.03 * rng.normal(size=3))),
            2050.0 * (1 + 0.004 * rng.normal()), tuple(np.array(size) / 2 + 15 * rng.normal(size=2)),
            shear=tuple(rng.normal(size=2)), **lens,
        ))
        seen = []
        for index, screen in enumerate(screens):
            px = grid(screen.panel, 45)
            out, cosine = screen.leaves_glass(px[:, 0], px[:, 1], cameras[-1].eye)
            at, ahead = cameras[-1].project(out)
            at = at + 0.08 * rng.normal(size=at.shape)
            inside = ahead & (cosine > 0.15) & np.all((at > 0) & (at < size), axis=-1)
            # A panel that shows less doesn't count as shown.
            if np.sum(inside) >= FEWEST_MARKS:
                seen += [(index, *a, *b) for a, b in zip(px[inside], at[inside])]
        photos.append(np.array(seen))
    return {
        "name": name, "rig": text,
        "photos": [
            {"size_px": list(size), "sightings": [[int(r[0]), *map(float, r[1:])] for r in seen]}
            for seen in photos
        ],
        "values": solved(text, asked, photos, cameras, size),
    }


def solved(text, asked, photos, cameras, size):
    """scipy's values and sigmas, by path."""
    rig = Rig(text)
    names = [path for path, *_ in asked]
    file = np.array([value for _, value, _, _ in asked])
    sigma = np.array([s for _, _, s, _ in asked])
    count, panels = len(asked), len(rig.panels)
    shared = 1 + 3 + 2 + len(BOW) * panels + 1
    sizes = [8 if i == 0 else 11 for i in range(len(photos))]
    usual = np.exp(np.mean([np.log(camera.focal) for camera in cameras]))
    firsts = count + shared + np.cumsum([0, *sizes[:-1]])

    def scene(x):
        values = dict(zip(names, file + sigma * x[:count]))
        put(rig, values)
        rest = x[count:count + shared]
        bows = rest[6:-1].reshape(panels, len(BOW))
        screens = [Screen(p, (*bow, 0.0, 0.0), GLASS + rest[0]) for p, bow in zip(rig.panels, bows)]
        eye = np.array([values[f"seat.{k}"] for k in ("offset_mm", "height_mm", "distance_mm")])
        eye = eye - np.array([file[2], file[1], file[0]])
        found = []
        for i, camera in enumerate(cameras):
            own = x[firsts[i]:firsts[i] + sizes[i]]
            place = eye if i == 0 else camera.eye + own[3:6]
            focal, cx, cy, right, down = own[-5:]
            found.append(Camera(
                size, place, Rotation.from_rotvec(own[:3]).as_matrix() @ camera.turn,
                usual * np.exp(rest[-1] + focal), (size[0] / 2 + cx, size[1] / 2 + cy),
                tuple(rest[1:4]), tuple(rest[4:6]), (right, down),
            ))
        return screens, found

    def left(x):
        screens, found = scene(x)
        rows = []
        for seen, camera in zip(photos, found):
            for index, screen in enumerate(screens):
                mine = seen[seen[:, 0] == index]
                out, _ = screen.leaves_glass(mine[:, 1], mine[:, 2], camera.eye)
                rows.append((mine[:, 3:] - camera.project(out)[0]).ravel())
        return np.concatenate(rows)

    def before(x):
        rest = x[count:count + shared]
        known = [x[:count], rest[:1] / GLASS_SIGMA, rest[1:4] / RADIAL, rest[4:6] / DECENTRING,
                 rest[6:-1] / np.tile(BOW, panels)]
        for first, length in zip(firsts, sizes):
            own = x[first:first + length]
            known += [own[-5:-4] / FOCUS, own[-4:-2] / (CENTRE_SHARE * max(size)), own[-2:] / DRIFT]
        return np.concatenate(known)

    x = np.zeros(count + shared + sum(sizes))
    scale = 1.0
    for again in range(3):
        answer = least_squares(
            lambda x: np.concatenate([left(x) / (SIGMA_PX * scale), before(x)]), x,
            jac="3-point", x_scale="jac", xtol=1e-13, ftol=1e-13, gtol=1e-13,
        )
        x = answer.x
        if again < 2:
            rest = left(x) / SIGMA_PX
            scale = np.sqrt(np.sum(rest**2) / (len(rest) - len(x)))
    covariance = np.linalg.inv(answer.jac.T @ answer.jac)
    own = np.sqrt(np.diag(covariance)[:count]) * sigma
    return [
        {"path": path, "measured": float(file[i] + sigma[i] * x[i]),
         "sigma": float(np.hypot(own[i], asked[i][3]))}
        for i, path in enumerate(names)
    ]


def opencv_cameras():
    """Random cameras, points before them, and where OpenCV shows those."""
    rng = np.random.default_rng(20)
    found = []
    for _ in range(12):
        turn = Rotation.from_rotvec(0.7 * rng.normal(size=3)).as_matrix()
        eye = 300 * rng.normal(size=3)
        focal = float(rng.uniform(1500, 4500))
        centre = rng.uniform((1500, 1000), (2500, 2000))
        radial, decentring = 0.1 * rng.normal(size=3), 0.002 * rng.normal(size=2)
        ahead = np.column_stack([rng.uniform(-0.6, 0.6, (20, 2)), np.ones(20)])
        points = eye + (ahead * rng.uniform(200, 1500, (20, 1))) @ turn
        matrix = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1]])
        lens = np.array([radial[0], radial[1], *decentring, radial[2]])
        px, _ = cv2.projectPoints(
            points.reshape(-1, 1, 3), cv2.Rodrigues(turn)[0], -turn @ eye, matrix, lens
        )
        found.append({
            "camera_from_seat": turn.tolist(), "eye_mm": eye.tolist(), "focal_px": focal,
            "centre_px": centre.tolist(), "radial": radial.tolist(),
            "decentring": decentring.tolist(), "points": points.tolist(),
            "px": px.reshape(-1, 2).tolist(),
        })
    return found


ONE_FLAT = """format = 1
name = "One flat panel"
[seat]
view = "only/1"
distance_mm = 650
height_mm = 40
[[panel]]
name = "only"
pixels = [2560, 1440]
diagonal_in = 27
"""


def opencv_poses():
    """Photographs of one flat panel from several sides, and where OpenCV says they are taken from.

    The first is the eye's, where the file has it: the others' places count from it.
    """
    rng = np.random.default_rng(21)
    rig = Rig(ONE_FLAT)
    screen = Screen(rig.panels[0])
    size, focal = (4000, 3000), 2900.0
    matrix = np.array([[focal, 0, size[0] / 2 - 0.5], [0, focal, size[1] / 2 - 0.5], [0, 0, 1]])
    px = grid(screen.panel, 120)
    points = screen.panel.at(screen.panel.s_from_px(px[:, 0]), screen.panel.t_from_py(px[:, 1]))
    found = []
    for place in ((0, 0, 0), (-420, 60, 130), (400, 110, 60), (60, 330, -40), (-150, -280, 210)):
        eye = np.array(place, float)
        ahead = points.mean(0) - eye
        aim = np.arctan2(ahead[0], -ahead[2]), np.arcsin(ahead[1] / np.linalg.norm(ahead))
        camera = Camera(size, eye, looking(*(np.array(aim) + 0.03 * rng.normal(size=2)), 0.2 * rng.normal()),
                        focal, (size[0] / 2, size[1] / 2))
        at, ahead = camera.project(screen.leaves_glass(px[:, 0], px[:, 1], camera.eye)[0])
        inside = ahead & np.all((at > 0) & (at < size), axis=-1)
        good, turn, shift = cv2.solvePnP(points[inside], at[inside] - 0.5, matrix, None)
        assert good and inside.sum() > 60, (place, inside.sum())
        turn = cv2.Rodrigues(turn)[0]
        found.append({
            "size_px": list(size),
            "sightings": [[0, *map(float, a), *map(float, b)] for a, b in zip(px[inside], at[inside])],
            "camera_from_seat": turn.tolist(), "eye_mm": (-turn.T @ shift[:, 0]).tolist(),
        })
    return {"rig": ONE_FLAT, "focal_px": focal, "photos": found}


def compute():
    cases = [case(name, seed) for seed, name in enumerate(("tram-cab", "night-train", "ferry-bridge"))]
    return {"cameras": opencv_cameras(), "poses": opencv_poses(), "cases": cases}


if __name__ == "__main__":
    committed.main(__doc__, compute, "tests/data/photos.json", 1e-4)
