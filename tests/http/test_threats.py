"""What someone with ill intent may send, and what comes of it: rows of the table in tests/THREATS.md.

Most of its rows are proved elsewhere; here is what belongs to no other file.
"""

import csv
import io
import re
import socket
import threading
from collections.abc import Iterator
from contextlib import suppress
from functools import partial
from html.parser import HTMLParser
from itertools import product
from time import perf_counter
from typing import Any
from urllib.parse import urlencode

import pytest
from flask import Flask
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.formats import CHARTS, FORMATS
from gearing_api.formats.drawing import THEMES
from gearing_api.formats.pictures import SIZES
from gearing_api.http.pages.home import demo_query
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS
from gearing_api.sentences import LONGEST
from gearing_api.settings import Settings
from gearing_api.vocabulary import FIELDS, InvalidBuild
from tests.benchmarks.service import running
from tests.http.test_error_shape import LEAKS

EACH_QUESTION = pytest.mark.parametrize("name", QUESTIONS)

MARKUP = [
    '"><script>alert(1)</script>',
    "'><img src=x onerror=alert(1)>",
    "</title><svg onload=alert(1)>",
    "<base href=//evil.example>",
    "javascript:alert(1)",
    "{{7*7}}",
    "](javascript:alert(1))",
]
FORMULAS = [
    "=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\0=1",
    "＝1+1", "＋1+1", "－1+1", "＠SUM(A1)",
]  # fmt: skip


