"""The service under gunicorn: its configuration, its worker and its logs."""
