"""Templates on paper, read back from the PDF and held against the second layout.

pdfplumber reads paths and letters of every page; nothing of how the program drew
them is used but what a person sees: a card outline and a bar of 100 mm, pieces
within thin closed lines, marks, leaders and texts. Lengths must be right to
0.05 mm and angles to 0.02 degrees, on the demos and on every invented rig.

    python3 template_pages.py --binary target/release/throughline rigs/*.toml

``--stretched`` reads every page one part in two thousand too large: has to fail.
"""

import argparse
import subprocess
import sys
import tempfile
from math import atan2, degrees
from pathlib import Path

import numpy as np
import pdfplumber

from invented_rigs import RIGS
from rig_reference import Rig

MM_PER_PT = 25.4 / 72
LENGTH_MM = 0.05
ANGLE_DEG = 0.02
CARD_MM = (85.60, 53.98)
BAR_MM = 100.0
CUT_MM, MARK_MM = 0.10, 0.18


class Page:
    """One page in millimetres from its top left corner."""

    def __init__(self, page, scale):
        def mm(x):
            return float(x) * MM_PER_PT * scale

        self.size = mm(page.width), mm(page.height)
        self.paths = []
        for kind in (page.lines, page.rects, page.curves):
            for path in kind:
                points = np.array([[mm(x), mm(y)] for x, y in path["pts"]])
                self.paths.append((float(path["linewidth"]) * MM_PER_PT, bool(path.get("dash") and path["dash"][0]), points))
        # Texts side by side are told apart by gaps wider than any space between words.
        self.words = [
            (w["text"], mm(w["x0"]), mm(w["top"]), mm(w["x1"]), mm(w["bottom"]))
            for w in page.extract_words(x_tolerance=8, keep_blank_chars=True)
        ]
        self.text = page.extract_text(x_tolerance=1.5)

    def pens(self, width):
        """Undashed paths of a pen's width."""
        return [p for w, dashed, p in self.paths if abs(w - width) < 0.005 and not dashed]

    def segments(self, width):
        """Straight lines of a pen's width, as pairs of points."""
        return [p for p in self.pens(width) if len(p) == 2]

    def within(self, box):
        """Texts that begin inside a box."""
        (x0, y0), (x1, y1) = box
        return [w for w in self.words if x0 - 0.2 <= w[1] <= x1 and y0 <= (w[2] + w[4]) / 2 <= y1]


def box(points):
    return points.min(0), points.max(0)


class Faults:
    """Largest deviations, and what is wrong."""

    def __init__(self, rig):
        self.rig, self.lengths, self.angles, self.texts = rig, [0.0], [0.0], []

    def length(self, what, found, expected):
        self.lengths.append(abs(found - expected))
        if not abs(found - expected) <= LENGTH_MM:
            self.texts.append(f"{what}: {found:.3f} mm, expected {expected:.3f}")

    def angle(self, what, found, expected):
        self.angles.append(abs(found - expected))
        if not abs(found - expected) <= ANGLE_DEG:
            self.texts.append(f"{what}: {found:.4f} degrees, expected {expected:.4f}")

    def must(self, holds, what):
        if not holds:
            self.texts.append(what)


# --- Every page ---------------------------------------------------------------


def check_page(page, faults, number):
    faults.length(f"page {number}'s short side", min(page.size), 210.0)
    faults.length(f"page {number}'s long side", max(page.size), 297.0)
    sizes = [np.ptp(p, axis=0) for p in page.pens(MARK_MM) if len(p) >= 4]
    faults.must(len(sizes) == 1, f"page {number}: {len(sizes)} outlines of cards")
    for size in sizes:
        faults.length("card's width", size[0], CARD_MM[0])
        faults.length("card's height", size[1], CARD_MM[1])
    low = max(s[:, 1].max() for s in page.segments(MARK_MM) if np.ptp(s[:, 1]) < 0.001)
    bars = [np.ptp(s[:, 0]) for s in page.segments(MARK_MM) if abs(s[0, 1] - low) < 0.001 and np.ptp(s[:, 0]) > 50]
    faults.must(len(bars) == 1, f"page {number}: {len(bars)} bars")
    for bar in bars:
        faults.length("bar", bar, BAR_MM)
    for _, _, points in page.paths:
        inside = (points > 4).all() and (points < np.array(page.size) - 4).all()
        faults.must(inside, f"page {number}: a line runs where printers don't print")
    for text, x0, _, x1, _ in page.words:
        faults.must(x0 > 4 and x1 < page.size[0] - 4, f"page {number}: {text!r} leaves the paper")


