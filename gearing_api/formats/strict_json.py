"""Read JSON strictly: each name once, no NaN, and nothing that could not be written again."""

import json
import re
from codecs import getincrementaldecoder
from typing import Any

import orjson

from gearing_api.checkpoint import may_go_on

LARGE = 100_000
"""Bytes above which a document is read in pieces, so that others may go on between them."""

LONGEST_MEMBER = 20_000
"""Bytes that an item of a list may have in a large document."""

_MOST_AT_ONCE = 1_000
_DEEPEST_NAMES = 3


class Unfit(ValueError):
    """JSON that is malformed or not accepted, with the reason."""


class TooManyValues(ValueError):
    """JSON with more values than may be sent."""


def parsed(content: bytes, most_values: int | None = None) -> Any:
    """Read a JSON text in UTF-8, with or without a byte order mark.

    Raises
    ------
    Unfit
        If it is malformed or not accepted.
    TooManyValues
        If it has more values than that. It has not been read then.
    """
    # No document has more values than commas and brackets, and one.
    if most_values is not None and sum(map(content.count, (b",", b"[", b"{"))) >= most_values:
        raise TooManyValues
    if len(content) <= LARGE:
        return _whole(content)
    return _Pieces(content.removeprefix(b"\xef\xbb\xbf")).document()


def _whole(content: bytes) -> Any:
    try:
        value = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_unique, parse_constant=_refuse)
        orjson.dumps(value)  # fails for half characters ("\ud800"), integers of many digits and deep nesting
    except Unfit:
        raise
    except (TypeError, ValueError, RecursionError) as error:
        raise Unfit("it is not plain, well-formed JSON in UTF-8") from error
    return value


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        raise Unfit("a name stands in it twice")
    return made


def _refuse(text: str) -> None:
    raise Unfit("NaN and Infinity are no numbers")


_SPACES = rb"[ \t\n\r]*+"
_TEXT = rb'"(?:[^"\\]|\\.)*+"'
_LIST = rb"\[(?:[^\[\]{}\"]++|" + _TEXT + rb")*+\]"
for _ in range(2):  # a list of curves is a list of lists of pairs
    _LIST = rb"\[(?:[^\[\]{}\"]++|" + _TEXT + rb"|" + _LIST + rb")*+\]"
_LONE = rb"(?:[^ \t\n\r\[\]{}\",]++|" + _TEXT + rb")"
_ITEM = _SPACES + rb"(?:" + _LONE + rb"|" + _LIST + rb")" + _SPACES

_SPACE_HERE = re.compile(_SPACES)
_NAME_HERE = re.compile(_TEXT + _SPACES + rb":", re.DOTALL)
_LONE_HERE = re.compile(_LONE, re.DOTALL)
_ITEMS_HERE = re.compile(_ITEM + rb"(?:," + _ITEM + rb"){0,%d}+" % (_MOST_AT_ONCE - 1), re.DOTALL)


class _Pieces:
    """A large document: the names of its objects are walked, its lists parsed some hundred items at a time.

    The parser itself holds up all other threads for as long as it runs.
    """

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._at = 0

    def document(self) -> Any:
        """The whole, which has nothing after it."""
        value = self._value(_DEEPEST_NAMES)
        if self._next():
            raise self._unfit()
        return value

    def _unfit(self) -> Unfit:
        return Unfit("it is not plain, well-formed JSON in UTF-8")

    def _next(self) -> bytes:
        """The next byte that is no space."""
        found = _SPACE_HERE.match(self._content, self._at)
        self._at = found.end() if found else self._at
        return self._content[self._at : self._at + 1]

    def _expect(self, *bytes_: bytes) -> bytes:
        found = self._next()
        if found not in bytes_ or not found:
            raise self._unfit()
        self._at += 1
        return found

    def _value(self, deep: int) -> Any:
        first = self._next()
        if first == b"{" and deep:
            return self._object(deep - 1)
        if first == b"[":
            return self._list()
        return self._lone()

    def _object(self, deep: int) -> dict[str, Any]:
        self._expect(b"{")
        pairs: list[tuple[str, Any]] = []
        if self._next() == b"}":
            self._at += 1
            return {}
        while True:
            self._next()
            name = _NAME_HERE.match(self._content, self._at)
            if name is None:
                raise self._unfit()
            self._at = name.end()
            pairs.append((_whole(name[0][:-1]), self._value(deep)))
            if self._expect(b",", b"}") == b"}":
                return _unique(pairs)

    def _list(self) -> list[Any]:
        self._expect(b"[")
        items: list[Any] = []
        if self._next() == b"]":
            self._at += 1
            return items
        while True:
            may_go_on()
            self._next()
            found = _ITEMS_HERE.match(self._content, self._at)
            if found is None:
                items.append(self._odd())
            else:
                self._at = found.end()
                items += _whole(b"[%s]" % found[0])
            if self._expect(b",", b"]") == b"]":
                return items

    def _lone(self) -> Any:
        found = _LONE_HERE.match(self._content, self._at)
        if found is None:
            return self._odd()
        self._at = found.end()
        return _whole(found[0])

    def _odd(self) -> Any:
        """Parse an object in a list, or lists nested deeper: nothing that is taken anywhere."""
        for length in (200, LONGEST_MEMBER):
            part = self._content[self._at : self._at + length]
            try:
                text = getincrementaldecoder("utf-8")().decode(part)  # half a character may stand at its end
                value, end = _DECODER.raw_decode(text)
                orjson.dumps(value)
            except Unfit:
                raise
            except (TypeError, ValueError, RecursionError):
                continue
            self._at += len(text[:end].encode())
            return value
        raise self._unfit()


_DECODER = json.JSONDecoder(object_pairs_hook=_unique, parse_constant=_refuse)
