"""Rigs built otherwise than their file says, and three photographs of each, drawn at random.

What a set is made of is drawn here, from a seed; ``photo_simulator`` makes the
pictures. A file's errors are those of a person with a tape: ``ERRORS`` are
standard deviations, cut at two and a half of them.
"""

from dataclasses import dataclass, field

import numpy as np

from photo_light import Faults
from photo_optics import Camera, Screen, looking
from reading_model import USUAL, moved, value
from rig_reference import Rig, azimuth, elevation
from solve_reference import invented
from wrong_rigs import DEMOS, RIGS

SIZE_SHARE, RADIUS_SHARE = 0.002, 0.03
# Where the photographs are taken from, in the seat frame: the first from the eye.
PLACES = [(0.0, 0.0, 0.0), (-350.0, 0.0, 250.0), (350.0, 0.0, 250.0)]
DEGRADES = ["two", "small", "over", "hand", "mirror", "slant", "lamp", "screen"]


@dataclass
class Shot:
    """One photograph's camera, faults and what gets in its way."""

    camera: Camera
    faults: Faults
    hand: tuple | None = None
    mirror: tuple | None = None
    # An EXIF orientation that a phone would note, 1 upright.
    orientation: int = 1
    screenshot: bool = False


@dataclass
class Photographs:
    """A set: the rig file as drawn, the rig as built, and its photographs."""

    name: str
    text: str
    drawn: Rig
    built: Rig
    screens: list
    brightness: list
    shots: list
    seed: int
    room: float
    values: dict = field(default_factory=dict)


def plain_paths(rig):
    """The paths of every number of a rig that photographs could tell."""
    yield from (f"seat.{key}" for key in ("distance_mm", "height_mm", "offset_mm"))
    for n in range(1, len(rig.seams) + 1):
        yield from (f"seam.{n}.{key}" for key in ("fold_deg", "gap_mm", "step_mm", "rise_mm"))
    for n, panel in enumerate(rig.panels, 1):
        yield from (f"panel.{n}.{key}" for key in ("roll_deg", "tilt_deg", "width_mm", "height_mm"))
        if panel.radius_mm is not None:
            yield f"panel.{n}.curve_radius_mm"


def built(random, rig):
    """The rig as it stands: every number off by what a tape gets wrong.

    The facing panel's roll and tilt are the file's: no photograph can tell them.
    """
    facing = f"panel.{rig.facing[0] + 1}."
    numbers = {}
    for path in plain_paths(rig):
        key = path.rpartition(".")[2]
        was = value(rig, path)
        if path.startswith("panel") and key in ("width_mm", "height_mm"):
            sigma = SIZE_SHARE * was
        elif key == "curve_radius_mm":
            sigma = RADIUS_SHARE * was
        elif path.startswith(facing) and key in ("roll_deg", "tilt_deg"):
            sigma = 0.0
        else:
            sigma = USUAL[key]
        numbers[path] = was + sigma * float(np.clip(random.normal(), -2.5, 2.5))
    return moved(rig, numbers)


def screens(random, seed, rig):
    """The built panels, bowed by up to half a millimetre, behind one thickness of glass.

    The last two terms of a bow are what the program's model leaves out.
    """
    left_out = np.random.default_rng([seed, 20261128])
    glass, index = random.uniform(0.0, 1.0), random.uniform(1.47, 1.53)
    made = []
    for panel in rig.panels:
        bow = random.uniform(-1, 1, 5) * (0.5, 0.3, 0.2, 0.3, 0.2)
        if panel.radius_mm is not None:
            # Another bow along the curve is another radius.
            bow[0] = 0.0
        bow *= random.uniform(0, 0.5) / max(np.abs(bow).sum(), 1e-9)
        bow = (*bow, *(left_out.uniform(-1, 1, 2) * (0.08, 0.05)))
        made.append(Screen(panel, tuple(float(b) for b in bow), glass, index))
    return made


def _aim(rig, eye):
    """Azimuth and elevation from a place towards the seams and the panels' middles."""
    seams = [
        (left.at(left.width / 2, 0.0) + right.at(-right.width / 2, 0.0)) / 2
        for left, right in zip(rig.panels, rig.panels[1:])
    ]
    middles = [p.middle for p in rig.panels]
    target = 0.65 * np.mean(seams or middles, axis=0) + 0.35 * np.mean(middles, axis=0)
    return float(azimuth(target - eye)), float(elevation(target - eye))


def camera(random, rig, place, size, lens, upright=False):
    """A hand-held camera at a place, aimed as a person would."""
    w, h = size
    eye = np.array(place, float)
    if np.any(eye):
        eye = eye + random.normal(0, (35, 45, 35))
    az, el = _aim(rig, eye)
    roll = np.radians(random.uniform(-5, 5)) + (random.choice([-1, 1]) * np.pi / 2 if upright else 0.0)
    scale = w / 4000
    turn = looking(az + np.radians(random.normal(0, 2.5)), el + np.radians(random.normal(0, 2)), roll)
    return Camera(
        size=size, eye=eye, turn=turn,
        # Other focus, other length; the middle moves with the stabiliser.
        focal=w * lens["focal"] * (1 + random.normal(0, 0.004)),
        centre=(w / 2 + scale * random.normal(0, 18), h / 2 + scale * random.normal(0, 18)),
        radial=lens["radial"], decentring=lens["decentring"],
        shear=tuple(float(v) for v in np.clip(scale * random.normal(0, 1.2, 2), -3, 3)),
    )


