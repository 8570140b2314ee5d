"""What all parts of a flat OpenDocument file share: names of XML, and elements made in one line."""

from xml.etree.ElementTree import Element, SubElement

OASIS = "urn:oasis:names:tc:opendocument:xmlns:"
NAMESPACES = {
    "office": OASIS + "office:1.0", "style": OASIS + "style:1.0", "text": OASIS + "text:1.0",
    "table": OASIS + "table:1.0", "draw": OASIS + "drawing:1.0", "chart": OASIS + "chart:1.0",
    "number": OASIS + "datastyle:1.0", "config": OASIS + "config:1.0", "meta": OASIS + "meta:1.0",
    "svg": OASIS + "svg-compatible:1.0", "fo": OASIS + "xsl-fo-compatible:1.0", "of": OASIS + "of:1.2",
    "xlink": "http://www.w3.org/1999/xlink", "dc": "http://purl.org/dc/elements/1.1/",
    "ooo": "http://openoffice.org/2004/office",
    "calcext": "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0",
}  # fmt: skip
SPREADSHEET, CHART = (f"application/vnd.oasis.opendocument.{kind}" for kind in ("spreadsheet", "chart"))


def under(parent: Element, tag: str, **attributes: str) -> Element:
    """A new element; in the names of attributes __ stands for a colon and _ for a hyphen."""
    told = {name.replace("__", ":").replace("_", "-"): value for name, value in attributes.items()}
    return SubElement(parent, tag, told)


def tagged(parent: Element, tag: str, text: str, **attributes: str) -> None:
    under(parent, tag, **attributes).text = text


def cm(length: float) -> str:
    return f"{length:.3f}cm"
