"""Breaks and kinks of lines on rigs built wrong, from the second layout.

    python3 seat_breaks.py [--check ../data/seat_breaks.json]
    python3 seat_breaks.py --binary target/release/throughline

The first form makes the data file; the second holds every line that the
program reports, on every wrong rig, against the same computation.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

import committed
from rig_reference import Rig, seam_break
from wrong_rigs import wrong_rigs

OUT = Path(__file__).resolve().parents[1] / "data" / "seat_breaks.json"
TOLERANCE_ARCMIN = 0.05
PLANES_PER_RIG = 14


def planes(seed):
    """Planes through the eye, level ones to steep ones, all over the picture."""
    random = np.random.default_rng(seed)
    for _ in range(PLANES_PER_RIG):
        normal = np.array([random.uniform(-0.6, 0.6), 1.0, random.uniform(-0.4, 0.3)])
        yield normal / np.linalg.norm(normal)


def compute():
    rigs = []
    for seed, (demo, mistake, text, built, changes) in enumerate(wrong_rigs()):
        drawn_rig, built_rig = Rig(text), Rig(built)
        breaks = []
        for normal in planes(seed):
            for seam in range(len(drawn_rig.seams)):
                found = seam_break(drawn_rig, built_rig, seam, normal)
                if found is not None:
                    breaks.append({"normal": list(normal), **found})
        assert len(breaks) > 4, (demo, mistake)
        rigs.append({"demo": demo, "mistake": mistake, "changes": [list(c) for c in changes], "breaks": breaks})
    return {"rigs": rigs}


def against(binary):
    """The program's own report on every wrong rig; True where all of it agrees."""
    passed = True
    print("rig           mistake   lines   off, arcmin   off, px   off, deg   worst, arcmin")
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        for demo, mistake, text, built, changes in wrong_rigs():
            drawn_file, built_file, lines_file = (folder / n for n in ("drawn.toml", "built.toml", "lines.json"))
            drawn_file.write_text(text, encoding="utf-8")
            built_file.write_text(built, encoding="utf-8")
            subprocess.run(
                [binary, "screenshot", drawn_file, "--out", folder / "x.png", "--lines", lines_file],
                check=True,
            )
            entries = json.loads(lines_file.read_text(encoding="utf-8"))["lines"]
            normals = {line["name"]: line["normal"] for line in entries}
            runs = [[drawn_file, "--built", built_file]]
            if mistake == "near":
                # The same as an eye moved by as much.
                runs.append([drawn_file, "--eye", f"0,0,{changes[0][2]}"])
            drawn_rig, built_rig = Rig(text), Rig(built)
            expected = {}
            for name, normal in normals.items():
                for seam in range(len(drawn_rig.seams)):
                    found = seam_break(drawn_rig, built_rig, seam, normal)
                    if found is not None:
                        expected[seam + 1, name] = found
            for run in runs:
                done = subprocess.run([binary, "seat", *run, "--json"], check=True, capture_output=True)
                report = json.loads(done.stdout)
                found = {(b["seam"], b["line"]): b for b in report["breaks"]}
                same = found.keys() == expected.keys()
                off = [
                    max((abs(found[k][key] - expected[k][key]) for k in found.keys() & expected.keys()), default=0.0)
                    for key in ("break_arcmin", "break_px", "kink_deg")
                ]
                worst = max(abs(b["break_arcmin"]) for b in expected.values())
                ok = same and len(found) > 20 and off[0] < TOLERANCE_ARCMIN and off[1] < 0.05 and off[2] < 0.001
                ok = ok and abs(report["worst_arcmin"] - worst) < TOLERANCE_ARCMIN
                passed = passed and ok
                numbers = " ".join(f"{v:>11.2e}" for v in off)
                causes = "; ".join(cause["text"] for cause in report["causes"])
                print(f"{demo:<13} {mistake:<8} {len(found):>6} {numbers} {worst:>11.2f}  {'ok' if ok else 'FAILED'}  {causes}")
    return passed


if __name__ == "__main__":
    if "--binary" in sys.argv:
        sys.exit(0 if against(sys.argv[sys.argv.index("--binary") + 1]) else 1)
    committed.main(__doc__, compute, OUT, 1e-7)
