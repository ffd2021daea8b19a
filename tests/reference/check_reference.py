"""Holds `rig_reference.py` against closed forms and published values.

The reference is only worth something if it is right itself. Each check names
where its value comes from; "arithmetic" means that it follows on one line.

    python3 check_reference.py
"""

from math import asin, atan, degrees, hypot, radians, sqrt

import numpy as np

from rig_reference import Rig, azimuth, seam_break, unit

PANEL = '''
[[panel]]
name = "{name}"
pixels = [{w}, {h}]
{size}
{more}
'''


def rig(size, seams, facing="p1/1", distance=700.0, w=1920, h=1080, more="", seat=""):
    """A rig of equal panels, one more than there are seams."""
    text = f'format = 1\nname = "x"\n[seat]\nview = "{facing}"\ndistance_mm = {distance!r}\n{seat}\n'
    for i in range(len(seams) + 1):
        text += PANEL.format(name=f"p{i + 1}", w=w, h=h, size=size, more=more)
    return Rig(text + "".join(f"\n[[seam]]\n{s}\n" for s in seams))


def near(found, expected, within):
    assert np.abs(np.asarray(found) - expected).max() <= within, (found, expected)


def check_sizes():
    """Diagonal arithmetic: 27 inches at 16:9 and its angles at 700 mm (square pixels)."""
    one = rig("diagonal_in = 27", [])
    near(one.panels[0].size_mm, [597.727, 336.221], 6e-4)
    near([one.fov()["facing_horizontal_deg"], one.fov()["facing_vertical_deg"]],
         [46.2399, 27.0086], 6e-5)


def check_arcs():
    """Chord and sagitta of a bent panel: R sin, R (1 - cos) of half its angle."""
    for size, pixels, radius, chord, sagitta, turn in (
        (27, (1920, 1080), 1800, 594.984, 24.754, 19.026),
        (49, (5120, 1440), 1000, 1127.729, 174.133, 68.647),
    ):
        one = rig(f"diagonal_in = {size}", [], w=pixels[0], h=pixels[1],
                  more=f"curve_radius_mm = {radius}")
        p = one.panels[0]
        left, middle, right = (p.at(s, 0.0) for s in (-p.width / 2, 0.0, p.width / 2))
        near(np.linalg.norm(right - left), chord, 6e-4)
        near(((left + right) / 2 - middle)[2], sagitta, 6e-4)
        cosine = p.normal_at(-p.width / 2) @ p.normal_at(p.width / 2)
        near(degrees(np.arccos(cosine)), turn, 6e-4)


def check_square():
    """Flat neighbours that touch, at 2 atan(w/2d): every view's middle is d away, square."""
    d, w = 611.0, 530.0
    turn = f"angle_deg = {degrees(2 * atan(w / 2 / d))!r}"
    three = rig(f"size_mm = [{w}, 300.0]", [turn, turn], facing="p2/1", distance=d)
    for view in three.numbers()["views"]:
        near([view["distance_mm"], view["square_mm"]], d, 1e-9)
    near(three.fov()["whole_deg"], degrees(6 * atan(w / 2 / d)), 1e-9)


def check_poses():
    """Signs: top leans away, counter-clockwise roll, step towards the viewer."""
    back = rig("size_mm = [500.0, 300.0]", [], more="tilt_deg = 10").panels[0]
    assert back.at(0.0, 150.0)[2] < back.middle[2] - 20
    rolled = rig("size_mm = [500.0, 300.0]", [], more="roll_deg = 5").panels[0]
    assert rolled.at(250.0, 0.0)[1] > 20
    two = rig("size_mm = [500.0, 300.0]", ["fold_deg = 0\nstep_mm = 7\nrise_mm = 3\ngap_mm = 4"])
    near(two.panels[1].at(-250.0, 0.0), [254.0, 3.0, -693.0], 1e-9)
    folded = rig("size_mm = [500.0, 300.0]", ["fold_deg = 30"]).panels[1]
    assert folded.normal_at(0.0)[0] < -0.49 and azimuth(folded.middle) > radians(20)


def check_breaks():
    """Breaks of coplanar panels, from the reference plane's normal (arithmetic)."""
    d, w, rise = 700.0, 500.0, 5.0
    size = f"size_mm = [{w}, 300.0]"
    true = rig(size, ["fold_deg = 0\ngap_mm = 20"], distance=d)
    level = np.array([0.0, 1.0, 0.0])
    raised = rig(size, [f"fold_deg = 0\ngap_mm = 20\nrise_mm = {rise}"], distance=d)
    found = seam_break(true, raised, 0, level)
    far = hypot(w / 2 + 20, d, rise)
    near(found["break_arcmin"], degrees(asin(rise / far)) * 60, 1e-9)
    near(found["break_px"], rise / (300.0 / 1080), 1e-9)

    # A gap that is wider by g moves a line of slope m down by m g where it goes on.
    m, g = 0.3, 8.0
    slanted = unit(np.cross([0.0, 0.0, -1.0], [-1.0, -m, 0.0]))
    wide = rig(size, [f"fold_deg = 0\ngap_mm = {20 + g}"], distance=d)
    found = seam_break(true, wide, 0, slanted)
    near(found["break_px"], -m * g / (300.0 / 1080), 1e-9)
    x, y = w / 2 + 20 + g, m * (w / 2 + 20)
    drop = (y - m * x) / sqrt(1 + m * m)
    near(found["break_arcmin"], degrees(asin(drop / sqrt(x * x + y * y + d * d))) * 60, 1e-9)

    # The true rig has no break, whatever the panels.
    bent = rig(size, ["fold_deg = 20\nrise_mm = 9\nstep_mm = -6"], more="curve_radius_mm = 900\ntilt_deg = 4\nroll_deg = -2")
    found = seam_break(bent, bent, 0, unit([0.2, 1.0, 0.1]))
    near([found["break_arcmin"], found["kink_deg"]], 0.0, 1e-9)

    # A right panel rolled by r about its middle kinks a level line by nearly r.
    rolled = rig(size, ["fold_deg = 0"], distance=5000.0)
    other = Rig(rolled.text.replace('name = "p2"', 'name = "p2"\nroll_deg = 2'))
    near(seam_break(rolled, other, 0, level)["kink_deg"], 2.0, 0.01)


if __name__ == "__main__":
    checks = [f for name, f in sorted(globals().items()) if name.startswith("check_")]
    for check in checks:
        check()
    print(f"{len(checks)} checks of the reference hold")
