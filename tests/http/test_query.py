"""A query is split as the standard library splits it, and refused where that refuses it."""

from urllib.parse import parse_qsl

import pytest
from flask import Request
from hypothesis import example, given
from hypothesis import strategies as st

from gearing_api.http.problems import Problem
from gearing_api.http.requests import read_query
from gearing_api.settings import Settings

PIECES = st.sampled_from(
    ["tyre", "a", "=", "&", "+", "%2B", "%26", "%3d", "%", "%4", "%c3%a9", "%c3", "é", "x" * 9]
)


def by_the_library(query: str) -> dict[str, str] | None:
    """The parameters, or None where they are refused: not UTF-8, or one of them twice."""
    try:
        pairs = [pair for pair in parse_qsl(query, keep_blank_values=True, errors="strict") if pair[0] != "_"]
    except ValueError:
        return None
    return dict(pairs) if len(dict(pairs)) == len(pairs) else None


@given(query=st.lists(PIECES).map("".join))
@example(query="tyre=33+in&note=%C3%A9+%26")
@example(query="a=%c3&b=é%a9")
def test_a_query_is_split_as_the_standard_library_does(query: str) -> None:
    raw = query.encode().decode("latin-1")
    request = Request({"QUERY_STRING": raw, "REQUEST_METHOD": "GET"})
    whole = by_the_library(query)
    if whole is None:
        with pytest.raises(Problem):
            read_query(request, Settings())
    else:
        kept = {name: text for name, text in whole.items() if text.strip() or name != "tyre"}
        assert read_query(request, Settings()) == kept


@pytest.mark.parametrize("query", ["tyre=\xff", "tyre=%ff", "tyre=\xc3%a9"])
def test_bytes_that_are_no_text_are_refused(query: str) -> None:
    with pytest.raises(Problem) as refused:
        read_query(Request({"QUERY_STRING": query, "REQUEST_METHOD": "GET"}), Settings())
    assert refused.value.status == 400
