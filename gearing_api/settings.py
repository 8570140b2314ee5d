"""Every limit and switch, read once from ``GEARING_*`` environment variables."""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

_SHAPES = {
    "turns_file": (re.compile(r"/[^\0]+"), "a path that begins with /, such as /dev/shm/gearing-turns"),
    "rate_storage": (
        re.compile(r"(rediss?|unix)://\S{1,500}"),
        "an address such as redis://127.0.0.1:6379/0",
    ),
    "public_address": (
        re.compile(r"https?://[A-Za-z0-9.\-]{1,253}(:\d{1,5})?"),
        "scheme and host without a path, such as https://gears.example",
    ),
}


@dataclass(frozen=True)
class Settings:
    """The limits of one running service.

    Each is set by the environment variable of its name in capitals after ``GEARING_``, for example
    ``GEARING_BODY_BYTES``.
    """

    body_bytes: int = 1_000_000
    query_bytes: int = 8_000
    errors_listed: int = 20
    many_bytes: int = 20_000_000
    rows: int = 100_000
    combinations: int = 1_000
    row_errors_listed: int = 1_000
    cells: int = 1_000_000
    cache_seconds: int = 300
    stale_seconds: int = 86_400
    requests_per_minute: int = 6_000
    cpu_seconds_per_minute: int = 20
    at_once: int = 8
    rate_storage: str = ""
    turns_file: str = ""
    charts_at_once: int = 3
    many_at_once: int = 4
    request_seconds: int = 60
    trusted_proxies: int = 0
    public_address: str = ""
    metrics: int = 0
    access_log: int = 1

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> "Settings":
        """The defaults, changed by the environment.

        Raises
        ------
        ValueError
            If a variable is not what it must be. Names it.
        """
        changed: dict[str, Any] = {}
        for field in fields(cls):
            variable = f"GEARING_{field.name.upper()}"
            if variable in environment:
                changed[field.name] = _read(variable, field.name, environment[variable])
        return cls(**changed)


def _read(variable: str, name: str, text: str) -> int | str:
    if name in _SHAPES:
        shape, accepted = _SHAPES[name]
        if text and not shape.fullmatch(text):
            raise ValueError(f"{variable} must be {accepted}, not {text!r}")
        return text
    if not text.isascii() or not text.isdigit():
        raise ValueError(f"{variable} must be a whole number, zero or above, not {text!r}")
    return int(text)
