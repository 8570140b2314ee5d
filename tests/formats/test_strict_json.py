"""A large document is read in pieces: the same values, and the same refusals, as at once."""

import json
import random
import time
from typing import Any

import pytest

from gearing_api.formats import strict_json
from gearing_api.formats.strict_json import TooManyValues, Unfit, parsed

FIT: list[Any] = [
    {}, [], {"a": []}, {"a": {}}, "x", 1.5, None, [[]], [[], [[], ""], "", [""]], {"": [["", ","]]},
    {"a": [{}, {"b": [1, 2]}, [[[[[1]]]]], None, True, "x,y]", 'q"],', "\\"]},
    {"a": {"b": {"c": {"d": {"e": [1, {"f": 2}]}}}}}, {"é": ["ü,😀"] * 3},
    {"columns": {"tyre": ["35x12.50R17LT"] * 3000, "power_curve": [[[1000, 200], [2000, 1.5]]] * 300}},
]  # fmt: skip
UNFIT = [
    b"", b"{", b"[", b"[1,]", b"[,1]", b"[1 2]", b'{"a":1,}', b'{"a" 1}', b'{"a":1 "b":2}', b"[1]]",
    b'{"a":1}x',
    b"[NaN]", b'{"a":1,"a":2}', b'[{"a":1,"a":2}]', b'["\\ud800"]', b'["a" "b"]', b'[""x]', b"[[1,]]",
    b"[[,]]",
    b'["a]', b'["a\\"]', b'{"a":[1,2}', b"[1}", b"[tru]", b"['a']", b"[1,,2]", b"\xff[1]", b'["\xff"]',
    b'[{"a":"\xff"}]', b"[" + b"9" * 5000 + b"]", b"[\x01]", b'["\n"]', b"[" * 2000 + b"]" * 2000,
]  # fmt: skip


def outcome(content: bytes, in_pieces: bool, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The value in JSON, or that there is none."""
    monkeypatch.setattr(strict_json, "LARGE", 0 if in_pieces else 10**9)
    try:
        return json.dumps(parsed(content))
    except Unfit:
        return Unfit


@pytest.mark.parametrize("in_pieces", [False, True])
def test_what_is_fit_is_read_and_what_is_not_is_refused(
    in_pieces: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    for value in FIT:
        for form in ({}, {"indent": 1}, {"ensure_ascii": False}):
            content = json.dumps(value, **form).encode()  # type: ignore[arg-type]
            assert outcome(content, in_pieces, monkeypatch) == json.dumps(value)
            assert outcome(b"\xef\xbb\xbf" + content, in_pieces, monkeypatch) == json.dumps(value)
    for content in UNFIT:
        assert outcome(content, in_pieces, monkeypatch) is Unfit, content[:40]


def test_pieces_agree_with_the_whole_whatever_comes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Good documents with some bytes changed, left out or put in."""
    chance, seeds = random.Random(1), [json.dumps(value).encode() for value in FIT[:-1]]
    for _ in range(10_000):
        content = bytearray(chance.choice(seeds))
        for _ in range(chance.randint(1, 4)):
            at, byte = chance.randrange(len(content) or 1), chance.choice(b'[]{}",:\\ 1ax\n\xc3')
            content[at : at + chance.randint(0, 1)] = [byte] * chance.randint(0, 1)
        whole = outcome(bytes(content), False, monkeypatch)
        assert outcome(bytes(content), True, monkeypatch) == whole, content


def test_too_many_values_are_refused_before_they_are_read() -> None:
    assert parsed(b"[1,2,3]", 4) == [1, 2, 3]
    for content in (b"[1,2,3,4]", b"[[[[", b'{"a":{"b":{"c":{'):
        with pytest.raises(TooManyValues):
            parsed(content, 4)


@pytest.mark.parametrize(
    "content",
    [
        b'["' + b'\\"' * 2_000_000, b"[" + b"," * 2_000_000, b'[' + b'"' * 1_999_999, b"[" + b" " * 4_000_000,
        b"[" + b"1" * 4_000_000, b'[1,"a",[2,[3' * 200_000, b"[" * 600_000, b'{"a":' * 400_000,
        b"[" + b"[1,[2,[3],4]," * 200_000,
    ],
    ids=lambda content: content[:12],
)  # fmt: skip
def test_no_text_of_megabytes_takes_long(content: bytes) -> None:
    """Each pattern gives up where it stands: none tries a part again in another way."""
    began = time.thread_time()
    with pytest.raises(Unfit):
        parsed(content)
    assert time.thread_time() - began < 2
