#!/usr/bin/env python3
"""Packs a folder into a zip whose bytes follow from the files': zip.py FOLDER ZIP."""

import pathlib
import sys
import zipfile

folder, out = map(pathlib.Path, sys.argv[1:])
with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            name = path.relative_to(folder.parent).as_posix()
            # The first moment that a zip can tell.
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, path.read_bytes(), compresslevel=9)
