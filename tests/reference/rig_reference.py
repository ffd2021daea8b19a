"""A second, independent layout of a rig: from its TOML text to points in space.

Nothing here shares code with the program it checks: it is written from the
rig's geometry alone, in numpy, for clarity rather than speed.

Frame: the seat frame is right-handed, the eye at the origin, +x right, +y up,
-z ahead; millimetres, radians inside, degrees in keys that end in ``_deg``.
Pixel coordinates: the top-left pixel's area is [0,1) x [0,1), so its centre
is (0.5, 0.5).

On a panel a point is named by its arc length ``s`` right of the panel's middle
and its height ``t`` above it, both in millimetres.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from math import atan2, cos, degrees, hypot, radians, sin
from pathlib import Path

import numpy as np

MM_PER_INCH = 25.4


def azimuth(points):
    """Azimuth in radians, positive to the right, of points in the seat frame."""
    p = np.asarray(points, float)
    return np.arctan2(p[..., 0], -p[..., 2])


def elevation(points):
    """Elevation in radians, positive up, of points in the seat frame."""
    p = np.asarray(points, float)
    return np.arctan2(p[..., 1], np.hypot(p[..., 0], p[..., 2]))


def unit(vectors):
    """The vectors, each divided by its length."""
    v = np.asarray(vectors, float)
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def rot_x(angle):
    """Right-handed rotation about +x."""
    c, s = cos(angle), sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def rot_y(angle):
    """Right-handed rotation about +y: +z turns towards +x."""
    c, s = cos(angle), sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


def rot_z(angle):
    """Right-handed rotation about +z: +x turns towards +y."""
    c, s = cos(angle), sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def heading(yaw):
    """The level direction to the right along a surface whose normal has this yaw."""
    return np.array([cos(yaw), 0.0, -sin(yaw)])


def facing(yaw):
    """The level normal with this yaw: +z at zero, towards +x when positive."""
    return np.array([sin(yaw), 0.0, cos(yaw)])


@dataclass
class Panel:
    """One lit surface; placed in the seat frame once the rig is laid out."""

    name: str
    pixels: tuple[int, int]
    size_mm: tuple[float, float]
    radius_mm: float | None
    views: int
    bezel_left_mm: float
    bezel_right_mm: float
    desktop_px: tuple[int, int] | None
    tilt: float
    roll: float
    # Set by the layout.
    yaw: float = 0.0
    middle: np.ndarray = field(default_factory=lambda: np.zeros(3))
    seat_from_panel: np.ndarray = field(default_factory=lambda: np.eye(3))
    canvas_px: tuple[int, int, int, int] = (0, 0, 0, 0)

    @property
    def width(self):
        """Lit width along the surface."""
        return self.size_mm[0]

    @property
    def height(self):
        """Lit height."""
        return self.size_mm[1]

    @property
    def pitch_mm(self):
        """Width and height of a pixel."""
        return self.width / self.pixels[0], self.height / self.pixels[1]

    def turn_at(self, s):
        """How far the tangent at arc length s has turned from the middle's, as a yaw."""
        return 0.0 if self.radius_mm is None else -s / self.radius_mm

    def local(self, s, t):
        """Surface points in the panel's own frame."""
        s, t = np.broadcast_arrays(np.asarray(s, float), np.asarray(t, float))
        if self.radius_mm is None:
            return np.stack([s, t, np.zeros_like(s)], -1)
        r = self.radius_mm
        # 1 - cos(a) = 2 sin(a/2)^2 keeps its digits for small angles.
        return np.stack([r * np.sin(s / r), t, 2 * r * np.sin(s / (2 * r)) ** 2], -1)

    def at(self, s, t):
        """Surface points in the seat frame."""
        return self.middle + self.local(s, t) @ self.seat_from_panel.T

    def along(self, s):
        """The unit tangent towards +s in the seat frame."""
        a = 0.0 if self.radius_mm is None else s / self.radius_mm
        return self.seat_from_panel @ np.array([cos(a), 0.0, sin(a)])

    def normal_at(self, s):
        """The unit normal, towards the viewer, in the seat frame."""
        a = 0.0 if self.radius_mm is None else s / self.radius_mm
        return self.seat_from_panel @ np.array([-sin(a), 0.0, cos(a)])

    @property
    def up(self):
        """The unit direction of +t in the seat frame."""
        return self.seat_from_panel[:, 1]

    def s_from_px(self, px):
        """Arc length of a column coordinate."""
        return (np.asarray(px, float) / self.pixels[0] - 0.5) * self.width

    def t_from_py(self, py):
        """Height above the middle of a row coordinate."""
        return (0.5 - np.asarray(py, float) / self.pixels[1]) * self.height

    def py_from_t(self, t):
        """Row coordinate of a height above the middle."""
        return (0.5 - np.asarray(t, float) / self.height) * self.pixels[1]

    def view_middle_s(self, view):
        """Arc length of the middle of a view, counted from 0 at the left."""
        return ((view + 0.5) / self.views - 0.5) * self.width

    def view_edges_s(self, view):
        """Arc lengths of a view's left and right edge."""
        return tuple((k / self.views - 0.5) * self.width for k in (view, view + 1))

    def line_t(self, s, normal):
        """Height t at which the plane through the eye with this normal meets column s.

        Returns t and its derivative dt/ds.
        """
        n = np.asarray(normal, float) @ self.seat_from_panel
        c = np.asarray(normal, float) @ self.middle
        flat = self.local(s, 0.0)
        t = -(c + flat[..., 0] * n[0] + flat[..., 2] * n[2]) / n[1]
        a = np.zeros_like(flat[..., 0]) if self.radius_mm is None else np.asarray(s) / self.radius_mm
        return t, -(np.cos(a) * n[0] + np.sin(a) * n[2]) / n[1]


