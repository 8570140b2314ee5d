"""Client of a service that computes drivability and strength of trail vehicles."""

from gearing_client.answers import Absent, Answer, Answers, Caution, Driver, Source, Table
from gearing_client.async_client import AsyncClient
from gearing_client.client import Client
from gearing_client.errors import (
    ConnectionFailed,
    FieldError,
    GearingError,
    InvalidBuild,
    RequestTimeout,
    ServiceProblem,
    UnexpectedAnswer,
)
from gearing_client.questions import Fields
from gearing_client.shortlists import Choice, Miss, Shortlist, Step
from gearing_client.version import __version__

__all__ = [
    "Absent",
    "Answer",
    "Answers",
    "AsyncClient",
    "Caution",
    "Choice",
    "Client",
    "ConnectionFailed",
    "Driver",
    "FieldError",
    "Fields",
    "GearingError",
    "InvalidBuild",
    "Miss",
    "RequestTimeout",
    "ServiceProblem",
    "Shortlist",
    "Source",
    "Step",
    "Table",
    "UnexpectedAnswer",
    "__version__",
]
