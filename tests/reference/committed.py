"""Writing reference data, and comparing a committed file with a fresh computation."""

import argparse
import json
import sys
from pathlib import Path


def differences(found, expected, tolerance, where=""):
    """Yields a sentence for every place where two JSON documents differ."""
    number = (int, float)
    if isinstance(expected, dict) and isinstance(found, dict):
        for key in sorted(expected.keys() | found.keys()):
            if key not in expected or key not in found:
                yield f"{where}.{key}: on one side only"
            else:
                yield from differences(found[key], expected[key], tolerance, f"{where}.{key}")
    elif isinstance(expected, list) and isinstance(found, list):
        if len(expected) != len(found):
            yield f"{where}: {len(found)} entries, expected {len(expected)}"
        for i, (f, e) in enumerate(zip(found, expected)):
            yield from differences(f, e, tolerance, f"{where}[{i}]")
    elif isinstance(expected, number) and isinstance(found, number):
        if not abs(found - expected) <= tolerance:
            yield f"{where}: {found!r}, expected {expected!r}"
    elif found != expected:
        yield f"{where}: {found!r}, expected {expected!r}"


def dump(document):
    """JSON with one line per innermost list or small object, all digits kept."""

    def text(value, indent):
        flat = json.dumps(value, ensure_ascii=False)
        if not isinstance(value, (list, dict)) or len(flat) < 110:
            return flat
        pad = " " * (indent + 1)
        if isinstance(value, list):
            parts = [pad + text(v, indent + 1) for v in value]
            return "[\n" + ",\n".join(parts) + "\n" + " " * indent + "]"
        parts = [f"{pad}{json.dumps(k)}: {text(v, indent + 1)}" for k, v in value.items()]
        return "{\n" + ",\n".join(parts) + "\n" + " " * indent + "}"

    return text(document, 0) + "\n"


def main(description, compute, default_path, tolerance):
    """Command line of a script that makes a data file: write it, or ``--check`` it."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--check", metavar="FILE", help="compare FILE instead of writing")
    parser.add_argument("--out", default=default_path, help="file to write")
    args = parser.parse_args()
    document = json.loads(dump(compute()))
    if args.check is None:
        Path(args.out).parent.mkdir(parents=True, exist_ok=True)
        Path(args.out).write_text(dump(document), encoding="utf-8")
        print(f"wrote {args.out}")
        return
    committed = json.loads(Path(args.check).read_text(encoding="utf-8"))
    found = list(differences(committed, document, tolerance))
    for line in found[:20]:
        print(line, file=sys.stderr)
    if found:
        print(f"{args.check}: {len(found)} differences above {tolerance}", file=sys.stderr)
        sys.exit(1)
    print(f"{args.check}: as computed, within {tolerance}")