def faults(random, size, degrade):
    """What a phone's camera does to a photograph of displays in a dim room."""
    scale = size[0] / 4000
    over = degrade == "over"
    lamps = []
    if degrade == "lamp" or random.random() < 0.25:
        lamps.append((
            random.uniform(0.1, 0.9) * size[0], random.uniform(0.1, 0.7) * size[1],
            random.uniform(0.02, 0.05) * size[0] * (2 if degrade == "lamp" else 1),
            random.uniform(1.0, 2.5) if degrade == "lamp" else random.uniform(0.1, 0.6),
        ))
    angle, length = random.uniform(0, 2 * np.pi), abs(random.normal(0, 1.0)) * scale
    return Faults(
        blur=max(0.55, random.uniform(0.6, 1.6) * scale**0.5),
        smear=(length * np.cos(angle), length * np.sin(angle)),
        bloom=(random.uniform(0.0, 0.12), random.uniform(3, 9) * scale),
        veil=random.uniform(0.0, 0.06),
        lamps=lamps,
        # White is code 200, 0.58 of full light: from two stops under to clipped.
        exposure=random.uniform(3.0, 5.0) if over else float(np.exp(random.uniform(np.log(0.5), np.log(2.2)))),
        noise=random.uniform(0.001, 0.006), electrons=random.uniform(1500, 8000),
        mosaic=bool(random.random() < 0.8),
        gains=(random.uniform(1.3, 2.0), 1.0, random.uniform(1.3, 2.0)),
        sharpen=(random.uniform(0, 1.0), random.uniform(0.8, 1.6)), curve=random.uniform(0, 0.5),
        quality=int(random.integers(70, 96)),
    )


def a_lens(random):
    """What the photographs of one phone share: 24 to 28 mm on a full frame, not quite straight."""
    return {
        "focal": random.uniform(24, 28) / 36,
        "radial": tuple(float(v) for v in random.normal(0, (0.03, 0.02, 0.005))),
        "decentring": tuple(float(v) for v in random.normal(0, 0.0005, 2)),
    }


def _flat_pair(rig):
    """A flat panel and a neighbour that it can mirror, if there are any."""
    pairs = [(n, m) for n in range(len(rig.panels)) for m in (n - 1, n + 1) if 0 <= m < len(rig.panels)]
    return next((p for p in pairs if rig.panels[p[0]].radius_mm is None), None)


def drawn(seed, demo=None, degrade=None):
    """The set of this seed, of a demo or of a rig of its own."""
    random = np.random.default_rng([seed, 20261127])
    if demo is None:
        text, name = invented(random, most=3), "random"
    else:
        text, name = (RIGS / f"{demo}.toml").read_text(encoding="utf-8"), demo
    rig = Rig(text)
    stands = built(random, rig)
    small = degrade == "small"
    size = (1600, 1200) if small else (4000, 3000)
    lens = a_lens(random)
    places = [np.array(p) for p in PLACES]
    if degrade == "two":
        places = places[:2]
    if degrade == "slant":
        places[1:] = [np.array((-750.0, 0.0, 60.0)), np.array((750.0, 0.0, 60.0))]
    shots = []
    for n, place in enumerate(places):
        upright = bool(random.random() < 0.125)
        shot = Shot(camera(random, stands, place, size, lens, upright), faults(random, size, degrade))
        if upright:
            shot.orientation = 6 if random.random() < 0.5 else 8
        if degrade == "hand":
            at = np.array(size) * random.uniform(0.3, 0.7, 2)
            shot.hand = (float(at[0]), float(at[1]), size[0] * random.uniform(0.04, 0.08), random.uniform(0, 6.28))
        if degrade == "mirror" and (pair := _flat_pair(stands)) is not None:
            shot.mirror = (*pair, float(random.uniform(0.04, 0.15)))
        shot.screenshot = degrade == "screen" and n == len(places) - 1
        shots.append(shot)
    return Photographs(
        name=f"{name}-{seed}" + (f"-{degrade}" if degrade else ""), text=text, drawn=rig, built=stands,
        screens=screens(random, seed, stands), brightness=[random.uniform(0.7, 1.0) for _ in stands.panels],
        shots=shots, seed=seed, room=random.uniform(0.004, 0.06),
        values={path: value(stands, path) for path in plain_paths(stands)},
    )


def of_study(seed, sets, degrade=None):
    """The sets of a study: the demos in turn, every third a rig of its own."""
    for n in range(sets):
        demo = None if n % 3 == 2 else DEMOS[(n - n // 3) % len(DEMOS)]
        yield drawn(seed * 1000 + n, demo, degrade)
