"""What can go wrong. Every exception that comes from the service or the way to it is a `GearingError`."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FieldError:
    """Why a field was refused.

    `pointer` is the place in what was sent, `got` what stood there; `index` is the row, where many
    builds were sent.
    """

    pointer: str
    detail: str
    location: str = ""
    got: str | float | None = None
    index: int | None = None

    @property
    def field(self) -> str:
        """The name of the field: the last name in the pointer, places in lists left out."""
        names = [part for part in self.pointer.split("/") if not part.isdigit()]
        return names[-1].replace("~1", "/").replace("~0", "~") if names else ""


class GearingError(Exception):
    """The base of all exceptions of this package."""


class ConnectionFailed(GearingError):
    """The service could not be reached, or the connection broke before the answer was whole."""


class RequestTimeout(GearingError):
    """The service was reached too slowly, or its answer took too long."""


class UnexpectedAnswer(GearingError):
    """Something answered, but not as this service does: the address may be that of another one."""


class InvalidBuild(GearingError):
    """The service refuses the build, and says which fields and why.

    `str()` of it is the service's own sentence; `errors` has each field.
    """

    def __init__(self, detail: str, errors: Sequence[FieldError] = ()) -> None:
        super().__init__(detail, errors)
        self.detail = detail
        self.errors = tuple(errors)

    def __str__(self) -> str:
        return self.detail


class ServiceProblem(GearingError):
    """The service answers with another problem: status, title and detail are its own.

    `retry_after` is how many seconds the service asks to wait, where it says so.
    """

    def __init__(self, status: int, title: str, detail: str = "", retry_after: float | None = None) -> None:
        super().__init__(status, title, detail, retry_after)
        self.status = status
        self.title = title
        self.detail = detail
        self.retry_after = retry_after

    def __str__(self) -> str:
        return f"{self.status} {self.title}" + (f": {self.detail}" if self.detail else "")