class Elements(HTMLParser):
    """The elements of a page and their attributes, as a browser would find them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


class TestMarkup:
    """CWE-79; in a real browser: tests/clients/test_web_threats.py."""

    @pytest.mark.parametrize("text", MARKUP)
    def test_no_field_takes_free_text(self, text: str) -> None:
        """So no answer to a build can carry words of the one who asked, in any format."""
        for field in FIELDS.values():
            with pytest.raises(InvalidBuild):
                field.read(text, "us")

    @EACH_QUESTION
    @pytest.mark.parametrize("text", MARKUP[:4])
    def test_what_is_echoed_in_a_page_is_text(self, client: FlaskClient, name: str, text: str) -> None:
        query = urlencode(dict.fromkeys((*QUESTIONS[name].fields, text), text))
        for words in (query, f"{demo_query(QUESTIONS[name])}&{urlencode({text: text})}"):
            page = client.get(f"/v1/{name}.html?{words}").text
            found = Elements(page).found
            assert {"script", "base", "iframe", "object"}.isdisjoint(tag for tag, _ in found)
            assert not any(name.startswith("on") for _, attributes in found for name in attributes)
            linked = [attributes.get(place) for _, attributes in found for place in ("href", "src", "action")]
            targets = [target for target in linked if target]
            assert all(target.startswith(("/", "#", "http://localhost/")) for target in targets), targets

    def test_what_is_echoed_elsewhere_is_no_page(self, client: FlaskClient) -> None:
        """A browser shows it as text or saves it; it is told not to guess otherwise."""
        hostile = MARKUP[0]
        build = {"tyre": hostile, hostile: hostile}
        for response in (
            client.get("/v1/crawl", query_string=build),
            client.post("/v1/crawl", json=build),
            client.post("/v1/tyre/batch", json={"columns": {"tyre": [hostile]}}),
            client.post("/v1/tyre", data=f'_note,tyre\r\n"{hostile}",x\r\n'.replace('">', '"">'),
                        content_type="text/csv"),
            client.post("/v1/comparison", json={"vary": {"tyre": [hostile]}, "report": ["diameter"]}),
            client.post("/v1/from-text", json={"q": f"35s {hostile}"}),
            client.get("/oembed", query_string={"url": f"http://localhost/v1/crawl.html?tyre={hostile}"}),
            client.get(f"/problems/{hostile}"),
        ):  # fmt: skip
            assert response.mimetype in ("application/json", "application/problem+json", "text/csv")
            assert response.headers["X-Content-Type-Options"] == "nosniff"
            assert response.headers["Content-Security-Policy"].startswith("default-src 'none'")


class TestFormulas:
    """CWE-1236."""

    @pytest.mark.parametrize("formula", FORMULAS)
    @pytest.mark.parametrize("options", ["", "decimal=comma", "bom=1"])
    def test_no_cell_of_rows_that_come_back_is_a_formula(
        self, client: FlaskClient, formula: str, options: str
    ) -> None:
        separator = ";" if "comma" in options else ","
        sent = io.StringIO()
        csv.writer(sent, delimiter=separator).writerows([["_note", "tyre"], [formula, formula], [formula]])
        response = client.post(f"/v1/tyre?{options}", data=sent.getvalue().encode(), content_type="text/csv")
        rows = list(csv.reader(io.StringIO(response.text, newline=""), delimiter=separator))
        assert [row[0] for row in rows[1:]] == [f"'{formula}"] * 2
        assert not [cell for row in rows for cell in row if cell.startswith((*"=+-@\t\r\n\0＝＋－＠",))]

    @pytest.mark.parametrize("formula", FORMULAS)
    def test_no_label_of_a_comparison_is_a_formula(self, client: FlaskClient, formula: str) -> None:
        plan = {"vary": {"tyre": [formula, "33x12.50R15"]}, "report": ["diameter"]}
        response = client.post("/v1/comparison.csv", json=plan)
        assert response.status_code == 422 or f"\n'{formula}" in response.text


class TestAccounts:
    """Errors must not make small requests large answers."""

    def test_rows_of_faults_cost_about_what_they_sent(self, client: FlaskClient) -> None:
        body = ",".join(FIELDS) + "\r\n" + (",".join(["??"] * len(FIELDS)) + "\r\n") * 200
        answer = client.post("/v1/build-sheet", data=body, content_type="text/csv")
        assert answer.status_code == 200
        assert len(answer.data) < 15 * len(body)

    def test_columns_of_faults_are_listed_up_to_a_limit(self, client: FlaskClient) -> None:
        """Less than good columns of that length would: each result is null there."""
        bad: dict[str, Any] = dict.fromkeys(FIELDS, "??") | {"tyre": ["??"] * 2000}
        answer = client.post("/v1/tyre/batch", json={"columns": bad})
        good = client.post("/v1/tyre/batch", json={"columns": {"tyre": ["33x12.50R15"] * 2000}})
        assert answer.get_json()["error_count"] == 2000
        assert len(answer.data) < 10 * len(good.data)


class TestTime:
    """CWE-1333: text as long as it may be takes no longer than plain text does, whatever stands in it."""

    PIECES = (
        "9", "9.", "9,", " ", "9 ", "/", "x", "9x", "9/", "R", "-", "9-", "(", "4.10,", "35s ", "1e9", "·",
        "½", "a ", "'", "to ",
    )  # fmt: skip
    ENDS = ("", "!", "x", " R", "e")

    @staticmethod
    def seconds(read: Any, text: str) -> float:
        begun = perf_counter()
        with suppress(InvalidBuild):
            read(text)
        return perf_counter() - begun

    def assert_quick(self, read: Any, text: str, plain: str) -> None:
        """Once in five times it is read about as quickly as plain text: others may need the machine too."""
        most = 0.05 + 50 * self.seconds(read, plain)
        assert any(self.seconds(read, text) < most for _ in range(5)), text[:60]

    def test_sizes_numbers_and_lists(self) -> None:
        lists = ("gear_ratios", "torque_curve", "available_ratios", "engine_speeds")
        for name, longest in {"tyre": 40, "vehicle_mass": 40, **dict.fromkeys(lists, 2000)}.items():
            read = partial(FIELDS[name].read, system="us")
            for length in range(
                longest // 20, longest + 1, longest // 20
            ):  # longer and longer, to stop early
                for piece, end in product(self.PIECES, self.ENDS):
                    self.assert_quick(read, (piece * length)[: length - len(end)] + end, "1,2,x")

    def test_sentences(self, client: FlaskClient) -> None:
        def ask(text: str) -> None:
            client.post("/v1/from-text", json={"q": text})

        plain = ("going from 31s to 35s on 4.10s, " * 20)[:LONGEST]
        for length in range(LONGEST // 10, LONGEST + 1, LONGEST // 10):
            for piece in self.PIECES:
                self.assert_quick(ask, (piece * length)[:length], plain)


# What a cache does not look at.
UNSEEN = {
    "X-Forwarded-Host": "evil.example", "X-Forwarded-Proto": "gopher", "X-Forwarded-For": "192.0.2.1",
    "X-Forwarded-Port": "1", "X-Forwarded-Prefix": "/evil", "X-Forwarded-Scheme": "gopher",
    "X-Forwarded-Server": "evil.example", "Forwarded": "host=evil.example;proto=gopher",
    "X-Host": "evil.example", "X-Original-URL": "/evil", "X-Rewrite-URL": "/evil",
    "X-HTTP-Method-Override": "DELETE", "X-HTTP-Method": "DELETE", "X-Request-ID": "evil-evil",
    "Origin": "https://evil.example", "Referer": "https://evil.example/", "User-Agent": "evil",
    "Cookie": "a=evil", "Authorization": "Basic ZXZpbA==", "Accept-Language": "de",
    "Accept-Encoding": "gzip", "Content-Type": "application/json", "X-Evil": "evil",
}  # fmt: skip


class TestCaches:
    """CWE-349: an answer that a cache keeps is the answer to its address, whoever asked first."""

    ACCEPTED = ("application/json", "text/csv", "text/html", "image/svg+xml")

    @staticmethod
    def addresses(app: Flask) -> list[str]:
        """Every address that is kept, with the demo build where one is needed; of pictures the drawings alone."""
        found = []
        for rule in app.url_map.iter_rules():
            if "GET" in (rule.methods or ()) and not rule.arguments and not rule.rule.endswith(".png"):
                name = re.sub(r"^/v1/|\.\w+$", "", rule.rule)
                query = demo_query(QUESTIONS[name]) if name in QUESTIONS else ""
                query = "q=35s+on+4.10s" if name == "from-text" else query
                query = "url=http://localhost/v1/crawl.html" if rule.rule == "/oembed" else query
                found.append(f"{rule.rule}?{query}" if query else rule.rule)
        return found

    def test_nothing_that_a_cache_does_not_look_at_changes_an_answer(
        self, app: Flask, client: FlaskClient
    ) -> None:
        for address in self.addresses(app):
            plain = client.get(address)
            assert plain.status_code == 200, address
            looked_at = plain.headers.get("Vary", "").split(", ")
            unseen = {name: value for name, value in UNSEEN.items() if name not in looked_at}
            told = client.get(address, headers=unseen, data=b'{"tyre": "33x12.50R15", "errors": "text"}')
            assert told.data == plain.data, address
            assert list(told.headers) == list(plain.headers), address

    def test_what_the_accept_header_changes_says_so(self, app: Flask, client: FlaskClient) -> None:
        for address in self.addresses(app):
            answers = [client.get(address, headers={"Accept": accepted}) for accepted in self.ACCEPTED]
            if len({answer.data for answer in answers}) > 1:
                good = [answer for answer in answers if answer.status_code == 200]
                assert all("Accept" in answer.headers["Vary"].split(", ") for answer in good), address

    def test_each_thread_gets_the_answer_to_its_own_question(self, app: Flask) -> None:
        wrong: list[str] = []

        def ask(place: int) -> None:
            with app.test_client() as client:
                for turn in range(15):
                    ratio = 3 + place / 10 + turn / 1000
                    query = f"tyre=33x12.50R15&gear_ratios=2&axle_ratio={ratio}&pick=crawl_ratio"
                    answer = client.get(f"/v1/crawl.txt?{query}")
                    if float(answer.text) != pytest.approx(2 * ratio):
                        wrong.append(answer.text)

        threads = [threading.Thread(target=ask, args=(place,)) for place in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert wrong == []


REACHING = ("connect", "connect_ex", "sendto")
NAMING = ("getaddrinfo", "gethostbyname", "gethostbyname_ex", "gethostbyaddr")


class TestNothingIsFetched:
    """API7 and API10, CWE-918."""

    URLS = (
        "http://127.0.0.1:1/v1/crawl.html", "http://169.254.169.254/latest", "http://[::1]/v1/crawl.html",
        "file:///etc/passwd", "gopher://127.0.0.1:6379/_x", "http://localhost/v1/crawl.html?tyre=33x12.50R15",
        "http://localhost@127.0.0.1:1/v1/crawl.html", "//127.0.0.1:1/v1/crawl.html",
    )  # fmt: skip

    @pytest.fixture
    def reached(self, monkeypatch: pytest.MonkeyPatch) -> list[str]:
        """Whatever is asked of the network or of the names of machines, while the test runs."""
        found: list[str] = []

        def hear(owner: Any, name: str) -> None:
            real = getattr(owner, name)

            def heard(*arguments: Any, **options: Any) -> Any:
                found.append(name)
                return real(*arguments, **options)

            monkeypatch.setattr(owner, name, heard)

        for name in REACHING:
            hear(socket.socket, name)
        for name in NAMING:
            hear(socket, name)
        return found

    def test_no_address_in_a_request_is_reached(self, client: FlaskClient, reached: list[str]) -> None:
        for url in self.URLS:
            assert client.get("/oembed", query_string={"url": url}).status_code in (200, 404)
            client.get("/v1/crawl.html", query_string={"tyre": url, "url": url})
            client.post("/v1/from-text", json={"q": f"35s {url}"})
            client.post("/v1/tyre", data=f"_url,tyre\r\n{url},33x12.50R15\r\n", content_type="text/csv")
            client.get("/", headers={"Referer": url, "Origin": url, "X-Forwarded-Host": url})
        assert reached == []
        with suppress(OSError):
            socket.create_connection(("127.0.0.1", 1))
        assert reached == ["getaddrinfo", "connect"], "and it would have been heard"

    def test_shared_counts_that_answer_nonsense_are_done_without(self) -> None:
        """The one thing that the service reads from elsewhere."""
        with socket.create_server(("127.0.0.1", 0)) as strange:

            def talk() -> None:
                while True:
                    try:
                        connection, _ = strange.accept()
                    except OSError:
                        return
                    with connection:
                        connection.recv(4096)
                        connection.sendall(b"HTTP/1.1 400 Bad Request\r\n\r\n" + b"+OK\r\n:x\r\n" * 50)

            threading.Thread(target=talk, daemon=True).start()
            address = f"redis://127.0.0.1:{strange.getsockname()[1]}/0"
            app = create_app(Settings(requests_per_minute=2, rate_storage=address))
            statuses = [app.test_client().get("/v1/tyre?tyre=33x12.50R15").status_code for _ in range(3)]
            strange.shutdown(socket.SHUT_RDWR)
        assert statuses == [200, 200, 429]


# Addresses for people and for other sites, which the spec document does not describe.
PAGES = {
    "/", "/docs", "/docs/swagger-ui.css", "/docs/swagger-ui-bundle.js", "/pages/bench.js", "/pages/style.css",
    "/pages/mark.svg", "/pages/explorer.css", "/pages/explorer.js", "/docs/explorer",
    "/pages/docs.css", "/pages/docs.js", "/pages/pictures.css", *(f"/docs/{name}" for name in QUESTIONS),
    "/pages/card.png",
    *(f"/pages/preview/{name}.png" for name in QUESTIONS), "/widget", "/widget/1.0.0/gearing-card.js",
    "/widget/2.0.0/gearing-card.js",
    "/oembed", "/problems/<slug>", "/shortlist", "/pages/shortlist.css",
}  # fmt: skip


class TestWhatIsThere:
    """API3 and API9."""

    def test_every_route_is_in_the_spec_or_a_known_page(self, app: Flask) -> None:
        described = set(spec()["paths"])
        formats = {path.removesuffix(".{format}") for path in described if path.endswith(".{format}")}
        tables = re.compile(r"/v1/tables/[\w-]+(\.json|\.csv|\.html)?")
        every = re.compile(rf"/v1/({'|'.join(QUESTIONS)})(\.({'|'.join(FORMATS | CHARTS)}|html)|/batch)")
        unknown = {
            rule.rule
            for rule in app.url_map.iter_rules()
            if rule.rule not in described
            and re.sub(r"\.\w+$", "", rule.rule) not in formats
            and not tables.fullmatch(rule.rule)
            and not every.fullmatch(rule.rule)
        }
        assert unknown == PAGES - described

    def test_metrics_are_there_only_where_switched_on(self, client: FlaskClient) -> None:
        assert client.get("/metrics").status_code == 404

    @pytest.mark.parametrize(
        "name", ["__class__", "__proto__", "constructor", "settings", "cells", "body_bytes", "source", "id"]
    )
    def test_no_name_reaches_past_the_fields(self, client: FlaskClient, name: str) -> None:
        for sent in ({name: 1}, {name: {"rows": 1}}):
            problem = client.post("/v1/tyre", json={"tyre": "33x12.50R15", **sent}).get_json()
            assert problem["errors"][0]["detail"].startswith(f"{name} is no field of a build")

    def test_sizes_and_colours_of_a_chart_are_a_short_list(self) -> None:
        assert len(SIZES) * len(THEMES) <= 6


# --- over a real connection

BUILD = b'{"tyre": "265/70R17"}'
HIDDEN = b"GET /hidden HTTP/1.1\r\nHost: here\r\n\r\n"
LENGTH = b"Content-Length: %d" % len(BUILD)
CHUNKED = b"Transfer-Encoding: chunked"
CHUNKS = b"%x\r\n%s\r\n0\r\n\r\n" % (len(BUILD), BUILD)


def post(*headers: bytes, body: bytes = BUILD) -> bytes:
    lines = [b"POST /v1/tyre HTTP/1.1", b"Host: here", b"Content-Type: application/json", *headers, b"", b""]
    return b"\r\n".join(lines) + body


def chunks(size: bytes, end: bytes = b"\r\n") -> bytes:
    return post(CHUNKED, body=size + end + BUILD + end + b"0" + end + end)


SMUGGLING = {
    "two lengths": post(LENGTH, b"Content-Length: 5"),
    "the same length twice": post(LENGTH, LENGTH),
    "a list of lengths": post(LENGTH + b", 5"),
    "a plus": post(LENGTH.replace(b": ", b": +")),
    "a hexadecimal length": post(b"Content-Length: 0x15"),
    "an underscore in a length": post(b"Content-Length: 2_1"),
    "another script's digits": post("Content-Length: ٢١".encode()),
    "a blank in a length": post(b"Content-Length: 2 1"),
    "no digits": post(b"Content-Length:"),
    "a length and chunks": post(LENGTH, CHUNKED, body=CHUNKS),
    "chunks and a length": post(CHUNKED, LENGTH, body=CHUNKS),
    "chunked twice": post(CHUNKED, CHUNKED, body=CHUNKS),
    "chunked, then something": post(CHUNKED + b", identity", body=CHUNKS),
    "identity": post(b"Transfer-Encoding: identity", LENGTH),
    "another coding": post(b"Transfer-Encoding: xchunked", body=CHUNKS),
    "chunked in quotes": post(b'Transfer-Encoding: "chunked"', body=CHUNKS),
    "chunked after an odd blank": post(b"Transfer-Encoding: \x0bchunked", body=CHUNKS),
    "a blank before the colon": post(b"Transfer-Encoding : chunked", body=CHUNKS),
    "a blank before the name": post(b" Transfer-Encoding: chunked", body=CHUNKS),
    "a folded header": post(b"Transfer-Encoding:", b" chunked", LENGTH),
    "NUL in a value": post(b"X: a\0b", LENGTH),
    "a bare CR": post(b"X: a\rTransfer-Encoding: chunked", LENGTH),
    "a bare LF": post(b"X: a\nTransfer-Encoding: chunked", LENGTH),
    "lines that end in LF": post(LENGTH).replace(b"\r\n", b"\n"),
    "a hexadecimal mark": chunks(b"0x15"),
    "a plus before a size": chunks(b"+15"),
    "a size below nothing": chunks(b"-1"),
    "an underscore in a size": chunks(b"1_5"),
    "a blank before a size": chunks(b" 15"),
    "a blank after a size": chunks(b"15 "),
    "a size too large to hold": chunks(b"f" * 40),
    "LF in an extension": chunks(b"15;a\nb"),
    "chunks that end in LF": chunks(b"15", b"\n"),
    "more than the size": post(CHUNKED, body=b"15\r\n" + BUILD + b"XX\r\n0\r\n\r\n"),
    "two hosts": post(b"Host: there", LENGTH),
    "HTTP/0.9": b"GET /v1/tyre?tyre=33\r\n",
    "HTTP/2": b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "a line within the line": b"GET /a\r\nX: 1\r\n HTTP/1.1\r\nHost: here\r\n\r\n",
    "chunks in HTTP/1.0": post(CHUNKED, body=CHUNKS).replace(b"HTTP/1.1", b"HTTP/1.0", 1),
}
# Bodies that the service does not want or wants otherwise: what is hidden in them must stay body.
UNWANTED = {
    "a body with GET": b"GET /v1/tyre?tyre=33x12.50R15 HTTP/1.1\r\nHost: here\r\n%s\r\n\r\n",
    "a body of another type": b"POST /v1/tyre HTTP/1.1\r\nHost: here\r\nContent-Type: text/x\r\n%s\r\n\r\n",
    "a body to nowhere": b"POST /nowhere HTTP/1.1\r\nHost: here\r\n%s\r\n\r\n",
    "a body to a page": b"POST / HTTP/1.1\r\nHost: here\r\n%s\r\n\r\n",
    "a compressed body": b"POST /v1/tyre HTTP/1.1\r\nHost: here\r\nContent-Encoding: gzip\r\n"
    b"Content-Type: application/json\r\n%s\r\n\r\n",
}
OUTSIDE = [
    "/pages/../settings.py", "/pages/..%2fsettings.py", "/pages/%2e%2e/settings.py",
    "/pages/%2e%2e%2fsettings.py", "/pages/..\\settings.py", "/pages/..%5csettings.py",
    "/pages/....//settings.py", "/pages/%252e%252e/settings.py", "/pages//etc/passwd",
    "/pages/%2fetc%2fpasswd", "/pages/style.css%00.py", "/pages/%c0%ae%c0%ae/settings.py",
    "/pages/file:///etc/passwd", "/pages/../../../../../../etc/passwd", "/pages/.", "/pages/", "/pages/~root",
    "/docs/../__init__.py", "/docs/..%2f__init__.py", "/docs/oauth2-redirect.html", "/docs/package.json",
    "/widget/1.0.0/../../home.html", "/widget/1.0.0/..%2f..%2fhome.html",
    "/widget/..%2f..%2fsettings/gearing-card.js", "/problems/..%2f..%2fhome.html",
    "/v1/tables/..%2f..%2ftables%2fsteels.csv", "/v1/..%2fopenapi.json", "/.git/config", "/.env",
    "/openapi.json/..", "/static/style.css", "/server-status",
]  # fmt: skip
# Every header of every answer is one of these, so no text of a request has become another.
HEADERS = {
    "access-control-allow-headers", "access-control-allow-methods", "access-control-allow-origin",
    "access-control-expose-headers", "access-control-max-age", "allow", "cache-control", "connection",
    "content-length", "content-security-policy", "content-type", "cross-origin-resource-policy", "date",
    "etag", "link", "referrer-policy", "retry-after", "server", "vary", "x-content-type-options", "x-request-id",
}  # fmt: skip
BROKEN_LINES = "%0d%0aX-Evil:%201%0d%0a%0d%0a<script>"


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    with running(requests_per_minute=0, cpu_seconds_per_minute=0) as service:
        yield service.port


def said(port: int, request: bytes) -> bytes:
    """All that comes until the service hangs up."""
    with socket.create_connection(("127.0.0.1", port), 20) as connection:
        connection.sendall(request)
        connection.shutdown(socket.SHUT_WR)
        answer = b""
        try:
            while piece := connection.recv(65536):
                answer += piece
        except ConnectionResetError:
            pass  # it hung up before all was sent
        return answer


def got(port: int, path: str, *headers: str) -> tuple[int, dict[str, str], str]:
    """Status, headers and body of one answer."""
    lines = [f"GET {path} HTTP/1.1", "Host: here", "Connection: close", *headers, "", ""]
    return parts(said(port, "\r\n".join(lines).encode()))


def parts(answer: bytes) -> tuple[int, dict[str, str], str]:
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    named = dict(line.split(": ", 1) for line in lines)
    return int(first.split()[1]), {name.lower(): value for name, value in named.items()}, body.decode()


class TestConnections:
    """CWE-444, CWE-113, CWE-22, CWE-209 and CWE-200, as gunicorn and the application together have it."""

    @pytest.mark.parametrize("case", SMUGGLING)
    def test_a_request_of_doubtful_length_is_refused_with_all_that_follows(
        self, port: int, case: str
    ) -> None:
        answer = said(port, SMUGGLING[case] + HIDDEN)
        assert answer.count(b"HTTP/1.1 ") == 1, answer
        status, headers, body = parts(answer)
        assert status == 400
        self.assert_tells_nothing(headers, body)

    @pytest.mark.parametrize("case", UNWANTED)
    def test_a_body_that_is_not_wanted_is_not_read_as_a_request(self, port: int, case: str) -> None:
        answer = said(port, UNWANTED[case] % (b"Content-Length: %d" % len(HIDDEN)) + HIDDEN)
        assert answer.count(b"HTTP/1.1 ") == 1, answer
        assert b"/hidden" not in answer

    def test_requests_of_clear_length_follow_each_other(self, port: int) -> None:
        """So the tests above would see what they look for."""
        in_chunks = [post(header, body=CHUNKS) for header in (CHUNKED, b"Transfer-Encoding:\tCHUNKED")]
        for clear in (post(LENGTH), *in_chunks):
            answer = said(port, clear + HIDDEN)
            assert re.findall(rb"HTTP/1\.1 (\d+)", answer) == [b"200", b"404"]

    @pytest.mark.parametrize("path", OUTSIDE)
    def test_no_address_leads_out_of_what_is_served(self, port: int, path: str) -> None:
        status, headers, body = got(port, path)
        assert status == 404
        assert headers["content-type"] == "application/problem+json"
        self.assert_tells_nothing(headers, body)

    @pytest.mark.parametrize(
        "path",
        [f"/{BROKEN_LINES}", f"/v1/crawl?tyre={BROKEN_LINES}", f"/v1/crawl.html?tyre={BROKEN_LINES}",
         f"/v1/crawl.csv?{BROKEN_LINES}=1", f"/problems/{BROKEN_LINES}", f"/oembed?url={BROKEN_LINES}",
         f"/v1/from-text?q={BROKEN_LINES}", f"/v1/crawl?errors=text&tyre={BROKEN_LINES}",
         f"/v1/tables/units?pick={BROKEN_LINES}"],
    )  # fmt: skip
    def test_a_broken_line_in_an_address_makes_no_header(self, port: int, path: str) -> None:
        _, headers, _ = got(port, path)
        assert set(headers) <= HEADERS
        assert "Evil" not in str(headers)

    def test_a_broken_line_in_a_header_makes_no_header(self, port: int) -> None:
        names = ("Accept", "Origin", "If-None-Match", "X-Request-ID", "Accept-Language", "Referer", "Host")
        ends = ("%0d%0a", "\r", "\n", "\r\n ", "\0", "\x85", "\u2028")
        for name, end in product(names, ends):
            _, headers, body = got(port, "/v1/tyre?tyre=33x12.50R15", f"{name}: a{end}X-Evil: 1")
            assert set(headers) <= HEADERS, (name, end)
            assert "evil" not in str(headers).lower() + body.lower(), (name, end)

    @pytest.mark.parametrize(
        "host", ["evil.example", "evil.example:1", "a b", "<script>", "[::1", "@", "x" * 300, "é"]
    )
    def test_a_strange_host_gets_an_answer_and_is_not_sent_to(self, port: int, host: str) -> None:
        """CWE-644: no answer redirects, and problems name no host. Pages: tests/http/test_pages.py."""
        request = f"GET /v1//tyre/ HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
        status, headers, body = parts(said(port, request.encode()))
        assert status in (400, 404)
        assert "location" not in headers
        self.assert_tells_nothing(headers, body)
        assert len(host) < 3 or host not in str(headers) + body

    def test_the_server_is_named_without_a_version(self, port: int) -> None:
        """gunicorn always sends its name; a proxy in front of it replaces it."""
        for path in ("/healthz", "/nowhere", "/v1/tyre", "/v1/tyre.html?tyre=33x12.50R15", "/openapi.json"):
            assert got(port, path)[1]["server"] == "gunicorn"

    @staticmethod
    def assert_tells_nothing(headers: dict[str, str], body: str) -> None:
        assert set(headers) <= HEADERS
        told = str({name: value for name, value in headers.items() if name != "server"}) + body
        assert not LEAKS.search(told.replace("application/", "").replace("/openapi.json", "")), told