@dataclass
class Seam:
    """Where panel n and panel n + 1 meet; ``fold`` is at the lit edges."""

    fold: float
    angle: float
    gap_mm: float
    step_mm: float
    rise_mm: float
    hidden_px: int


class Rig:
    """A rig file's text, laid out.

    ``panels`` and ``seams`` stand from left to right, ``canvas_px`` is the
    canvas size and ``facing`` the indices (panel, view) of the facing view.
    """

    def __init__(self, text):
        data = tomllib.loads(text)
        assert data["format"] == 1
        self.text = text
        self.name = data.get("name", "")
        self.panels = [self._panel(p) for p in data["panel"]]
        seat = data["seat"]
        panel_name, _, view = seat["view"].rpartition("/")
        index = [p.name for p in self.panels].index(panel_name)
        self.facing = (index, int(view) - 1)
        assert 0 <= self.facing[1] < self.panels[index].views
        self.distance_mm = float(seat["distance_mm"])
        self.height_mm = float(seat.get("height_mm", 0.0))
        self.offset_mm = float(seat.get("offset_mm", 0.0))
        seams = data.get("seam", [])
        assert len(seams) == len(self.panels) - 1
        self.seams = [
            self._seam(s, l, r) for s, l, r in zip(seams, self.panels, self.panels[1:])
        ]
        self._place()
        self._canvas()

    @classmethod
    def load(cls, path):
        """Reads and lays out a rig file."""
        return cls(Path(path).read_text(encoding="utf-8"))

    @staticmethod
    def _panel(p):
        w, h = p["pixels"]
        if "diagonal_in" in p:
            assert "size_mm" not in p
            pitch = p["diagonal_in"] * MM_PER_INCH / hypot(w, h)
            size = (w * pitch, h * pitch)
        else:
            size = tuple(float(v) for v in p["size_mm"])
        bezel = p.get("bezel_mm", {})
        radius = p.get("curve_radius_mm")
        return Panel(
            name=p["name"],
            pixels=(w, h),
            size_mm=size,
            radius_mm=None if radius is None else float(radius),
            views=p.get("views", 1),
            bezel_left_mm=float(bezel.get("left", 0.0)),
            bezel_right_mm=float(bezel.get("right", 0.0)),
            desktop_px=tuple(p["desktop_px"]) if "desktop_px" in p else None,
            tilt=radians(p.get("tilt_deg", 0.0)),
            roll=radians(p.get("roll_deg", 0.0)),
        )

    @staticmethod
    def _seam(s, left, right):
        # Half a view's own turn, from its middle to its edge, on either side.
        halves = sum(
            0.0 if p.radius_mm is None else p.width / p.views / (2 * p.radius_mm)
            for p in (left, right)
        )
        assert ("angle_deg" in s) != ("fold_deg" in s)
        if "fold_deg" in s:
            fold = radians(s["fold_deg"])
        else:
            fold = radians(s["angle_deg"]) - halves
        return Seam(
            fold=fold,
            angle=fold + halves,
            gap_mm=float(s.get("gap_mm", 0.0)),
            step_mm=float(s.get("step_mm", 0.0)),
            rise_mm=float(s.get("rise_mm", 0.0)),
            hidden_px=s.get("hidden_px", 0),
        )

    def _place(self):
        # In plan, with the first panel's middle at the origin, facing +z.
        yaws, middles = [0.0], [np.zeros(3)]
        for seam, left, right in zip(self.seams, self.panels, self.panels[1:]):
            yaw, middle = yaws[-1], middles[-1]
            edge = middle + rot_y(yaw) @ left.local(left.width / 2, 0.0)
            out_yaw = yaw + left.turn_at(left.width / 2)
            in_yaw = out_yaw - seam.fold
            edge = edge + heading(out_yaw) * (left.bezel_right_mm + seam.gap_mm / 2)
            edge = edge + heading(in_yaw) * (seam.gap_mm / 2 + right.bezel_left_mm)
            edge = edge + facing((out_yaw + in_yaw) / 2) * seam.step_mm
            # The right panel's own left edge must come to lie there.
            yaw = in_yaw - right.turn_at(-right.width / 2)
            next_middle = edge - rot_y(yaw) @ right.local(-right.width / 2, 0.0)
            next_middle[1] = middle[1] + seam.rise_mm
            yaws.append(yaw)
            middles.append(next_middle)

        # Turn and shift the whole so that the facing view is where the seat says.
        panel, view = self.facing
        face = self.panels[panel]
        s = face.view_middle_s(view)
        face_turn = yaws[panel] + face.turn_at(s)
        whole = rot_y(-face_turn)
        view_middle = middles[panel] + rot_y(yaws[panel]) @ face.local(s, 0.0)
        target = np.array([-self.offset_mm, -self.height_mm, -self.distance_mm])
        for p, yaw, middle in zip(self.panels, yaws, middles):
            p.yaw = yaw - face_turn
            p.middle = target + whole @ (middle - view_middle)
            p.seat_from_panel = rot_y(p.yaw) @ rot_x(-p.tilt) @ rot_z(p.roll)

    def _canvas(self):
        panels = self.panels
        if panels[0].desktop_px is None:
            # In a row, middle rows in line; an odd difference leaves half a row above.
            tallest = max(p.pixels[1] for p in panels)
            corners, x = [], 0
            for p in panels:
                corners.append((x, (tallest - p.pixels[1]) // 2))
                x += p.pixels[0]
        else:
            corners = [p.desktop_px for p in panels]
        moved, hidden = [], 0
        for i, (x, y) in enumerate(corners):
            moved.append((x + hidden, y))
            hidden += self.seams[i].hidden_px if i < len(self.seams) else 0
        x0 = min(x for x, _ in moved)
        y0 = min(y for _, y in moved)
        for p, (x, y) in zip(panels, moved):
            p.canvas_px = (x - x0, y - y0, p.pixels[0], p.pixels[1])
        self.canvas_px = (
            max(p.canvas_px[0] + p.canvas_px[2] for p in panels),
            max(p.canvas_px[1] + p.canvas_px[3] for p in panels),
        )

    # --- Points and lines -------------------------------------------------

    def point(self, panel, px, py):
        """Seat-frame points of pixel coordinates on the panel with this index."""
        p = self.panels[panel]
        return p.at(p.s_from_px(px), p.t_from_py(py))

    def line_row(self, panel, normal, px):
        """Row at which the line with this plane normal crosses column px, closed form."""
        p = self.panels[panel]
        return p.py_from_t(p.line_t(p.s_from_px(px), normal)[0])

    def line_slope(self, panel, normal, px):
        """Rows per column (positive: downwards) of that line at column px."""
        p = self.panels[panel]
        slope = p.line_t(p.s_from_px(px), normal)[1]
        return -slope * p.pitch_mm[0] / p.pitch_mm[1]

    # --- The numbers ------------------------------------------------------

    def view_ids(self):
        """(panel, view) of every view from left to right, counted from 0."""
        return [(i, v) for i, p in enumerate(self.panels) for v in range(p.views)]

    def view_numbers(self, panel, view):
        """One view's numbers, under the keys of the sheet's JSON.

        Azimuths are those of the edges at mid height, elevations those of the
        top and bottom edge at the view's middle column.
        """
        p = self.panels[panel]
        s = p.view_middle_s(view)
        left, right = p.view_edges_s(view)
        middle = p.at(s, 0.0)
        return {
            "panel": p.name,
            "view": view + 1,
            "azimuth_deg": [degrees(azimuth(p.at(e, 0.0))) for e in (left, right)],
            "elevation_deg": [
                degrees(elevation(p.at(s, t))) for t in (-p.height / 2, p.height / 2)
            ],
            "distance_mm": float(np.linalg.norm(middle)),
            "square_mm": abs(float(middle @ p.normal_at(s))),
            "pitch_mm": list(p.pitch_mm),
        }

    def horizon_px(self, panel, view):
        """Row, at a view's middle column, at which the eye sees eye level."""
        p = self.panels[panel]
        s = p.view_middle_s(view)
        low, high = (float(p.at(s, t)[1]) for t in (-p.height / 2, p.height / 2))
        return high / (high - low) * p.pixels[1]

    def dark_mm(self, seam):
        """What a level ruler reads across the seam, from lit edge to lit edge.

        In plan, at the middle of the heights that both edges reach; edges that
        share none are extended. Edges steeper than a fifth of a turn only.
        """
        return self.level_mm(seam, 0.5, -0.5)

    def level_mm(self, seam, of_left, of_right):
        """What is read level between an edge of the left panel and one of the right."""
        sides = (self.panels[seam], of_left), (self.panels[seam + 1], of_right)
        ends = [
            np.array([p.at(side * p.width, t) for t in (-p.height / 2, p.height / 2)])
            for p, side in sides
        ]
        heights = [np.sort(e[:, 1]) for e in ends]
        height = (max(h[0] for h in heights) + min(h[1] for h in heights)) / 2
        points = []
        for low, high in ends:
            along = (height - low[1]) / (high[1] - low[1])
            points.append(low + along * (high - low))
        across = points[1] - points[0]
        return float(np.hypot(across[0], across[2]))

    def seam_numbers(self, seam):
        """One seam's numbers, under the keys of the sheet's JSON."""
        left, right = self.panels[seam], self.panels[seam + 1]
        dark = self.dark_mm(seam)
        return {
            "left": left.name,
            "right": right.name,
            "angle_deg": degrees(self.seams[seam].angle),
            "fold_deg": degrees(self.seams[seam].fold),
            "dark_mm": dark,
            "bezel_px": [dark / left.pitch_mm[0], dark / right.pitch_mm[0]],
            "outer_mm": self.level_mm(seam, -0.5, 0.5),
            "hidden_px": self.seams[seam].hidden_px,
        }

    def fov(self):
        """Fields of view in degrees, under the keys of the sheet's JSON."""
        # Follow the surfaces, so that a rig that reaches round behind adds up.
        edges = np.array(
            [p.at(e, 0.0) for p in self.panels for e in np.linspace(-0.5, 0.5, 33) * p.width]
        )
        sweep = np.unwrap(azimuth(edges))
        facing = self.view_numbers(*self.facing)
        az, el = facing["azimuth_deg"], facing["elevation_deg"]
        return {
            "whole_deg": degrees(sweep[-1] - sweep[0]),
            "facing_horizontal_deg": az[1] - az[0],
            "facing_vertical_deg": el[1] - el[0],
        }

    def numbers(self):
        """Views, seams and fields of view, under the keys of the sheet's JSON."""
        return {
            "views": [self.view_numbers(*v) for v in self.view_ids()],
            "seams": [self.seam_numbers(i) for i in range(len(self.seams))],
            "fov": self.fov(),
            "horizon_px": [self.horizon_px(*v) for v in self.view_ids()],
        }


# --- What a pattern made for one rig looks like on another ------------------


def shown_direction(drawn, built, panel, normal, px):
    """Where the eye sees a line that was drawn for one rig and stands as another.

    The line with this plane normal is drawn on rig ``drawn`` at the columns
    ``px`` of a panel; the same pixels are looked up on rig ``built``.

    Returns the points in the seat frame and their tangents d(point)/d(column).
    """
    p, q = drawn.panels[panel], built.panels[panel]
    s_drawn = p.s_from_px(px)
    t_drawn, slope = p.line_t(s_drawn, normal)
    # Same fractions of width and height, since the pixels are the same.
    s = q.s_from_px(px)
    t = q.t_from_py(p.py_from_t(t_drawn))
    ds = q.pitch_mm[0]
    dt = slope * p.pitch_mm[0] / p.height * q.height
    s, t, dt = np.broadcast_arrays(s, t, dt)
    a = np.zeros_like(s) if q.radius_mm is None else s / q.radius_mm
    local = np.stack([np.cos(a) * ds, dt, np.sin(a) * ds], -1)
    return q.at(s, t), local @ q.seat_from_panel.T


def seam_break(drawn, built, seam, normal):
    """Break and kink at a seam of one line, or None if it misses a lit edge there.

    The reference is the great circle that continues the line's tangent at the
    left panel's edge. ``break_arcmin`` is the signed angle of the line's first
    point on the right panel above that circle, ``break_px`` how many rows of
    the right panel's edge column lie between the two, and ``kink_deg`` the
    turn from the circle to the line's tangent there, positive when it rises.
    """
    left, right = drawn.panels[seam], drawn.panels[seam + 1]
    for p, s in ((left, left.width / 2), (right, -right.width / 2)):
        if abs(float(np.asarray(normal) @ p.up)) < 1e-12:
            return None
        if abs(float(p.line_t(s, normal)[0])) > p.height / 2:
            return None
    p_left, d_left = shown_direction(drawn, built, seam, normal, left.pixels[0])
    p_right, d_right = shown_direction(drawn, built, seam + 1, normal, 0.0)
    # Tangents run to the right, so that the normals point to the upper side.
    circle = unit(np.cross(d_left, p_left))
    arrived = unit(np.cross(d_right, p_right))
    look = unit(p_right)
    above = float(np.arcsin(np.clip(circle @ look, -1, 1)))
    reference = unit(np.cross(look, circle))
    up = np.cross(reference, look)
    along = np.cross(look, arrived)
    kink = atan2(float(along @ up), float(along @ reference))
    q = built.panels[seam + 1]
    t_right = float(q.t_from_py(drawn.line_row(seam + 1, normal, 0.0)))
    t_circle = float(q.line_t(-q.width / 2, circle)[0])
    return {
        "seam": seam + 1,
        "break_arcmin": degrees(above) * 60,
        "break_px": (t_right - t_circle) / q.pitch_mm[1],
        "kink_deg": degrees(kink),
    }

