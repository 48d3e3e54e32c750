"""What the service refuses before it looks at a request."""

import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.datastructures import Headers

from assistant.service_guard import LARGEST_BODY, refusal


def refused(**headers: str) -> int | None:
    found = refusal(Headers({name.replace("_", "-"): value for name, value in headers.items()}))
    return found[0] if found else None


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1:8765",
        "localhost:8765",
        "LOCALHOST",
        "localhost.",
        "[::1]:8765",
        "192.168.1.20",
        f"{socket.gethostname()}:8765",
    ],
)
def test_an_address_and_this_machines_own_name_are_let_in(host):
    assert refused(host=host) is None


@pytest.mark.parametrize(
    "host",
    ["", "pages.example", "localhost.pages.example", "127.0.0.1.example", "[::1", "::1", "a@"],
)
def test_a_name_that_anybody_can_point_here_is_refused(host):
    assert refused(host=host) == 400


def test_a_request_without_host_is_refused():
    assert refusal(Headers({}))[0] == 400


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        ("http://127.0.0.1:8765", None),
        ("http://127.0.0.1:8000", 403),
        ("http://localhost:8765", 403),  # another origin, though the same machine
        ("https://pages.example", 403),
        ("null", 403),
        ("", 403),
        ("http://[", 403),
    ],
)
def test_only_our_own_page_may_use_the_service(origin, status):
    assert refused(host="127.0.0.1:8765", origin=origin) == status


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"content_length": str(LARGEST_BODY)}, None),
        ({"content_length": str(LARGEST_BODY + 1)}, 413),
        ({"content_length": "many"}, 413),
        ({"transfer_encoding": "chunked"}, 411),
    ],
)
def test_a_body_has_a_length_and_an_end(headers, status):
    assert refused(host="localhost", **headers) == status


@given(st.text(st.characters(codec="latin-1")), st.text(st.characters(codec="latin-1")))
def test_no_header_whatever_makes_it_fail(host, origin):
    found = refusal(Headers({"host": host, "origin": origin}))
    assert found is not None  # no such origin is this host's own
