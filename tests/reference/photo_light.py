"""Light that a phone's camera takes in, and what its picture makes of it.

``shown`` gives linear light, white of a panel's brightest code at 1, before any
fault of the camera; ``picture`` blurs, lets bloom, veils, exposes, adds noise,
clips, mosaics, sharpens and codes it.

The picture on a panel is taken through areas: a photograph's pixel has four
samples, each from a copy of the panel's picture that is shrunk along either
side by areas until its pixels are about as large as a sample. All of that is
even about its middle, so a corner stays where it is.
"""

from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np

from screenshots import light_from_code

TILE = 256
NODES = 12
# How far, in panel pixels, the smooth map of a tile may be from the exact one.
SMOOTH = 0.002
CASE_LIGHT = 0.006


def _nodes():
    """Chebyshev's points of a tile, from -1 to 1, and what makes a polynomial of values there."""
    at = np.cos(np.pi * (np.arange(NODES) + 0.5) / NODES)
    return at, np.linalg.inv(np.polynomial.chebyshev.chebvander(at, NODES - 1))


AT, FROM_VALUES = _nodes()
TESTS = np.array([[-0.97, -0.9], [0.95, -0.98], [-0.9, 0.97], [0.1, -0.2], [0.98, 0.93]])


@cache
def _samples(pixels):
    """What makes values at two samples a pixel out of the values at a tile's nodes."""
    at = (np.arange(2 * pixels) + 0.5) / pixels - 1
    return np.polynomial.chebyshev.chebvander(at, NODES - 1) @ FROM_VALUES


def _tests():
    """The same for the tests, along x and along y."""
    return [np.polynomial.chebyshev.chebvander(at, NODES - 1) @ FROM_VALUES for at in TESTS.T]


TEST_X, TEST_Y = _tests()


