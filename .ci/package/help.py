#!/usr/bin/python3
"""Makes the page of help that packages bring out of README: help.py README OUT."""

import pathlib
import re
import sys

import markdown

# What is for those who build the program themselves.
LEFT_OUT = ["Try it without a rig"]

STYLE = """
body { max-width: 52rem; margin: 2rem auto; padding: 0 1rem; font: 1rem/1.5 sans-serif;
  color: #1b232c; background: #fff }
h1, h2, h3 { line-height: 1.2; margin-top: 2rem }
img { max-width: 100% }
pre { background: #eef1f4; padding: .8rem; overflow-x: auto }
code { background: #eef1f4; padding: 0 .2rem }
table { border-collapse: collapse; display: block; overflow-x: auto }
th, td { border: 1px solid #b9c3cd; padding: .25rem .5rem; text-align: left; vertical-align: top }
nav { columns: 2 }
@media (prefers-color-scheme: dark) {
  body { color: #dfe6ec; background: #12171d } a { color: #8ec5ff }
  pre, code { background: #222b35 } th, td { border-color: #46525e }
}
"""


def sections(text):
    """The part before the first heading of the second level, and each part from one on."""
    parts = re.split(r"(?m)^(?=## )", text)
    return parts[0], parts[1:]


def page(text):
    first, rest = sections(text)
    kept = [part for part in rest if part.splitlines()[0].removeprefix("## ") not in LEFT_OUT]
    if len(kept) != len(rest) - len(LEFT_OUT):
        sys.exit(f"README has not each of {LEFT_OUT}")
    # Programs that are installed are called by their name.
    source = (first + "".join(kept)).replace("cargo run --release -- ", "throughline ")
    maker = markdown.Markdown(extensions=["tables", "fenced_code", "toc"])
    body = maker.convert(source)
    links = "".join(
        f'<li><a href="#{part["id"]}">{part["name"]}</a></li>'
        for top in maker.toc_tokens
        for part in top["children"]
    )
    body = body.replace("</h1>", f"</h1>\n<nav><ul>{links}</ul></nav>", 1)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>Throughline: help</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def unkept(html, folder):
    """Files that the page shows or leads to and that don't lie beside it."""
    names = re.findall(r'(?:src|href)="([^"#:]+)"', html)
    return [name for name in names if not (folder / name).exists()]


readme, out = map(pathlib.Path, sys.argv[1:])
html = page(readme.read_text(encoding="utf-8"))
out.write_text(html, encoding="utf-8")
missing = unkept(html, out.parent)
if missing:
    sys.exit(f"help leads to what the package lacks: {missing}")
