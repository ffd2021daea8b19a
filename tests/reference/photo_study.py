"""How well `measure` finds rigs in simulated photographs.

    python3 photo_study.py --binary PROGRAM [--sets N] [--seed S] [--jobs J] [--check]
                           [--degrade KIND] [--keep DIR]

Draws sets of three photographs, the demos in turn and every third set a rig of
its own, runs `measure RIG P1 P2 P3 --json` and holds what it says against the
rig as built. Prints errors by kind, how many lie within what is promised, how
many truths lie within two sigmas, and which photographs were refused and why.
Ends with 1 where less than 95 % of a kind lie within the promise, or where a
set fails. `--check` is the sample for CI: it also turns the truth a little and
must find that the promise is broken then. `--keep` leaves the photographs, and
uses those of the same sets that an earlier run left there.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
import json
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

import photo_sets
import photo_simulator

# Kind: the unit printed, and what is promised in it.
KINDS = {
    "fold": ("deg", 0.2), "gap": ("mm", 0.5), "step": ("mm", 0.5), "rise": ("mm", 0.5),
    "roll": ("deg", 0.1), "tilt": ("deg", 0.1), "radius": ("%", None), "size": ("%", None),
    "eye x": ("mm", 3.0), "eye y": ("mm", 3.0), "eye z": ("mm", 3.0),
}
KEYS = {
    "fold_deg": "fold", "gap_mm": "gap", "step_mm": "step", "rise_mm": "rise", "roll_deg": "roll",
    "tilt_deg": "tilt", "curve_radius_mm": "radius", "width_mm": "size", "height_mm": "size",
    "offset_mm": "eye x", "distance_mm": "eye z",
}
SHARE = 0.95


def kind_of(path):
    """What a path's value is called in the tables."""
    return "eye y" if path == "seat.height_mm" else KEYS[path.rpartition(".")[2]]


def run(photos, binary, folder):
    """Makes a set's photographs, measures them, and compares: one row a value."""
    began = time.monotonic()
    made = photo_simulator.kept(photos, folder) or photo_simulator.make(photos, binary, folder)
    took_photos = time.monotonic() - began
    rig = Path(made[0][0]).with_suffix(".rig.toml")
    command = [str(binary), "measure", str(rig), *(str(path) for path, _ in made), "--json"]
    began = time.monotonic()
    done = subprocess.run(command, capture_output=True, text=True)
    seconds = time.monotonic() - began
    answer = {"name": photos.name, "rows": [], "refused": [], "failed": None, "marks": [], "rms": [], "untold": []}
    answer |= {"photos_s": took_photos, "measure_s": seconds}
    if done.returncode != 0:
        answer["failed"] = done.stderr.strip()
        return answer
    document = json.loads(done.stdout)
    for (_, truth), photo in zip(made, document["photos"]):
        answer["marks"].append((photo["marks"], len(truth["marks"])))
        answer["rms"].append(photo["rms_px"])
        if not photo["used"]:
            answer["refused"].append(photo["reason"])
    for entry in document["values"]:
        path = entry["path"]
        truth = photos.values[path]
        part = 100 / truth if kind_of(path) in ("radius", "size") else 1.0
        error, sigma = (entry["measured"] - truth) * part, entry["sigma"] * part
        was = (entry["file"] - truth) * part
        answer["rows"].append((path, error, sigma, bool(entry["determined"]), was))
    told = {path for path, *_ in answer["rows"]}
    level = {f"panel.{photos.drawn.facing[0] + 1}.{key}" for key in ("roll_deg", "tilt_deg")}
    answer["untold"] = [kind_of(path) for path in photos.values if path not in told | level]
    return answer


def table(answers):
    """Prints errors by kind; returns the kinds that break the promise."""
    errors, waves, before = defaultdict(list), defaultdict(list), defaultdict(list)
    undetermined = Counter()
    for answer in answers:
        undetermined.update(answer["untold"])
        for path, error, sigma, determined, was in answer["rows"]:
            kind = kind_of(path)
            if not determined:
                undetermined[kind] += 1
                continue
            errors[kind].append(abs(error))
            before[kind].append(abs(was))
            waves[kind].append(abs(error) / sigma if sigma > 0 else np.inf)
    broken = []
    print("| kind | n | file off, median | median | 95 % | max | promised | within | in 2 sigma | open |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for kind, (unit, promise) in KINDS.items():
        e, z = np.array(errors[kind]), np.array(waves[kind])
        if not len(e):
            continue
        within = "-" if promise is None else f"{100 * np.mean(e <= promise):.1f} %"
        if promise is not None and np.mean(e <= promise) < SHARE:
            broken.append(kind)
        print(
            f"| {kind} {unit} | {len(e)} | {np.median(before[kind]):.3f} | {np.median(e):.3f} | "
            f"{np.quantile(e, 0.95):.3f} | {e.max():.3f} | {promise or '-'} | {within} | "
            f"{100 * np.mean(z <= 2):.1f} % | {undetermined[kind]} |"
        )
    return broken


def report(answers):
    """Prints everything about a run; returns whether the promise held."""
    for answer in answers:
        if answer["failed"] is not None:
            print(f"{answer['name']}: {answer['failed']}")
        for reason in answer["refused"]:
            print(f"{answer['name']}: a photograph was not used: {reason}")
    found = sum(m for a in answers for m, _ in a["marks"])
    known = sum(k for a in answers for _, k in a["marks"])
    rms = [r for a in answers for r in a["rms"] if r is not None]
    if known:
        print(f"marks found: {found} of {known}, {100 * found / known:.2f} %; residuals {np.median(rms or [0]):.3f} px")
    times = [(a["photos_s"], a["measure_s"]) for a in answers]
    print("a set's photographs took {:.1f} s, measuring them {:.1f} s, median".format(*np.median(times, axis=0)))
    broken = table(answers)
    failed = sum(a["failed"] is not None for a in answers)
    if broken:
        print(f"less than {100 * SHARE:.0f} % within the promise: {', '.join(broken)}")
    if failed:
        print(f"{failed} of {len(answers)} sets were not measured")
    return not broken and not failed


def moved_truth(answers):
    """The same answers, as if every truth were another by twice what is promised."""
    def moved(row):
        path, error, *rest = row
        promise = KINDS[kind_of(path)][1] or 0.0
        return (path, error + 2 * promise, *rest)

    return [{**a, "rows": [moved(row) for row in a["rows"]]} for a in answers]


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--binary", required=True)
    parser.add_argument("--sets", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--degrade", choices=photo_sets.DEGRADES)
    parser.add_argument("--keep", metavar="DIR")
    parser.add_argument("--check", action="store_true")
    args = parser.parse_args()
    sets = list(photo_sets.of_study(args.seed, args.sets, args.degrade))
    with tempfile.TemporaryDirectory() as scratch, ProcessPoolExecutor(args.jobs) as pool:
        folder = args.keep or scratch
        answers = list(pool.map(run, sets, [args.binary] * len(sets), [folder] * len(sets)))
    good = report(answers)
    if args.check and good:
        print("\nwrong on purpose:")
        good = len(table(moved_truth(answers))) > 0
        if not good:
            print("truths that are moved must break the promise")
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
