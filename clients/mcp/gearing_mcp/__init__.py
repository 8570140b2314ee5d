"""The drivability service as tools for assistants, over the Model Context Protocol."""

from gearing_mcp.server import make_server
from gearing_mcp.service import Service

__all__ = ["Service", "make_server"]
