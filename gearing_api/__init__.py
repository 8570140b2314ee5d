"""Drivability and strength of trail vehicles after a tyre, axle or gear change."""

__version__ = "1.0.0"