# --- Wedges ---------------------------------------------------------------------


def ruler_height(rig, seam):
    ends = [
        np.sort([p.at(side * p.width, t)[1] for t in (-p.height / 2, p.height / 2)])
        for p, side in ((rig.panels[seam], 0.5), (rig.panels[seam + 1], -0.5))
    ]
    return (max(e[0] for e in ends) + min(e[1] for e in ends)) / 2


def level_cut(panel, side, height, reach):
    """Plan points (x, z) of a panel cut level, from a lit edge inwards."""
    s = side * (panel.width / 2 - np.linspace(0, reach, 4001))
    t = (height - panel.at(s, 0.0)[:, 1]) / panel.up[1]
    points = panel.at(s, t)
    assert np.abs(points[:, 1] - height).max() < 1e-9
    return points[:, [0, 2]], np.abs(t) <= panel.height / 2 + 1e-3


def turns(points):
    """Turn at each vertex of a closed polygon, in degrees."""
    before, after = points - np.roll(points, 1, 0), np.roll(points, -1, 0) - points
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.degrees(np.arctan2(cross, (before * after).sum(1)))


def turn_deg(a, b):
    """From one direction to another."""
    return degrees(atan2(a[0] * b[1] - a[1] * b[0], a @ b))


def chains(outline):
    """The card's two edges for the glass, from the lit edges outwards: left, right.

    The front edge is the lowest, level; a side goes up from either end of it, and
    from there the edge runs on until the outline turns sharply.
    """
    low = outline[:, 1].max()
    front = [i for i, p in enumerate(outline) if abs(p[1] - low) < 0.001]
    assert len(front) == 2, front
    sharp = np.abs(turns(outline)) > 25
    found = []
    for corner, other in (front, front[::-1]):
        step = -1 if (corner + 1) % len(outline) == other else 1
        at = (corner + step) % len(outline)
        chain = [outline[at]]
        while True:
            at = (at + step) % len(outline)
            chain.append(outline[at])
            if sharp[at]:
                break
        found.append((outline[corner][0], np.array(chain[::-1])))
    return [chain for _, chain in sorted(found, key=lambda f: f[0])]


