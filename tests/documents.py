"""The examples in the documents: find them, run them without a network, and write their output back.

A fenced ``console`` block holds one command after ``$`` and its output below. A block with the name of a file
after its language is that file for all commands of the document. ``python -m tests.documents`` runs every
command and writes the true output under it.
"""

import contextlib
import io
import re
import shlex
import tempfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

from gearing_api.__main__ import main
from gearing_api.app import create_app
from tests.kept import rewrite, same

ROOT = Path(__file__).parents[1]
DOCUMENTS = [ROOT / "README.md", ROOT / "openapi/README.md", *sorted(ROOT.glob("clients/**/*.md"))]
BLOCK = re.compile(r"```console\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)
FILE = re.compile(r"```\w+ (?P<name>[\w.-]+)\n(?P<content>.*?)```", re.DOTALL)


def output(command: str, document: str = "") -> str:
    """What the command prints, ended by one newline, in a folder with the files of the document."""
    words = shlex.split(command)
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        for file in FILE.finditer(document):
            Path(file["name"]).write_text(file["content"], encoding="utf-8")
        printed = _asked_here(words[1:]) if words[0] == "gearing-api" else _asked_over_http(words)
    return printed.replace("\r\n", "\n").rstrip("\n") + "\n"


def _asked_here(words: list[str]) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        main(words)
    return out.getvalue()


def _asked_over_http(words: list[str]) -> str:
    assert words.pop(0) == "curl"
    headers, body, address, shows_head = {}, None, "", False
    while words:
        word = words.pop(0)
        if word == "-H":
            name, _, value = words.pop(0).partition(": ")
            headers[name] = value
        elif word in ("-d", "--data", "--data-binary"):
            body = words.pop(0)
            if body.startswith("@"):
                body = Path(body[1:]).read_text(encoding="utf-8")
        elif word in ("-i", "-si"):
            shows_head = True
        elif word != "-s":
            address = word
    parts = urlsplit(address)
    whole = parts.path + (f"?{parts.query}" if parts.query else "")
    response = (
        create_app()
        .test_client()
        .open(whole, method="GET" if body is None else "POST", headers=headers, data=body)
    )
    head = f"HTTP/1.1 {response.status}\n" if shows_head else ""
    return head + response.get_data(as_text=True)


def rewritten(text: str) -> str:
    """The document with the true output under every command; a kept output that is the same stays."""

    def with_output(found: re.Match[str]) -> str:
        made = output(found["command"], text)
        kept = found["output"] if same(found["output"], made) else made
        return f"```console\n$ {found['command']}\n{kept}```"

    return BLOCK.sub(with_output, text)


def files() -> Iterator[tuple[Path, str]]:
    """Each document and what belongs into it."""
    for path in DOCUMENTS:
        yield path, rewritten(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    for path, text in files():
        rewrite(path, text)
