"""Drivability and strength of trail vehicles after a tyre, axle or gear change."""

__version__ = "0.1.0"
