"""What DEVELOPERS.md tells to run for others: two instances behind nginx, with shared counts."""
