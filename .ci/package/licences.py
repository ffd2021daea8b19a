#!/usr/bin/env python3
"""Gathers the licences of all that is built into a program for a system.

licences.py TARGET OUT, where `cargo` knows the crates' sources.
"""

import json
import pathlib
import re
import subprocess
import sys

target, out = sys.argv[1], pathlib.Path(sys.argv[2])
root = pathlib.Path(__file__).resolve().parents[2]
NAMES = re.compile(r"(?i)^(licen[cs]e|copying|copyright|notice|unlicense)")
# What may be built into a program under MIT or Apache 2.0. Another one is looked at first.
KNOWN = {
    "0BSD", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD-2-Clause", "BSD-3-Clause",
    "BSL-1.0", "CC0-1.0", "ISC", "MIT", "MIT-0", "Unicode-3.0", "Unlicense", "Zlib",
}  # fmt: skip


def metadata():
    told = subprocess.run(
        ["cargo", "metadata", "--format-version", "1", "--locked", "--filter-platform", target,
         "--manifest-path", root / "Cargo.toml"],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    return json.loads(told.stdout)


def built_in(told):
    """The packages whose code reaches the program: no tests' and no build scripts' ones."""
    nodes = {node["id"]: node for node in told["resolve"]["nodes"]}
    seen, queue = set(), [told["resolve"]["root"]]
    while queue:
        name = queue.pop()
        if name in seen:
            continue
        seen.add(name)
        for needed in nodes[name]["deps"]:
            if any(kind["kind"] is None for kind in needed["dep_kinds"]):
                queue.append(needed["pkg"])
    seen.discard(told["resolve"]["root"])
    # What runs in the compiler is in no program.
    packages = [package for package in told["packages"] if package["id"] in seen]
    packages = [
        package for package in packages
        if not any("proc-macro" in part["kind"] for part in package["targets"])
    ]  # fmt: skip
    return sorted(packages, key=lambda package: (package["name"], package["version"]))


def is_known(expression):
    """Whether one of the licences to choose from is known, and all that go together are."""
    words = re.sub(r"\s*/\s*", " OR ", expression).replace("(", " ( ").replace(")", " ) ")
    words = words.replace(" WITH ", "_WITH_").split()
    terms = [
        word.lower() if word in ("AND", "OR")
        else word if word in "()"
        else str(word.replace("_WITH_", " WITH ") in KNOWN)
        for word in words
    ]  # fmt: skip
    return bool(eval(" ".join(terms), {"__builtins__": {}}))


def texts(package):
    folder = pathlib.Path(package["manifest_path"]).parent
    files = [path for path in sorted(folder.iterdir()) if NAMES.match(path.name)]
    for path in list(files):
        if path.is_dir():
            files.remove(path)
            files += sorted(inner for inner in path.iterdir() if inner.is_file())
    return [(path.name, path.read_text(encoding="utf-8", errors="replace").strip()) for path in files]


packages = built_in(metadata())
strange = [p for p in packages if not p["license"] or not is_known(p["license"])]
if strange:
    sys.exit(f"look at the licences of {[(p['name'], p['license']) for p in strange]}")

lines = [
    "Throughline and what is built into it",
    "",
    "Throughline itself is under the MIT or the Apache 2.0 licence, as you like. Below are its",
    "licences, that of its typeface, and those of every library that is built in, each text once.",
    "",
]
said = {}
def say(heading, text):
    """Adds a text, or where it stands already."""
    key = " ".join(text.split())
    lines.extend(["=" * 78, heading, "=" * 78, ""])
    if key in said:
        lines.extend([f"The same text as that of {said[key]}.", ""])
    else:
        said[key] = heading
        lines.extend([text, ""])


say("Throughline: MIT", (root / "LICENSE-MIT").read_text().strip())
say("Throughline: Apache 2.0", (root / "LICENSE-APACHE").read_text().strip())
say("B612, the typeface: SIL Open Font Licence", (root / "fonts/OFL.txt").read_text().strip())
without = []
for package in packages:
    name = f"{package['name']} {package['version']} ({package['license']})"
    found = texts(package)
    for file, text in found:
        say(f"{name}: {file}", text)
    if not found:
        without.append(package)
        authors = ", ".join(package["authors"]) or "its contributors"
        where = package["repository"] or package["homepage"] or ""
        text = f"By {authors}. {where}\nIts package brings no text; its terms are {package['license']}."
        say(name, text)
for path in map(pathlib.Path, sys.argv[3:]):
    text = path.read_text(encoding="utf-8", errors="replace").strip()
    say(f"Part of the compiler's own library: {path.parent.name}", text)
out.write_text("\n".join(lines), encoding="utf-8")
print(f"{len(packages)} libraries, {len(without)} without a text", file=sys.stderr)
