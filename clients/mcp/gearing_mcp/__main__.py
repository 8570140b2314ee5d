"""The command line: the server over stdio, or over HTTP."""

import argparse
import os
import sys

from gearing_mcp.server import make_server
from gearing_mcp.service import Service


def main(arguments: list[str] | None = None) -> int:
    """Serve until stopped; the exit status."""
    parser = argparse.ArgumentParser(
        prog="gearing-mcp",
        description="The drivability service as tools for assistants (Model Context Protocol).",
    )
    parser.add_argument(
        "--service",
        default=os.environ.get("GEARING_SERVICE", "http://127.0.0.1:8000"),
        help="address of the drivability service; default: GEARING_SERVICE, else http://127.0.0.1:8000",
    )
    parser.add_argument("--http", action="store_true", help="streamable HTTP at /mcp instead of stdio")
    parser.add_argument("--host", default="127.0.0.1", help="default: %(default)s, this machine only")
    parser.add_argument("--port", type=int, default=8002, help="default: %(default)s")
    given = parser.parse_args(arguments)
    server = make_server(Service(given.service))
    if given.http:
        server.run(
            "streamable-http", host=given.host, port=given.port, stateless_http=True, json_response=True
        )
    else:
        server.run("stdio")
    return 0


if __name__ == "__main__":
    sys.exit(main())
