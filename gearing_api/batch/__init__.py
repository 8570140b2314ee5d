"""Many builds in one request or one file: columns, comparisons, sweeps."""
