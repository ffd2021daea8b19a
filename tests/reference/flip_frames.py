"""Reads `compare --flip` with OpenCV, which shares no code with the program.

    python3 flip_frames.py --binary target/release/throughline

Two seat views are shown in turn: the animation must hold two frames, for two
seconds each, and below its title each must be its picture, byte for byte.
"""

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

import cv2
import numpy as np

SIZE_PX = (800, 300)
SECONDS = 2.0
# Height of the title above a picture.
TITLE_PX = 30


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--binary", required=True, help="the program to check")
    args = parser.parse_args()
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        pictures = []
        for name, rise in (("before", -20), ("after", 0)):
            path = folder / f"{name}.png"
            subprocess.run(
                [args.binary, "seat", "tram-cab", "--set-built", f"seam.2.rise_mm={rise}",
                 "--size", f"{SIZE_PX[0]}x{SIZE_PX[1]}", "--out", path],
                check=True, capture_output=True,
            )
            pictures.append(path)
        flip = folder / "flip.png"
        subprocess.run([args.binary, "compare", *pictures, "--flip", "--out", flip], check=True, capture_output=True)
        done, animation = cv2.imreadanimation(str(flip))
        frames = [frame[..., :3] for frame in animation.frames] if done else []
        seconds = np.asarray(animation.durations).ravel() / 1000
        if len(frames) != 2 or not (seconds == SECONDS).all():
            wrong.append(f"{len(frames)} frames for {seconds} s, expected 2 for {SECONDS} s each")
        for path, frame in zip(pictures, frames):
            off = np.abs(frame[TITLE_PX:].astype(int) - cv2.imread(str(path)))
            if off.any():
                wrong.append(f"the frame of {path.name} differs from it by up to {off.max()} codes")
            if not frame[:TITLE_PX].any():
                wrong.append(f"the frame of {path.name} has no title")
        if len(frames) == 2 and not (frames[0] != frames[1]).any():
            wrong.append("both frames are the same")
    for sentence in wrong:
        print(sentence, file=sys.stderr)
    if wrong:
        sys.exit(1)
    print("two frames for two seconds each, byte for byte the two pictures")


if __name__ == "__main__":
    main()
