"""Rigs that are built a little otherwise than their file says.

A file's text is changed value by value, so that the program reads both rigs
with its own parser.
"""

import re
from pathlib import Path

RIGS = Path(__file__).resolve().parents[2] / "rigs"
# Flat panels; a curved one beside a flat one; a curved one between upright
# ones; hidden columns between flat ones.
DEMOS = ["tram-cab", "rally-loft", "ferry-bridge", "night-train"]


def changed(text, table, key, by):
    """The text with a number of a table changed by an amount.

    ``table`` is ``seat``, ``panel.N`` or ``seam.N``, counted from 1. A key that
    the table lacks is 0 there.
    """
    kind, _, number = table.partition(".")
    header = "[seat]" if kind == "seat" else f"[[{kind}]]"
    parts = re.split(r"(?m)^(?=\[)", text)
    mine = [i for i, part in enumerate(parts) if part.startswith(header)]
    at = mine[int(number) - 1 if number else 0]
    value = re.compile(rf"(?m)^({key}\s*=\s*)([-+0-9.eE_]+)")
    parts[at], count = value.subn(lambda m: f"{m[1]}{float(m[2]) + by!r}", parts[at])
    if count == 0:
        parts[at] = parts[at].replace(header, f"{header}\n{key} = {float(by)!r}", 1)
    assert count <= 1, (table, key)
    return "".join(parts)


def turn_key(text):
    """Whether the file's seams give an angle or a fold."""
    return "fold_deg" if re.search(r"(?m)^fold_deg", text) else "angle_deg"


def pitch_mm(text):
    """Width of a pixel of the first panel, to make a gap of some pixels."""
    from rig_reference import Rig

    return Rig(text).panels[0].pitch_mm[0]


def mistakes(text):
    """Typical mistakes: a name and the changes (table, key, by) of each."""
    turn = turn_key(text)
    return {
        "fold": [("seam.1", turn, 2.0)],
        "gap": [("seam.1", "gap_mm", 10 * pitch_mm(text))],
        "low": [("seam.1", "rise_mm", -5.0)],
        "near": [("seat", "distance_mm", -60.0)],
        "tilt": [("panel.1", "tilt_deg", 1.5)],
        "roll": [("panel.2", "roll_deg", -0.8)],
        "step": [("seam.1", "step_mm", 7.0)],
        "much": [
            ("seam.1", turn, -1.3), ("seam.1", "step_mm", -4.0), ("panel.2", "tilt_deg", 2.0),
            ("seat", "offset_mm", 25.0), ("seat", "height_mm", -40.0),
        ],
    }


def wrong_rigs():
    """Yields (demo, mistake, text, text as built, changes)."""
    for demo in DEMOS:
        text = (RIGS / f"{demo}.toml").read_text(encoding="utf-8")
        for name, changes in mistakes(text).items():
            built = text
            for change in changes:
                built = changed(built, *change)
            yield demo, name, text, built, changes