def check_wedge(page, rig, seam, faults):
    """One card; returns whether there is one."""
    cards = page.pens(CUT_MM)
    cards = [p for p in cards if len(p) > 4]
    if not cards:
        faults.must("There is no wedge" in page.text, f"seam {seam + 1}: no wedge, and no word of it")
        return False
    outline = cards[0]
    if np.linalg.norm(outline[0] - outline[-1]) < 1e-3:
        outline = outline[:-1]
    name = f"wedge {seam + 1}"
    left, right = rig.panels[seam], rig.panels[seam + 1]
    said = "\n".join(w[0] for w in page.within(box(outline)))
    faults.must(rig.name in said and f"seam {seam + 1}: {left.name} | {right.name}" in said, f"{name}: says {said!r}")
    faults.must(f"fold {degrees(rig.seams[seam].fold):.2f}°" in said, f"{name}: its fold isn't on it")
    drawn = chains(outline)
    lit = [chain[0] for chain in drawn]
    faults.length(f"{name}: dark", float(np.linalg.norm(lit[1] - lit[0])), rig.dark_mm(seam))
    height = ruler_height(rig, seam)
    true, ends = [], []
    for panel, side, chain in ((left, 1, drawn[0]), (right, -1, drawn[1])):
        points, is_lit = level_cut(panel, side, height, min(160.0, panel.width))
        true.append(points)
        # The cut at the card's outer end, which must not reach beyond what is lit.
        far = np.linalg.norm(chain[-1] - chain[0])
        end = int(np.abs(np.linalg.norm(points - points[0], axis=1) - far).argmin())
        faults.must(is_lit[end], f"{name}: an edge reaches beyond the glass")
        ends.append(points[end] - points[0])
        faults.must(np.linalg.norm(chain[-1] - chain[0]) > 15, f"{name}: an edge is too short")
    # The card's own place: lit edges on lit edges, seen from above.
    turn = np.subtract(*[atan2(*(b - a)[::-1]) for a, b in ((true[0][0], true[1][0]), (lit[0], lit[1]))])
    c, s = np.cos(-turn), np.sin(-turn)
    rotation = np.array([[c, -s], [s, c]])
    middle = (true[0][0] + true[1][0]) / 2, (lit[0] + lit[1]) / 2
    for chain, points in zip(drawn, true):
        placed = (points - middle[0]) @ rotation.T + middle[1]
        for vertex in chain:
            off = np.linalg.norm(placed - vertex, axis=1)
            near = int(off.argmin())
            # Between two points of the fine cut.
            a, b = placed[max(near - 1, 0)], placed[min(near + 1, len(placed) - 1)]
            along = (b - a) / np.linalg.norm(b - a)
            reach = np.clip((vertex - a) @ along, 0, np.linalg.norm(b - a))
            faults.length(f"{name}: a point of its edge is off the glass", float(np.linalg.norm(vertex - a - reach * along)), 0.0)
    drawn_turn = turn_deg(drawn[0][0] - drawn[0][-1], drawn[1][-1] - drawn[1][0])
    true_turn = turn_deg(-ends[0], ends[1])
    faults.angle(f"{name}: between its edges", drawn_turn, true_turn)
    if left.radius_mm is None and right.radius_mm is None:
        faults.angle(f"{name}: fold", drawn_turn, degrees(rig.seams[seam].fold))
    return True


# --- Strips ---------------------------------------------------------------------


def check_strips(pages, rig, faults):
    seen = set()
    for page in pages:
        for piece in [p for p in page.pens(CUT_MM) if len(p) >= 4]:
            (x0, y0), (x1, y1) = box(piece)
            texts = " ".join(w[0] for w in page.within(((x0, y0), (x1, y1))))
            for seam in range(len(rig.seams)):
                if f"seam {seam + 1}: {rig.panels[seam].name}" in texts:
                    break
            else:
                faults.must(False, f"a strip says {texts!r}")
                continue
            seen.add(seam)
            faults.must(rig.name in texts, f"strip {seam + 1}: no name of the rig")
            uprights = [
                (s[:, 1].max() - s[:, 1].min(), s[0, 0])
                for s in page.segments(MARK_MM)
                if np.ptp(s[:, 0]) < 0.001 and y0 - 0.01 <= s[:, 1].min() and s[:, 1].max() <= y1
            ]
            dark = sorted(x for length, x in uprights if abs(length - 12) < 0.05)
            if "too long for this sheet" not in texts:
                faults.must(len(dark) == 2, f"strip {seam + 1}: {len(dark)} long marks")
                faults.length(f"strip {seam + 1}: dark", dark[-1] - dark[0], rig.dark_mm(seam))
            faults.must(f"dark {rig.dark_mm(seam):.2f} mm (gap {rig.seams[seam].gap_mm:.2f} mm)" in texts, f"strip {seam + 1}: {texts!r}")
            step = sorted(x for length, x in uprights if abs(length - 8) < 0.05)
            size = rig.seams[seam].step_mm
            if size:
                faults.must(len(step) == 2, f"strip {seam + 1}: {len(step)} marks for the step")
                faults.length(f"strip {seam + 1}: step", step[-1] - step[0], abs(size))
                nearer = rig.panels[seam + 1 if size > 0 else seam].name
                faults.must(f"mm: {nearer} is nearer to you" in texts, f"strip {seam + 1}: {texts!r}")
            else:
                faults.must(not step, f"strip {seam + 1}: a step where there is none")
    faults.must(seen == set(range(len(rig.seams))), f"strips of seams {sorted(seen)}")


