"""The system that gearing_api/server/README.md describes: two instances behind nginx, with shared counts."""
