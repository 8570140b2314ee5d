"""Strip a post of what its writer did not say: markup, quotes, code, mentions and addresses."""

import html
import re

LONGEST_POST = 20_000
"""Characters of a post that are looked at."""

_QUOTED = {"blockquote", "pre", "code", "script", "style"}
_BREAKS = {"p", "br", "div", "li", "tr", "h1", "h2", "h3", "h4"}
_MAY_BE_HTML = re.compile(r"<[a-zA-Z/!]|&[a-zA-Z#]")
_TAG = re.compile(r"<!--[^<>]{0,1000}-->|<(/?)([a-zA-Z][a-zA-Z0-9]{0,12})((?:\s[^<>]{0,1000})?)/?>")
_CHAT_MARKS = re.compile(r"<(?:[@#!][^<>\n]{0,200}|https?:[^<>|\s]{0,500}(?:\|([^<>\n]{0,200}))?)>")
_FENCE = re.compile(r"```.*?(?:```|\Z)", re.DOTALL)
_BBCODE_BLOCKS = re.compile(
    r"\[(quote|code|img|media|spoiler)\b[^\[\]\n]{0,200}\]|\[/(quote|code|img|media|spoiler)\]", re.IGNORECASE
)
_BBCODE = re.compile(r"\[/?[a-zA-Z*]{1,12}(?:=[^\[\]\n]{0,300})?\]")
_LINK = re.compile(r"!?\[([^\[\]\n]{0,200})\]\([^()\s]{0,500}\)")
_ADDRESS = re.compile(r"\b(?:https?://|www\.)\S+", re.IGNORECASE)
_MENTION = re.compile(r"(?<![\w.])@[A-Za-z_][\w.-]{0,60}(?::[\w.-]{1,80})?")
_QUOTE_LINE = re.compile(r"^[ \t]*>.*$", re.MULTILINE)
_STRESS = re.compile(r"\*\*|__|~~|`")


def without_markup(post: str) -> str:
    """Return the plain text that the writer added to a post of HTML, BBCode, Markdown or a chat's own marks.

    Examples
    --------
    >>> without_markup("<blockquote>37s</blockquote><p>31s to <b>35s</b> on 4.10s, @ann</p>")
    '31s to 35s on 4.10s,'
    >>> without_markup("[quote=ann]40s[/quote] 35s with 285 hp @ 4000 rpm")
    '35s with 285 hp @ 4000 rpm'
    """
    text = _CHAT_MARKS.sub(lambda found: f" {found[1] or ''} ", post[:LONGEST_POST])
    text = _QUOTE_LINE.sub(" ", _FENCE.sub(" ", text))
    if _MAY_BE_HTML.search(text):
        text = _of_html(text)
    text = _BBCODE.sub("", _without_blocks(text))
    text = _ADDRESS.sub(" ", _LINK.sub(r"\1", text))
    text = _STRESS.sub("", _MENTION.sub(" ", text))
    return "\n".join(filter(None, (" ".join(line.split()) for line in text.splitlines())))


def _without_blocks(text: str) -> str:
    """Leave out blocks of BBCode with all that is in them, also one in another."""
    kept, depth, place = [], 0, 0
    for found in _BBCODE_BLOCKS.finditer(text):
        if depth == 0:
            kept.append(text[place : found.start()])
        depth = depth + 1 if found[1] else max(0, depth - 1)
        place = found.end()
    return " ".join([*kept, text[place:] if depth == 0 else ""])


def _of_html(text: str) -> str:
    """Return what stands between the tags, outside quotes and code; one in another counts."""
    said: list[str] = []
    left_out: list[str] = []
    place = 0
    for found in _TAG.finditer(text):
        if not left_out:
            said.append(text[place : found.start()])
        place = found.end()
        closes, tag = found[1], (found[2] or "").lower()
        if closes and tag in left_out:
            del left_out[len(left_out) - 1 - left_out[::-1].index(tag) :]
        elif not closes and (tag in _QUOTED or (tag == "aside" and "quote" in found[3])):
            left_out.append(tag)
        elif tag in _BREAKS and not left_out:
            said.append("\n")
    return html.unescape("".join([*said, "" if left_out else text[place:]]))