# --- Staffs ---------------------------------------------------------------------


def pieces(pages, faults):
    """(page, box, joint row or None, place of the piece's top below the staff's top)."""
    found = []
    for page in pages:
        for piece in sorted((p for p in page.pens(CUT_MM) if len(p) >= 4), key=lambda p: p[:, 0].min()):
            (x0, y0), (x1, y1) = box(piece)
            joint = [s[0, 1] for s in page.segments(MARK_MM) if abs(np.ptp(s[:, 0]) - (x1 - x0)) < 0.01 and abs(s[:, 0].min() - x0) < 0.01]
            found.append([page, (x0, y0, x1, y1), joint[0] if joint else None])
    top, result = 0.0, []
    for index, (page, area, joint) in enumerate(found):
        texts = " ".join(w[0] for w in page.within(((area[0], area[1]), (area[2], area[3]))))
        faults.must(f"piece {index + 1} of {len(found)}" in texts, f"a piece says {texts!r}")
        faults.must((joint is None) == (index + 1 == len(found)), f"piece {index + 1}'s joint")
        result.append((page, area, joint, top))
        top += (joint if joint is not None else area[3]) - area[1]
    return result


def staff_marks(pages, faults):
    """(how far below the staff's top, text) of every mark, by its leader."""
    marks = []
    for page, (x0, y0, x1, y1), joint, top in pieces(pages, faults):
        leaders = [s for s in page.segments(0.10) if abs(s[0, 0] - s[1, 0]) > 1 and x0 < s[:, 0].min() and s[:, 0].max() < x1 and abs(np.ptp(s[:, 0])) < 10]
        ticks = [s for s in page.segments(MARK_MM) if abs(np.ptp(s[:, 0]) - 12) < 0.01 and np.ptp(s[:, 1]) < 0.001 and x0 - 0.01 <= s[:, 0].min() and s[:, 0].max() < x1]
        for leader in leaders:
            start, end = sorted(leader.tolist())
            tick = [t for t in ticks if np.linalg.norm(t.max(0) - start) < 0.01]
            label = [w for w in page.words if abs(w[1] - end[0]) < 1.5 and w[2] - 0.5 < end[1] < w[4] + 0.5]
            faults.must(len(label) == 1 and tick, f"a mark of {len(label)} labels, {[w[0] for w in label]}")
            if label and tick:
                marks.append((top + start[1] - y0, label[0][0]))
    return marks


def facing_middle(rig):
    """The facing view's middle: a panel's roll takes it along."""
    panel, view = rig.facing
    return rig.panels[panel].at(rig.panels[panel].view_middle_s(view), 0.0)


def check_heights(pages, rig, faults):
    expected = {"eye level": 0.0}
    for p in rig.panels:
        ends = sorted(float(p.at(0.0, t)[1]) for t in (-p.height / 2, p.height / 2))
        expected[f"lit bottom of {p.name}"], expected[f"lit top of {p.name}"] = ends
    panel, view = rig.facing
    p = rig.panels[panel]
    name = p.name if p.views == 1 else f"{p.name}/{view + 1}"
    expected[f"middle of {name}"] = float(facing_middle(rig)[1])
    marks = staff_marks(pages, faults)
    level = [down for down, text in marks if text.endswith("eye level")]
    faults.must(len(level) == 1, f"{len(level)} marks for eye level")
    said = {}
    for down, text in marks:
        number, what = text.split(" ", 1)
        said[what] = level[0] - down
        faults.must(abs(float(number) - expected.get(what, np.inf)) < 0.0501, f"{text!r} on the staff")
    faults.must(said.keys() == expected.keys(), f"marks {sorted(said)}")
    for what in said.keys() & expected.keys():
        faults.length(what, said[what], expected[what])


