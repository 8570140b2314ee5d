"""What nginx keeps: the right answer for everybody, and nothing else."""

import threading
from collections import Counter

import pytest

from tests.faults.asks import JSON
from tests.replicas.fleet import HERE, Answer, Fleet, fleet, fresh_source

pytestmark = pytest.mark.slow

PICKED = "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter"


def cached(service: Fleet, source: str, count: int) -> Counter[str]:
    """Where nginx had the answers from that it gave to an address. Its processes log in no sure order."""
    return Counter(line["cache"] for line in service.passed(source, count))


def test_a_second_answer_is_the_first_without_what_was_said_to_somebody(service: Fleet, source: str) -> None:
    path = f"{PICKED}&_=second"
    another = fresh_source()
    first, second = service.ask(path, source=source), service.ask(path, source=another)
    assert (cached(service, source, 1), cached(service, another, 1)) == ({"MISS": 1}, {"HIT": 1})
    assert first.body == second.body == b"33.0"
    assert first.headers["RateLimit"].startswith('"default";r=5999;')
    assert first.headers["RateLimit-Policy"].startswith('"default";q=6000;w=60')
    assert second.headers["RateLimit"] is None
    assert second.headers["RateLimit-Policy"] is None
    assert first.headers["ETag"] == second.headers["ETag"]


def test_what_a_client_has_already_is_not_sent_again(service: Fleet, source: str) -> None:
    path = f"{PICKED}&_=304"
    tag = service.ask(path, source=source).headers["ETag"]
    again = service.ask(path, {"If-None-Match": tag}, source=source)
    other = service.ask(path, {"If-None-Match": '"other"'}, source=source)
    assert [(again.status, again.body), (other.status, other.body)] == [(304, b""), (200, b"33.0")]
    assert again.headers["ETag"] == tag
    assert cached(service, source, 3) == {"MISS": 1, "HIT": 2}


def test_a_head_is_answered_from_what_is_kept(service: Fleet, source: str) -> None:
    path = f"{PICKED}&_=head"
    heads = [service.ask(path, method="HEAD", source=source) for _ in range(2)]
    whole = service.ask(path, source=source)
    assert [answer.body for answer in (*heads, whole)] == [b"", b"", b"33.0"]
    assert {answer.headers["ETag"] for answer in (*heads, whole)} == {whole.headers["ETag"]}
    assert cached(service, source, 3) == {"MISS": 1, "HIT": 2}


def test_formats_are_not_mixed_up(service: Fleet, source: str) -> None:
    """The address without a suffix varies by Accept; those with one do not, and are kept once for all."""
    address = "/v1/tyre{}?tyre=35x12.50R17LT&_=formats"
    kinds = {
        "*/*": "application/json",
        "application/json": "application/json",
        "text/csv": "text/csv; charset=utf-8; header=present",
        "text/plain": "text/plain; charset=utf-8",
        "text/markdown, */*;q=0.1": "text/markdown; charset=utf-8; variant=GFM",
    }
    bodies: dict[str, set[bytes]] = {}
    for _ in range(3):
        for accept in (*kinds, *reversed(kinds)):
            answer = service.ask(address.format(""), {"Accept": accept}, source=source)
            assert answer.headers["Content-Type"].partition(";")[0] == kinds[accept].partition(";")[0]
            assert "Accept" in answer.headers.get_all("Vary", [])
            bodies.setdefault(kinds[accept], set()).add(answer.body)
    assert [len(found) for found in bodies.values()] == [1] * 4
    assert cached(service, source, 30) == {"MISS": 5, "HIT": 25}
    refused = service.ask(address.format(""), {"Accept": "image/gif"}, source=source)
    assert refused.status == 406
    for accept in kinds:
        answer = service.ask(address.format(".csv"), {"Accept": accept}, source=source)
        assert answer.headers["Content-Type"].startswith("text/csv")
    assert cached(service, source, 36) == {"MISS": 5 + 2, "HIT": 25 + 4}


def test_errors_and_posts_are_not_kept(service: Fleet, source: str) -> None:
    for _ in range(2):
        assert service.ask("/v1/tyre?tyre=35", source=source).status == 422
        assert service.ask("/nothing", source=source).status == 404
        assert service.ask("/v1/tyre?tyre=35&errors=text", source=source).body.startswith(b"#ERR")
        answer = service.ask("/v1/tyre", JSON, method="POST", body=b'{"tyre": "33 in"}', source=source)
        assert answer.status == 200
        assert answer.headers["RateLimit"]
        assert service.ask("/healthz", source=source).status == 200
    assert "HIT" not in cached(service, source, 10)


def test_another_host_reaches_no_kept_page(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Here without a public address, so that the links of a page show which Host the service was told."""
    with fleet(tmp_path_factory.mktemp("hosts"), {"GEARING_PUBLIC_ADDRESS": ""}) as service:
        page = {"Accept": "text/html"}
        hostile = [
            {"Host": "evil.example"},
            {"X-Forwarded-Host": "evil.example"},
            {"Forwarded": "host=evil.example"},
            {"Host": "gears.example:666"},
            {"Host": "GEARS.example."},
            {"X-Forwarded-Proto": "https", "X-Forwarded-Port": "666"},
            {"X-Original-URL": "/nothing", "X-Rewrite-URL": "/nothing", "X-Forwarded-Prefix": "/evil"},
        ]
        for path in (
            "/",
            "/v1/tyre.html?tyre=33+in",
            "/oembed?url=http://gears.example/v1/tyre.html?tyre=33+in",
        ):
            for place, headers in enumerate(hostile):
                joined = f"{path}{'&' if '?' in path else '?'}_={place}"
                poisoned = service.ask(joined, page | headers)
                clean = service.ask(joined, page)
                assert poisoned.status == (404 if headers.get("Host") == "evil.example" else 200)
                assert clean.status == 200
                for answer in (poisoned, clean):
                    said = answer.body + str(answer.headers).encode()
                    assert b"evil" not in said
                    assert b":666" not in said
                    assert b"https://gears" not in said
                assert b"http://gears.example/" in clean.body


def test_many_who_ask_the_same_at_once_cost_one_answer(service: Fleet, source: str) -> None:
    path = "/v1/road-speed.png?tyre=33+in&axle_ratio=4.1&gear_ratios=4,2,1&_=at-once"
    answers: list[Answer] = []
    together = threading.Barrier(40)

    def one() -> None:
        together.wait()
        answers.append(service.ask(path, source=source))

    threads = [threading.Thread(target=one) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [answer.status for answer in answers] == [200] * 40
    assert len({answer.body for answer in answers}) == 1
    asked = [line for line in service.passed(source, 40) if line["instance"].startswith(HERE)]
    print(f"40 asked for one picture at once, an instance was asked {len(asked)} time")
    assert len(asked) == 1
