"""Ranges: what varies in a build, drawn 512 times as one column of builds, and what that makes of the results."""
