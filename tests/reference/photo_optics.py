"""A phone's camera, and lit panels as it sees them through their cover glass.

Written from the physics alone, in numpy, on top of the second layout of a rig
(``rig_reference``): pinhole, radial and decentring distortion as OpenCV writes
them down, a hand that drifts while the rows are read, Snell's law at a cover
glass, and panels that are bowed.

Photographs have the rig's pixel coordinates: the top-left pixel's area is
[0,1) x [0,1), so its centre is (0.5, 0.5); OpenCV's are smaller by a half.
"""

from dataclasses import dataclass

import numpy as np



@dataclass
class Camera:
    """One photograph's camera.

    ``turn`` is camera_from_seat: x right, y down, z ahead. ``shear`` is how many
    pixels the picture has drifted, right and down, between its first row and
    its last. ``radial`` and ``decentring`` are OpenCV's k1, k2, k3 and p1, p2.
    """

    size: tuple[int, int]
    eye: np.ndarray
    turn: np.ndarray
    focal: float
    centre: tuple[float, float]
    radial: tuple[float, float, float] = (0.0, 0.0, 0.0)
    decentring: tuple[float, float] = (0.0, 0.0)
    shear: tuple[float, float] = (0.0, 0.0)

    def _distorted(self, x, y):
        k1, k2, k3 = self.radial
        p1, p2 = self.decentring
        r2 = x * x + y * y
        radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
        return (
            x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
            y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y,
        )

    def project(self, points):
        """Photograph coordinates of points in the seat frame, and whether they lie ahead.

        What lies far outside the picture counts as not ahead, since the
        distortion is not one to one there.
        """
        p = (np.asarray(points, float) - self.eye) @ self.turn.T
        ahead = p[..., 2] > 1.0
        z = np.where(ahead, p[..., 2], 1.0)
        x, y = p[..., 0] / z, p[..., 1] / z
        ahead &= np.hypot(x, y) < 1.2
        x, y = np.where(ahead, x, 0.0), np.where(ahead, y, 0.0)
        x, y = self._distorted(x, y)
        u = self.focal * x + self.centre[0]
        v = self.focal * y + self.centre[1]
        drifted = v / self.size[1] - 0.5
        return np.stack([u + self.shear[0] * drifted, v + self.shear[1] * drifted], -1), ahead

    def rays(self, u, v):
        """Directions in the seat frame, not of unit length, of photograph coordinates."""
        high = self.size[1]
        v = (np.asarray(v, float) + self.shear[1] / 2) / (1 + self.shear[1] / high)
        u = np.asarray(u, float) - self.shear[0] * (v / high - 0.5)
        wanted_x, wanted_y = (u - self.centre[0]) / self.focal, (v - self.centre[1]) / self.focal
        x, y = wanted_x, wanted_y
        for _ in range(60):
            got_x, got_y = self._distorted(x, y)
            off_x, off_y = wanted_x - got_x, wanted_y - got_y
            x, y = x + off_x, y + off_y
            if max(np.abs(off_x).max(), np.abs(off_y).max()) < 1e-12:
                break
        return np.stack([x, y, np.ones_like(x)], -1) @ self.turn

    def document(self):
        """The camera's numbers, for a truth file."""
        return {
            "size_px": list(self.size), "eye_mm": [float(c) for c in self.eye],
            "camera_from_seat": np.asarray(self.turn, float).tolist(), "focal_px": self.focal,
            "centre_px": list(self.centre), "radial": list(self.radial),
            "decentring": list(self.decentring), "shear_px": list(self.shear),
        }


def looking(azimuth, elevation, roll):
    """camera_from_seat of a camera aimed there, turned clockwise by ``roll``; radians."""
    ahead = np.array([
        np.sin(azimuth) * np.cos(elevation), np.sin(elevation), -np.cos(azimuth) * np.cos(elevation),
    ])
    right = np.array([np.cos(azimuth), 0.0, np.sin(azimuth)])
    down = np.cross(ahead, right)
    c, s = np.cos(roll), np.sin(roll)
    return np.stack([c * right + s * down, -s * right + c * down, ahead])


