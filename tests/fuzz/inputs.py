"""What the search starts from: the kept inputs of each reader, and words that its texts are made of."""

from pathlib import Path

from gearing_api import units
from gearing_api.sentences.links import GEARS

CORPUS = Path(__file__).parent / "corpus"

MOST_KEPT = 50
"""Inputs of each reader that are kept in the tree beside the named cases."""

LONGEST = {
    "tyre-sizes": 60,
    "quantities": 60,
    "lists": 8100,
    "sentences": 600,
    "two-readers": 60,
    "json": 400,
}
"""Bytes of the longest input that is tried: a little more than the reader looks at."""

_DIGITS = ["0", "9", "41/9", "1e99", "1e-99", "1,5", "35 1/2", "5 200", "9**9**9", ".", "-", "−", "½", "٤"]
_UNITS = [spelling for quantity in units.QUANTITIES for spelling in quantity.factors]
_SIZES = [
    "265", "/70", "R17", "ZR", "LT", "P", "C", "35x", "12.50", "x", "×", "7.50", "-15", " 115T", "121/118S",
    "(Y)", "205-640 R 440", "⁄", "–", "D", "16.5", "/E",
]  # fmt: skip
_LISTS = [
    "600:4500:300", ":", ",", "1000:210,2000:260", "41/9,4.10", "35,0.5,0.03", "[", "]", "\"", "null",
    "1,2.72", "rpm", "mph", "km/h", "lb-ft", "lbf/mph2", "N/(km/h)2", "kW", "hp",
]  # fmt: skip
_WORDS = [
    "from", "to", "was", "now", "stock", "with", "for", "front", "rear", "gears", "35s", '33"', "4.10s",
    "3.83 first", "2.72 low", "low range", "t-case", "axle", "top", "overdrive", "idle", "redline", "rpm",
    "260 lb-ft at 3200", "5,200 lb", "6000 ft", "6 % grade", "315/75", "456", "4.46/2.61/1.72/1.25/1.0/0.84",
    "1st", "4:1", "=", "(", ")", "instead of", "swap", "portals", "35 psi", "2000-2500 rpm", "is",
    "265/70R17", *(gear.replace("_", " ") for gear in GEARS),
]  # fmt: skip
_JSON = [
    '"', "{", "}", "[", "]", ":", ",", "true", "null", "NaN", "-Infinity", "\\ud800", "1e999", "\ufeff",
    "\\u0000",
]  # fmt: skip
_TOKENS = {
    "tyre-sizes": _SIZES + _DIGITS,
    "quantities": _UNITS + _DIGITS,
    "lists": _LISTS + _DIGITS,
    "sentences": _WORDS + _SIZES,
    "two-readers": [*_SIZES, "s", "'s", " tires", "35s", "315/75", "750R16", "XL", "8PR", "LRE", '"', "in"],
    "json": _JSON,
}


def dictionary(reader: str) -> str:
    """The words of a reader as the fuzzer takes them: quoted, every byte of what is not plain as \\xNN."""
    return "".join(f'"{_escaped(token)}"\n' for token in dict.fromkeys(_TOKENS[reader]))


def _escaped(token: str) -> str:
    return "".join(
        chr(byte) if 32 <= byte < 127 and byte not in b'"\\' else f"\\x{byte:02X}" for byte in token.encode()
    )


def kept(reader: str) -> dict[str, bytes]:
    """The inputs of the corpus by name; those that once broke a reader are named after what was wrong."""
    return {path.name: path.read_bytes() for path in sorted((CORPUS / reader).iterdir())}
