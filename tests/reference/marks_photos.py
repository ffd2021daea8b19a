"""What the reader finds in simulated photographs, against the truth and OpenCV's cornerSubPix.

    python3 marks_photos.py --binary PROGRAM [--sets N] [--seed S] [--jobs J] [--keep DIR]
                            [--degrade KIND ...] [--found FILE]

Makes sets of photographs, has the test `marks_study` read them (it
gets the folder as THROUGHLINE_PHOTOS and writes THROUGHLINE_FOUND, a line of
JSON a photograph: {"name", "marks": [[panel, panel_x, panel_y, photo_x,
photo_y, sigma], ...]}), and prints how many marks it found, how many wrongly,
and how exactly. cornerSubPix starts at the truth, rounded to whole pixels, in
the largest window that holds no dot; so it has nothing to find, only to place.
`--found` takes a file that was written before, for photographs in `--keep`.
Ends with 1 where a mark is wrong, where fewer are found than SHARE says, or
where the reader places them clearly less exactly than cornerSubPix.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
import json
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import cv2
import numpy as np

import photo_sets
import photo_simulator

# Least share of marks found, by what spoils the photographs.
SHARE = {None: 0.95, "small": 0.85, "slant": 0.7, "over": 0.6, "hand": 0.9, "mirror": 0.9, "lamp": 0.85}
# What marks may be off by, as a share of what cornerSubPix is off by, which knows where to
# look: 0.28 to 0.40 of several photographs together, 0.56 of a single one.
EXACTNESS = 0.7
# A mark farther than this from where it is, in photograph pixels, is another one.
WRONG_PX = 3.0
ROOT = Path(__file__).resolve().parents[2]


def cell_px(marks):
    """Photograph pixels of each mark's cells: the distance to its nearest neighbour."""
    size = np.full(len(marks), np.inf)
    for panel in np.unique(marks[:, 0]):
        mine = np.flatnonzero(marks[:, 0] == panel)
        for chunk in np.array_split(mine, max(1, len(mine) // 200)):
            away = np.hypot(*(marks[chunk, None, 3:5] - marks[None, mine, 3:5]).transpose(2, 0, 1))
            away[away == 0] = np.inf
            size[chunk] = np.minimum(size[chunk], away.min(1))
    return size


def by_opencv(grey, marks):
    """Where cornerSubPix places the marks, from the truth rounded to whole pixels."""
    placed = np.full((len(marks), 2), np.nan)
    h, w = grey.shape
    # A dot comes within 0.34 cells of a corner, along rows and columns.
    window = np.clip(0.3 * cell_px(marks), 2, 12).astype(int)
    for half in np.unique(window):
        room = half + 2
        at = marks[:, 3:5] - 0.5
        mine = np.flatnonzero((window == half) & np.all((at > room) & (at < (w - room, h - room)), 1))
        if len(mine):
            start = np.ascontiguousarray(np.rint(at[mine])[:, None], np.float32)
            stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 60, 1e-4)
            placed[mine] = cv2.cornerSubPix(grey, start, (int(half),) * 2, (-1, -1), stop)[:, 0] + 0.5
    return placed


def compare(folder, entry):
    """Of one photograph: errors of both, marks known, found and wrong, and what sigmas say."""
    cv2.setNumThreads(1)
    stem = Path(entry["name"]).name.removesuffix(".jpg")
    truth = json.loads((Path(folder) / f"{stem}.truth.json").read_text(encoding="utf-8"))
    known = np.array(truth["marks"], float).reshape(-1, 5)
    place = {tuple(np.rint(row[:3]).astype(int)): n for n, row in enumerate(known)}
    beside = {tuple(np.rint(row[:3]).astype(int)): row[3:5] for row in truth["beside"]}
    ours = np.full((len(known), 2), np.nan)
    sigma = np.full(len(known), np.nan)
    wrong = 0
    for panel, x, y, photo_x, photo_y, s in entry["marks"]:
        mark = round(panel), round(x), round(y)
        n = place.get(mark)
        at = beside.get(mark) if n is None else known[n, 3:5]
        if at is None or np.hypot(photo_x - at[0], photo_y - at[1]) > WRONG_PX:
            wrong += 1
        elif n is not None:
            ours[n], sigma[n] = (photo_x, photo_y), s
    flags = cv2.IMREAD_GRAYSCALE | cv2.IMREAD_IGNORE_ORIENTATION
    grey = cv2.imread(str(Path(folder) / f"{stem}.jpg"), flags)
    theirs = by_opencv(grey, known) if len(known) else np.zeros((0, 2))
    return {
        "name": stem, "known": len(known), "found": int((~np.isnan(ours[:, 0])).sum()), "wrong": wrong,
        "ours": ours - known[:, 3:5], "theirs": theirs - known[:, 3:5], "sigma": sigma,
    }


def rms(errors):
    """Root of the mean square length."""
    return float(np.sqrt((errors**2).sum(1).mean())) if len(errors) else float("nan")


def report(kind, compared):
    """Prints the row of one kind of photographs; returns what is not good enough."""
    ours, theirs, sigma = (np.concatenate([c[k] for c in compared]) for k in ("ours", "theirs", "sigma"))
    known, found, wrong = (sum(c[k] for c in compared) for k in ("known", "found", "wrong"))
    both = ~np.isnan(ours[:, 0]) & ~np.isnan(theirs[:, 0])
    # Where a corner runs to another one, cornerSubPix is no measure of exactness.
    astray = both & (np.hypot(*np.nan_to_num(theirs).T) > 1.0)
    fair = both & ~astray
    inside = np.abs(ours[both]) <= 2 * sigma[both, None]
    mine, other = rms(ours[fair]), rms(theirs[fair])
    print(
        f"| {kind or 'as is'} | {len(compared)} | {known} | {100 * found / max(known, 1):.2f} % | {wrong} | "
        f"{rms(ours[both]):.3f} | {mine:.3f} | {other:.3f} | {astray.sum()} | {100 * inside.mean():.1f} % |"
    )
    faults = []
    if wrong:
        faults.append(f"{wrong} marks are taken for others")
    if kind in SHARE and found < SHARE[kind] * known:
        faults.append(f"fewer than {100 * SHARE[kind]:.0f} % are found")
    if mine > EXACTNESS * other:
        faults.append(f"they are off by more than {EXACTNESS} of what cornerSubPix is off by")
    return [f"{kind or 'as is'}: {fault}" for fault in faults]


def read(folder, found):
    """Has the program's reader read a folder's photographs."""
    environment = {**os.environ, "THROUGHLINE_PHOTOS": str(Path(folder).resolve()), "THROUGHLINE_FOUND": str(found)}
    command = ["cargo", "test", "--locked", "--test", "marks_study", "--", "--ignored", "--nocapture"]
    done = subprocess.run(command, cwd=ROOT, env=environment)
    if done.returncode != 0:
        sys.exit(f"{' '.join(command)}: exit {done.returncode}")


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--binary", required=True)
    parser.add_argument("--sets", type=int, default=4, help="of each kind")
    parser.add_argument("--seed", type=int, default=2)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--degrade", nargs="*", default=[], choices=photo_sets.DEGRADES)
    parser.add_argument("--keep", metavar="DIR")
    parser.add_argument("--found", metavar="FILE")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch, ProcessPoolExecutor(args.jobs) as pool:
        folder = Path(args.keep or scratch)
        kinds = [None, *args.degrade]
        if args.found is None:
            sets = [s for kind in kinds for s in photo_sets.of_study(args.seed, args.sets, kind)]
            list(pool.map(photo_simulator.make, sets, [args.binary] * len(sets), [folder] * len(sets)))
            read(folder, Path(scratch) / "found")
        lines = Path(args.found or Path(scratch) / "found").read_text(encoding="utf-8").splitlines()
        entries = [json.loads(line) for line in lines]
        compared = list(pool.map(compare, [folder] * len(entries), entries))
    photographs = {f"{p.stem}" for p in folder.glob("*.jpg")} if args.keep else {c["name"] for c in compared}
    faults = [f"{name}: not read" for name in sorted(photographs - {c["name"] for c in compared})]
    print("| photographs | n | marks | found | wrong | rms, px | rms where both | cornerSubPix's | it astray | in 2 sigma |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for kind in kinds:
        mine = [c for c in compared if c["known"] and kind_of(c["name"]) == kind]
        if mine:
            faults += report(kind, mine)
    for fault in faults:
        print(fault)
    sys.exit(1 if faults else 0)


def kind_of(name):
    """What spoils a photograph, by its name."""
    return next((kind for kind in photo_sets.DEGRADES if f"-{kind}-" in name), None)


if __name__ == "__main__":
    main()