def check_seat(pages, rig, faults):
    marks = staff_marks(pages, faults)
    eye = [down for down, text in marks if text.endswith("the eye")]
    faults.must(len(eye) == 1, f"{len(eye)} marks for the eye")
    faults.length("tape to the eye", eye[0], -float(facing_middle(rig)[2]))
    for down, text in marks:
        if text.replace(".", "").isdigit():
            faults.length(f"tape at {text}", down, float(text))
    page, (x0, y0, x1, y1), _, top = pieces(pages, faults)[-1]
    spine = [p[0, 0] for w, dashed, p in page.paths if dashed and x0 < p[0, 0] < x1]
    cross = [s[:, 0].mean() for s in page.segments(MARK_MM) if abs(np.ptp(s[:, 1]) - 8) < 0.01 and x0 < s[0, 0] < x1]
    offset = -float(facing_middle(rig)[0])
    if -26 <= offset <= 58:
        faults.must(len(cross) == 1, f"{len(cross)} crosses for the eye")
        faults.length("eye beside the line", cross[0] - spine[0], offset)
    else:
        faults.must(not cross, "a cross where there is no room")
        side = "right" if offset > 0 else "left"
        faults.must(f"{abs(offset):.1f} mm to the {side} of" in page.text.replace("\n", " "), "the offset isn't told")


def check(binary, rig, path, folder, scale):
    pdf = Path(folder) / "templates.pdf"
    done = subprocess.run([str(binary), "sheet", str(path), "--template", str(pdf)], capture_output=True, text=True)
    if done.returncode != 0:
        raise SystemExit(f"{path}: exit {done.returncode}\n{done.stderr}")
    faults = Faults(rig)
    with pdfplumber.open(pdf) as document:
        pages = [Page(page, scale) for page in document.pages]
    for number, page in enumerate(pages, 1):
        check_page(page, faults, number)
        faults.must(f"sheet {number} of {len(pages)}, {rig.name}" in page.text, f"page {number} doesn't say so")
    titles = [page.text.splitlines()[0] for page in pages]
    of = lambda start: [page for page, title in zip(pages, titles) if title.startswith(start)]
    wedges = 0
    for seam in range(len(rig.seams)):
        mine = of(f"Wedge for seam {seam + 1}:")
        faults.must(len(mine) == 1, f"{len(mine)} wedges for seam {seam + 1}")
        wedges += sum(check_wedge(page, rig, seam, faults) for page in mine)
    check_strips(of("Strips"), rig, faults)
    check_heights(of("Heights"), rig, faults)
    check_seat(of("From the glass"), rig, faults)
    passed = not faults.texts
    print(f"{rig.name:<22} {len(pages):>3} pages {wedges:>2} wedges {max(faults.lengths):>8.4f} mm {max(faults.angles):>8.5f} deg  {'ok' if passed else 'FAILED'}")
    for text in faults.texts[:8]:
        print(f"    {text}")
    return passed


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    parser.add_argument("--stretched", action="store_true", help="read pages too large: has to fail")
    parser.add_argument("rigs", nargs="+", help="rig files")
    args = parser.parse_args()
    scale = 1.0005 if args.stretched else 1.0
    results = []
    with tempfile.TemporaryDirectory() as folder:
        for path in args.rigs:
            results.append(check(args.binary, Rig.load(path), path, folder, scale))
        for number, text in enumerate(RIGS):
            path = Path(folder) / f"invented-{number}.toml"
            path.write_text(text, encoding="utf-8")
            results.append(check(args.binary, Rig(text), path, folder, scale))
    sys.exit(0 if all(results) else 1)


if __name__ == "__main__":
    main()
