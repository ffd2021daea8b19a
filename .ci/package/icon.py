#!/usr/bin/env python3
"""Draws the icon in the sizes that Windows shows, into one .ico file."""

import pathlib
import struct
import subprocess
import sys

SIZES = [16, 20, 24, 32, 40, 48, 64, 256]
drawing = pathlib.Path(__file__).with_name("icon.svg")


def drawn(size):
    """The icon as a PNG, which Windows takes in any size."""
    size = str(size)
    return subprocess.run(
        ["rsvg-convert", "-w", size, "-h", size, drawing], check=True, capture_output=True
    ).stdout


pictures = [drawn(size) for size in SIZES]
head = struct.pack("<HHH", 0, 1, len(SIZES))
offset = len(head) + 16 * len(SIZES)
entries = b""
for size, picture in zip(SIZES, pictures):
    # 256 is written as 0.
    entries += struct.pack("<BBBBHHII", size % 256, size % 256, 0, 0, 1, 32, len(picture), offset)
    offset += len(picture)
pathlib.Path(sys.argv[1]).write_bytes(head + entries + b"".join(pictures))
