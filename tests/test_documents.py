"""Every example in the documents is true."""

from pathlib import Path

import pytest

from tests.documents import BLOCK, DOCUMENTS, output

EXAMPLES = [
    pytest.param(path, found["command"], found["output"], id=f"{path.name}-{place}")
    for path in DOCUMENTS
    for place, found in enumerate(BLOCK.finditer(path.read_text(encoding="utf-8")))
]


@pytest.mark.parametrize(("path", "command", "printed"), EXAMPLES)
def test_example_prints_what_the_document_says(path: Path, command: str, printed: str) -> None:
    assert output(command, path.read_text(encoding="utf-8")) == printed


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 3
