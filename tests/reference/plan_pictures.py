"""Plans as PNG against their SVG, drawn by librsvg, which shares no code with them.

Usage: plan_pictures.py --binary PROGRAM RIG...
"""

import argparse
import os
import pathlib
import subprocess
import tempfile

import cv2
import numpy as np

FONTS = pathlib.Path(__file__).resolve().parents[2] / "fonts"
PX_PER_INCH = 300
# Two rasterisers differ at edges; what is a line's width off is ink on paper.
MOST_DIFFERING = 0.001


def ink(path):
    """Ink from 0 to 1, blurred by two pixels."""
    grey = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE).astype(np.float32)
    return cv2.GaussianBlur(1 - grey / 255, (0, 0), 2)


def differing(one, other):
    rows = min(one.shape[0], other.shape[0])
    return float((np.abs(one[:rows] - other[:rows]) > 0.25).mean())


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--binary", required=True)
    arguments.add_argument("rigs", nargs="+")
    arguments = arguments.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        conf = folder / "fonts.conf"
        conf.write_text(
            f"<fontconfig><dir>{FONTS}</dir><cachedir>{folder}</cachedir></fontconfig>"
        )
        environment = dict(os.environ, FONTCONFIG_FILE=str(conf))
        for rig in arguments.rigs:
            paths = {kind: folder / f"plan.{kind}" for kind in ("svg", "png")}
            for path in paths.values():
                subprocess.run(
                    [arguments.binary, "sheet", rig, "--plan", path],
                    check=True,
                    stdout=subprocess.DEVNULL,
                )
            drawn = folder / "drawn.png"
            density = ["-d", str(PX_PER_INCH), "-p", str(PX_PER_INCH)]
            subprocess.run(
                ["rsvg-convert", *density, paths["svg"], "-o", drawn],
                check=True,
                env=environment,
            )
            ours, theirs = ink(paths["png"]), ink(drawn)
            share = differing(ours, theirs)
            shifted = differing(np.roll(ours, 6, axis=1), theirs)
            print(f"{rig}: {share:.6f} of the paper differs, {shifted:.6f} half a millimetre off")
            assert share < MOST_DIFFERING, rig
            assert shifted > 4 * MOST_DIFFERING, f"{rig}: a shift would not be seen"


if __name__ == "__main__":
    main()