@dataclass
class Screen:
    """A laid-out panel, bowed, behind a cover glass.

    With u and v from -1 to 1 over the width and height, the lit surface stands
    off the panel's ideal one by bow[0] (u² - 1/3) + bow[1] (v² - 1/3) + bow[2] u v
    + bow[3] L(u) + bow[4] L(v) + bow[5] M(u) + bow[6] M(v) towards the viewer,
    L(u) = u⁴ - 6/7 u² + 3/35 being what no parabola has, and M(u) = u³ - 3/5 u
    what bends to one side and the other. No part of it is a shift or a turn of
    the ideal surface, which therefore is the best fit to it. Cover glass has an
    index of about 1.5; common practice.
    """

    panel: object
    bow: tuple[float, ...] = (0.0,) * 7
    glass: float = 0.0
    index: float = 1.5

    def _stands_off(self, s, t):
        """How far the lit surface stands off, and its slopes along s and t."""
        half_w, half_h = self.panel.width / 2, self.panel.height / 2
        u, v = s / half_w, t / half_h
        a, b, c, d, e, f, g = self.bow
        u2, v2 = u * u, v * v
        off = a * (u2 - 1 / 3) + b * (v2 - 1 / 3) + c * u * v
        off = off + d * (u2 * (u2 - 6 / 7) + 3 / 35) + e * (v2 * (v2 - 6 / 7) + 3 / 35)
        off = off + f * u * (u2 - 3 / 5) + g * v * (v2 - 3 / 5)
        along = 2 * a * u + c * v + d * u * (4 * u2 - 12 / 7) + f * (3 * u2 - 3 / 5)
        up = 2 * b * v + c * u + e * v * (4 * v2 - 12 / 7) + g * (3 * v2 - 3 / 5)
        return off, along / half_w, up / half_h

    def _axes(self, s):
        """Unit tangent and normal of the ideal surface, in the panel's frame."""
        angle = np.zeros_like(s) if self.panel.radius_mm is None else s / self.panel.radius_mm
        c, n, zero = np.cos(angle), np.sin(angle), np.zeros_like(angle)
        return np.stack([c, zero, n], -1), np.stack([-n, zero, c], -1)

    def leaves_glass(self, px, py, eye):
        """Where the light of panel pixels on its way to ``eye`` leaves the glass; seat frame.

        The second answer is the cosine of its slant there.
        """
        p = self.panel
        s, t = np.broadcast_arrays(p.s_from_px(px), p.t_from_py(py))
        off, along, up = self._stands_off(s, t)
        tangent, normal = self._axes(s)
        lit = p.local(s, t) + off[..., None] * normal
        normal = normal - along[..., None] * tangent - up[..., None] * np.array([0.0, 1.0, 0.0])
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
        to = (np.asarray(eye, float) - p.middle) @ p.seat_from_panel
        out = lit + self.glass * normal
        for _ in range(6):
            ray = to - out
            ray /= np.linalg.norm(ray, axis=-1, keepdims=True)
            cosine = np.sum(ray * normal, -1, keepdims=True)
            flat = ray - cosine * normal
            # |flat| is the sine outside; inside it is that over the index.
            sine2 = np.sum(flat * flat, -1, keepdims=True)
            out = lit + self.glass * (normal + flat / np.sqrt(self.index**2 - sine2))
        return p.middle + out @ p.seat_from_panel.T, cosine[..., 0]

    def lit_from_ray(self, eye, rays):
        """Panel pixel coordinates that rays from ``eye`` meet, distances in ray lengths, cosines.

        NaN where a ray meets none, or the back.
        """
        p = self.panel
        o = (np.asarray(eye, float) - p.middle) @ p.seat_from_panel
        d = np.asarray(rays, float) @ p.seat_from_panel
        off = np.full(d.shape[:-1], self.glass)
        with np.errstate(all="ignore"):
            for _ in range(8):
                if p.radius_mm is None:
                    far = (off - o[2]) / d[..., 2]
                    s, t = o[0] + far * d[..., 0], o[1] + far * d[..., 1]
                else:
                    # A cylinder whose axis stands a radius before the middle.
                    depth, r = o[2] - p.radius_mm, p.radius_mm - off
                    a = d[..., 0] ** 2 + d[..., 2] ** 2
                    b = o[0] * d[..., 0] + depth * d[..., 2]
                    c = o[0] ** 2 + depth**2 - r * r
                    far = (-b + np.sqrt(b * b - a * c)) / a
                    x, z = o[0] + far * d[..., 0], depth + far * d[..., 2]
                    s, t = p.radius_mm * np.arctan2(x, -z), o[1] + far * d[..., 1]
                stands, along, up = self._stands_off(s, t)
                off = self.glass + stands
            tangent, normal = self._axes(s)
            normal = normal - along[..., None] * tangent - up[..., None] * np.array([0.0, 1.0, 0.0])
            normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
            ray = -d / np.linalg.norm(d, axis=-1, keepdims=True)
            cosine = np.sum(ray * normal, -1)
            flat = ray - cosine[..., None] * normal
            inside = self.glass / np.sqrt(self.index**2 - np.sum(flat * flat, -1))
            s = s - inside * np.sum(flat * tangent, -1) + self.glass * along
            t = t - inside * flat[..., 1] + self.glass * up
            meets = (far > 0) & (cosine > 0.02)
            px = np.where(meets, (s / p.width + 0.5) * p.pixels[0], np.nan)
            py = np.where(meets, (0.5 - t / p.height) * p.pixels[1], np.nan)
        return px, py, far, cosine
