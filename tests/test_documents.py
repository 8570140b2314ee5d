"""Every example in the documents is true."""

from pathlib import Path

import pytest

from tests.documents import BLOCK, DOCUMENTS, output
from tests.kept import same

WRITE_ANEW = "run `python -m tests.regenerate` and read the difference"

EXAMPLES = [
    pytest.param(path, found["command"], found["output"], id=f"{path.name}-{place}")
    for path in DOCUMENTS
    for place, found in enumerate(BLOCK.finditer(path.read_text(encoding="utf-8")))
]


@pytest.mark.parametrize(("path", "command", "printed"), EXAMPLES)
def test_example_prints_what_the_document_says(path: Path, command: str, printed: str) -> None:
    assert same(printed, output(command, path.read_text(encoding="utf-8"))), WRITE_ANEW


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 3