class Texture:
    """A panel's picture as light, its dark case around it, and shrunk copies of both.

    Two channels: light, and how much of the place is panel or case at all.
    """

    def __init__(self, codes, panel, bezel, brightness):
        h, w = codes.shape
        assert (w, h) == tuple(panel.pixels), f"{panel.name}: picture of {w} x {h}"
        table = light_from_code(np.arange(256) / 255)
        # The darkest that a liquid crystal shows is a thousandth or so of its white.
        light = ((table + 0.0012) * brightness).astype(np.float32)[codes]
        pitch_x, pitch_y = panel.pitch_mm
        left, right = (round(bezel[side] / pitch_x) for side in ("left", "right"))
        top, bottom = (round(bezel[side] / pitch_y) for side in ("top", "bottom"))
        # Sides in eights, so that three halvings are whole.
        self.before = (-(-(left + 1) // 8) * 8, -(-(top + 1) // 8) * 8)
        wide = -(-(self.before[0] + w + right + 1) // 8) * 8
        high = -(-(self.before[1] + h + bottom + 1) // 8) * 8
        full = np.zeros((high, wide, 2), np.float32)
        x, y = self.before
        full[y - top : y + h + bottom, x - left : x + w + right] = (CASE_LIGHT, 1.0)
        full[y : y + h, x : x + w, 0] = light
        self.outline = (-left, -top, w + right, h + bottom)
        self.size = (w, h)
        self.copies = {(0, 0): full}

    def sampled(self, px, py, shrunk):
        """Light and coverage at panel pixel coordinates, from the copy shrunk 2^k, 2^l times."""
        if shrunk not in self.copies:
            full = self.copies[0, 0]
            size = (full.shape[1] >> shrunk[0], full.shape[0] >> shrunk[1])
            self.copies[shrunk] = cv2.resize(full, size, interpolation=cv2.INTER_AREA)
        x = ((px + self.before[0]) / (1 << shrunk[0]) - 0.5).astype(np.float32)
        y = ((py + self.before[1]) / (1 << shrunk[1]) - 0.5).astype(np.float32)
        return cv2.remap(self.copies[shrunk], x, y, cv2.INTER_LINEAR, borderValue=0)


class Mirrored:
    """A camera as it stands behind a flat glossy panel, seen in it as in a mirror."""

    def __init__(self, camera, panel):
        self.camera = camera
        normal = panel.seat_from_panel[:, 2]
        self.flip = np.eye(3) - 2 * np.outer(normal, normal)
        self.eye = panel.middle + self.flip @ (camera.eye - panel.middle)

    def rays(self, u, v):
        return self.camera.rays(u, v) @ self.flip


class Tiles:
    """Where a picture's pixels lie on one screen, tile by tile, by polynomials."""

    def __init__(self, camera, screen, texture):
        self.camera, self.screen, self.texture = camera, screen, texture

    def _exact(self, u, v):
        return self.screen.lit_from_ray(self.camera.eye, self.camera.rays(u, v))

    def _outside(self, px, py):
        """Whether a tile with these nodes shows nothing of the screen."""
        x0, y0, x1, y1 = self.texture.outline
        room_x, room_y = 0.2 * np.ptp(px) + 1, 0.2 * np.ptp(py) + 1
        return (
            px.max() + room_x < x0 or px.min() - room_x > x1
            or py.max() + room_y < y0 or py.min() - room_y > y1
        )

    def within(self, x0, y0, x1, y1):
        """Yields (x0, y0, px, py, cosine) of two by two samples a pixel, tile by tile."""
        middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
        half_x, half_y = (x1 - x0) / 2, (y1 - y0) / 2
        u, v = np.meshgrid(AT, AT)
        u, v = np.append(u, TESTS[:, 0]), np.append(v, TESTS[:, 1])
        exact = self._exact(middle_x + half_x * u, middle_y + half_y * v)
        px, py, cosine = (exact[n][: NODES * NODES].reshape(NODES, NODES) for n in (0, 1, 3))
        missed = np.isnan(px)
        if missed.all() and max(half_x, half_y) <= TILE / 8:
            return
        if not np.isnan(exact[0]).any():
            if self._outside(px, py):
                return
            worst = max(
                np.abs(np.einsum("ni,ij,nj->n", TEST_Y, values, TEST_X) - known[NODES * NODES :]).max()
                for values, known in ((px, exact[0]), (py, exact[1]))
            )
            if worst < SMOOTH:
                columns, rows = _samples(x1 - x0), _samples(y1 - y0)
                yield (x0, y0, *(rows @ (values @ columns.T) for values in (px, py, cosine)))
                return
        if max(x1 - x0, y1 - y0) <= 16:
            u, v = np.meshgrid(x0 + (np.arange(2 * (x1 - x0)) + 0.5) / 2, y0 + (np.arange(2 * (y1 - y0)) + 0.5) / 2)
            px, py, _, cosine = self._exact(u, v)
            if not np.isnan(px).all():
                # Far coordinates would wrap round in OpenCV's remap.
                away = [np.clip(np.nan_to_num(map_, nan=-9999), -9999, 20000) for map_ in (px, py)]
                yield (x0, y0, *away, np.nan_to_num(cosine, nan=1.0))
            return
        for xs in ((x0, (x0 + x1) // 2), ((x0 + x1) // 2, x1)):
            for ys in ((y0, (y0 + y1) // 2), ((y0 + y1) // 2, y1)):
                if xs[0] < xs[1] and ys[0] < ys[1]:
                    yield from self.within(xs[0], ys[0], xs[1], ys[1])

    def light(self, size):
        """Yields (x, y, light, coverage) of all tiles of a picture of this size."""
        for y in range(0, size[1], TILE):
            for x in range(0, size[0], TILE):
                for tile in self.within(x, y, min(x + TILE, size[0]), min(y + TILE, size[1])):
                    yield self._lit(*tile)

    def _lit(self, x, y, px, py, cosine):
        shrunk = []
        for map_ in (px, py):
            n, m = map_.shape
            middle = map_[n // 4 : n - n // 4, m // 4 : m - m // 4]
            step = max(np.abs(np.diff(middle, axis=a)).mean() for a in (0, 1)) if middle.size > 3 else 1.0
            shrunk.append(int(np.clip(round(np.log2(max(step, 1.0))), 0, 3)))
        sample = self.texture.sampled(px, py, tuple(shrunk))
        # A liquid crystal loses light at a slant, and shows its black less dark.
        slant = (0.3 + 0.7 * cosine).astype(np.float32)
        lit = sample[..., 0] * slant + 0.003 * (1 - slant) * sample[..., 1]
        size = (px.shape[1] // 2, px.shape[0] // 2)
        lit = cv2.resize(lit, size, interpolation=cv2.INTER_AREA)
        return x, y, lit, cv2.resize(np.ascontiguousarray(sample[..., 1]), size, interpolation=cv2.INTER_AREA)


def room(random, size, level):
    """A dim room: a wall, a desk, things, all out of focus; coarse and blown up."""
    w, h = size[0] // 8, size[1] // 8
    back = np.full((h, w), level, np.float32)
    back *= np.linspace(1.3, 0.7, h, dtype=np.float32)[:, None]
    desk = int(h * random.uniform(0.65, 0.9))
    back[desk:] *= random.uniform(0.4, 1.8)
    for _ in range(14):
        middle = random.uniform((0, 0), (w, h))
        corners = middle + random.uniform(-0.12, 0.12, (4, 2)) * w
        cv2.fillConvexPoly(back, cv2.convexHull(corners.astype(np.float32)).astype(int), level * random.uniform(0.2, 2.0))
    back = cv2.GaussianBlur(back, (0, 0), 1.2)
    return cv2.resize(back, size, interpolation=cv2.INTER_LINEAR)


def shown(camera, screens, textures, back, mirror=None):
    """The light of the whole scene, and of the lamp-lit room where no panel is.

    ``mirror`` is (glossy, shown in it, share): the index of a flat panel that
    mirrors another one.
    """
    size = camera.size
    picture = back.copy()
    order = sorted(range(len(screens)), key=lambda n: -np.linalg.norm(screens[n].panel.middle - camera.eye))
    for n in order:
        for x, y, lit, covered in Tiles(camera, screens[n], textures[n]).light(size):
            place = picture[y : y + lit.shape[0], x : x + lit.shape[1]]
            place *= 1 - covered
            place += lit
    if mirror is not None:
        glossy, other, share = mirror
        seen = np.zeros(size[::-1], np.float32)
        mirrored = Mirrored(camera, screens[glossy].panel)
        for x, y, lit, _ in Tiles(mirrored, screens[other], textures[other]).light(size):
            seen[y : y + lit.shape[0], x : x + lit.shape[1]] += lit
        for x, y, _, covered in Tiles(camera, screens[glossy], textures[glossy]).light(size):
            rows, columns = slice(y, y + covered.shape[0]), slice(x, x + covered.shape[1])
            picture[rows, columns] += share * covered * seen[rows, columns]
    return picture


@dataclass
class Faults:
    """What the camera does to light: sizes in its pixels, light in parts of full white."""

    blur: float = 0.8
    smear: tuple[float, float] = (0.0, 0.0)
    bloom: tuple[float, float] = (0.0, 4.0)
    veil: float = 0.0
    lamps: list = field(default_factory=list)
    exposure: float = 1.0
    noise: float = 0.004
    electrons: float = 6000.0
    mosaic: bool = True
    gains: tuple[float, float, float] = (1.5, 1.0, 1.8)
    sharpen: tuple[float, float] = (0.0, 1.0)
    curve: float = 0.0
    quality: int = 90


def _spread(light, faults):
    """Focus, a hand's smear, blooming, a veil of scattered light and lamps."""
    light = cv2.GaussianBlur(light, (0, 0), faults.blur) if faults.blur > 0 else light
    length = np.hypot(*faults.smear)
    if length > 0.2:
        # A straight even smear, sampled finely; even about its middle.
        kernel = np.zeros((9, 9), np.float32)
        for along in np.linspace(-0.5, 0.5, 33):
            x, y = 4 + along * faults.smear[0], 4 + along * faults.smear[1]
            i, j = int(np.floor(x)), int(np.floor(y))
            for dx, wx in ((0, 1 - (x - i)), (1, x - i)):
                for dy, wy in ((0, 1 - (y - j)), (1, y - j)):
                    if wx * wy > 0:
                        kernel[j + dy, i + dx] += wx * wy
        light = cv2.filter2D(light, -1, kernel / kernel.sum())
    share, sigma = faults.bloom
    if share > 0:
        small = cv2.resize(light, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        wide = cv2.GaussianBlur(small, (0, 0), sigma / 2)
        wide = cv2.resize(wide, light.shape[::-1], interpolation=cv2.INTER_LINEAR)
        light = (1 - share) * light + share * wide
    if faults.veil > 0 or faults.lamps:
        h, w = light.shape
        tiny = cv2.resize(light, (w // 16, h // 16), interpolation=cv2.INTER_AREA)
        glow = faults.veil * (0.5 * tiny.mean() + cv2.GaussianBlur(tiny, (0, 0), w / 16 / 12))
        rows, columns = np.mgrid[: h // 16, : w // 16] * 16.0
        for x, y, radius, strength in faults.lamps:
            distance = np.hypot(columns - x, rows - y) / radius
            glow = glow + strength * (np.exp(-(distance**2)) + 0.06 / (1 + distance**2))
        light = light + cv2.resize(glow.astype(np.float32), (w, h), interpolation=cv2.INTER_LINEAR)
    return light


def picture(random, light, tint, faults):
    """The camera's picture, codes of blue, green, red, out of light of one colour and a tint.

    ``tint`` is a coarse picture of how much blue, green and red the light has.
    """
    h, w = light.shape
    light = _spread(light, faults) * np.float32(faults.exposure)
    rows = (np.arange(h, dtype=np.float32) / h - 0.5)[:, None] * (h / w)
    columns = (np.arange(w, dtype=np.float32) / w - 0.5)[None]
    light *= 1 - 0.55 * (rows**2 + columns**2)
    tint = cv2.resize(tint, (w, h), interpolation=cv2.INTER_LINEAR)
    gains = faults.gains
    full = np.float32(1023 * 16)
    channels = np.zeros((h, w), np.uint16) if faults.mosaic else np.zeros((h, w, 3), np.uint16)
    # Red, green / green, blue.
    sites = [(0, 0, 2), (0, 1, 1), (1, 0, 1), (1, 1, 0)] if faults.mosaic else [(None, None, c) for c in range(3)]
    for row, column, c in sites:
        part = (slice(None), slice(None)) if row is None else (slice(row, None, 2), slice(column, None, 2))
        raw = light[part] * tint[part][..., c] / np.float32(gains[2 - c])
        spread = np.sqrt(np.maximum(raw, 0) / np.float32(faults.electrons) + np.float32(faults.noise**2))
        raw += spread * random.standard_normal(raw.shape, np.float32)
        codes = np.clip(raw * full, 0, full).astype(np.uint16)
        if row is None:
            channels[..., c] = codes
        else:
            channels[part] = codes
    if faults.mosaic:
        channels = cv2.cvtColor(channels, cv2.COLOR_BayerRGGB2BGR)
    level = np.arange(1 << 14) / full
    bgr = np.empty((h, w, 3), np.uint8)
    for c in range(3):
        value = np.clip(level * gains[2 - c], 0, 1)
        code = np.where(value <= 0.0031308, 12.92 * value, 1.055 * value ** (1 / 2.4) - 0.055)
        # A phone's own taste: darks darker, lights lighter.
        code = (1 - faults.curve) * code + faults.curve * code * code * (3 - 2 * code)
        table = np.round(255 * code).astype(np.uint8)
        bgr[..., c] = table[np.minimum(channels[..., c], len(table) - 1)]
    amount, sigma = faults.sharpen
    if amount > 0:
        bgr = cv2.addWeighted(bgr, 1 + amount, cv2.GaussianBlur(bgr, (0, 0), sigma), -amount, 0)
    return bgr
