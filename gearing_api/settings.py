"""Every limit and switch, read once from ``GEARING_*`` environment variables."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields


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
    row_errors_listed: int = 1_000
    cells: int = 1_000_000
    cache_seconds: int = 86_400

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> "Settings":
        """The defaults, changed by the environment.

        Raises
        ------
        ValueError
            If a variable is no whole number of zero or above. Names it.
        """
        changed = {}
        for field in fields(cls):
            variable = f"GEARING_{field.name.upper()}"
            if variable in environment:
                text = environment[variable]
                if not text.isascii() or not text.isdigit():
                    raise ValueError(f"{variable} must be a whole number, zero or above, not {text!r}")
                changed[field.name] = int(text)
        return cls(**changed)
