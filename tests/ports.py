"""Ports for servers that tests start."""

import secrets
import socket

LOWEST, HIGHEST = 20_000, 32_767
"""Below those that systems give to outgoing connections: one that is free now might be taken by a connection,
even by one to itself, before the server listens there."""


def free_port() -> int:
    """A port of this machine that nobody has."""
    while True:
        port = LOWEST + secrets.randbelow(HIGHEST - LOWEST)
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
