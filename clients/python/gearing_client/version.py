"""The version of this package, which is also told to the service."""

__version__ = "1.0.0"
