"""Count requests and their time for a monitoring system to collect."""

import os
from time import perf_counter

from flask import Blueprint, Flask, Response, g, request

ADDRESS = "/metrics"
SHARED_FOLDER = "PROMETHEUS_MULTIPROC_DIR"
_BOUNDS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
_METHODS = frozenset({"GET", "HEAD", "POST", "OPTIONS"})


def measure(app: Flask, routes: Blueprint) -> None:
    """Count every request by route, method and status; ``/metrics`` has the counts of all workers.

    Unknown routes and methods share one count each, so that no client can add to their number.
    """
    from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Gauge, Histogram
    from prometheus_client import generate_latest as written
    from prometheus_client.multiprocess import MultiProcessCollector

    own = CollectorRegistry()
    requests = Counter("gearing_requests", "Requests answered", ("route", "method", "status"), registry=own)
    seconds = Histogram(
        "gearing_request_seconds",
        "Time to the answer's first byte",
        ("route",),
        buckets=_BOUNDS,
        registry=own,
    )
    running = Gauge(
        "gearing_requests_in_work", "Requests in work now", registry=own, multiprocess_mode="livesum"
    )

    @app.before_request
    def begin() -> None:
        g.begun = perf_counter()
        running.inc()

    @app.after_request
    def end(response: Response) -> Response:
        route = request.url_rule.rule if request.url_rule else "none"
        method = request.method if request.method in _METHODS else "other"
        requests.labels(route, method, response.status_code).inc()
        seconds.labels(route).observe(perf_counter() - g.begun)
        return response

    @app.teardown_request
    def leave(error: BaseException | None) -> None:
        if "begun" in g:
            running.dec()

    @routes.get(ADDRESS)
    def metrics() -> Response:
        collected = own
        if SHARED_FOLDER in os.environ:
            collected = CollectorRegistry()
            MultiProcessCollector(collected)  # type: ignore[no-untyped-call]
        response = Response(written(collected), content_type=CONTENT_TYPE_LATEST)
        response.headers["Cache-Control"] = "no-store"
        return response
