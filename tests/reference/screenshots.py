"""The program's pictures, read as light, and the lines it says are in them."""

import json
import subprocess
from pathlib import Path

import cv2
import numpy as np

from rig_reference import Rig


def light_from_code(codes):
    """Linear light, 0 to 1, of sRGB values, 0 to 1 (IEC 61966-2-1)."""
    c = np.asarray(codes, float)
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def read_light(path):
    """A PNG as linear light: float32 rows x columns x 3 (red, green, blue)."""
    image = cv2.imread(str(path), cv2.IMREAD_UNCHANGED)
    if image is None:
        raise SystemExit(f"{path}: not a picture")
    if image.ndim == 2:
        image = np.repeat(image[..., None], 3, 2)
    full = np.iinfo(image.dtype).max
    table = light_from_code(np.arange(full + 1) / full).astype(np.float32)
    return table[image[..., 2::-1]]


class Line:
    """One entry of the program's list of lines."""

    def __init__(self, entry):
        self.name = entry["name"]
        self.layer = entry["layer"]
        self.normal = np.array(entry["normal"], float)
        self.width_px = float(entry["width_px"])
        colour = entry["colour"]
        codes = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        # What one fully covered pixel sends out, all channels together.
        self.light = float(light_from_code(codes).sum())
        assert abs(np.linalg.norm(self.normal) - 1) < 1e-9, self.name


class Screenshot:
    """What the program draws for a rig file with some layers, and its lines."""

    def __init__(self, binary, rig_path, layers, folder):
        stem = Path(folder) / f"{Path(rig_path).stem}-{layers.replace(',', '-')}"
        png, listing = stem.with_suffix(".png"), stem.with_suffix(".json")
        command = [str(binary), "screenshot", str(rig_path), "--layers", layers]
        command += ["--out", str(png), "--lines", str(listing)]
        done = subprocess.run(command, capture_output=True, text=True)
        if done.returncode != 0:
            raise SystemExit(f"{' '.join(command)}: exit {done.returncode}\n{done.stderr}")
        self.rig = Rig.load(rig_path)
        self.light = read_light(png)
        document = json.loads(listing.read_text(encoding="utf-8"))
        self.lines = [Line(entry) for entry in document["lines"]]
        self._agree(document)

    def _agree(self, document):
        """The program's canvas must be the reference's, or nothing else can be compared."""
        rig = self.rig
        said = (
            list(document["canvas_px"]),
            [(p["name"], list(p["canvas_px"])) for p in document["panels"]],
        )
        expected = (
            list(rig.canvas_px),
            [(p.name, list(p.canvas_px)) for p in rig.panels],
        )
        assert said == expected, f"{rig.name}: {said}, expected {expected}"
        assert self.light.shape[1::-1] == rig.canvas_px, f"{rig.name}: picture's size"
        assert len({line.name for line in self.lines}) == len(self.lines), "names repeat"

    def of_panel(self, index):
        """The panel's own rectangle of the picture, as linear light."""
        x, y, w, h = self.rig.panels[index].canvas_px
        return self.light[y : y + h, x : x + w]
