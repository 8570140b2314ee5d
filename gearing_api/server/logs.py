"""What the running service writes down: one JSON object a line, no personal data beyond the address."""

import json
import logging
from collections.abc import MutableMapping
from datetime import UTC, datetime, timedelta
from typing import Any

from gunicorn.glogging import Logger

from gearing_api.http.proxy import REQUEST_ID

_LONGEST_PATH = 200
_OWN = "gearing_api"


class JsonLines(logging.Formatter):
    """A record as one line, whatever stands in it."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line = {
            "time": _written(datetime.fromtimestamp(record.created, UTC)),
            "level": record.levelname.lower(),
            "process": record.process,
            "message": record.getMessage(),
        }
        if request_id := getattr(record, "request_id", None):
            line["request_id"] = request_id
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)
        return json.dumps(line)


class Log(Logger):
    """gunicorn's two logs, and the application's own, in JSON."""

    def setup(self, cfg: Any) -> None:
        """Give every handler the one form; one that cannot write, on a full disk, is silent."""
        super().setup(cfg)
        logging.raiseExceptions = False
        for handler in self.error_log.handlers:
            handler.setFormatter(JsonLines())
        logging.getLogger(_OWN).handlers = self.error_log.handlers

    def access(self, resp: Any, req: Any, environ: MutableMapping[str, Any], request_time: timedelta) -> None:
        """One answered request. The query is left out: a sentence in it may hold anything."""
        if not self.cfg.accesslog:
            return
        line = {
            "time": _written(datetime.now(UTC)),
            "request_id": environ.get(REQUEST_ID),
            "address": environ.get("REMOTE_ADDR"),
            "method": environ["REQUEST_METHOD"],
            "path": environ["RAW_URI"].partition("?")[0][:_LONGEST_PATH],
            "status": resp.status_code,
            "bytes": resp.sent,
            "ms": round(request_time.total_seconds() * 1e3, 2),
        }
        self.access_log.info(json.dumps(line))


def _written(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds")
