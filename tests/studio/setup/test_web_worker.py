"""Connections that drip hold no thread of the web server, whatever they send slowly."""

import http.client
import re
import socket
import sys
import time

import pytest

from studio.setup.start import Place, commands
from tests.running import README, ROOT, free_port, running, wait_for

WORKER = "studio.setup.web_worker.GatheringWorker"
THREADS = 2


@pytest.fixture(scope="module")
def port():
    number = free_port()
    command = [
        *(sys.executable, "-m", "gunicorn", "tests.studio.setup.plain_app:app", "--log-level", "warning"),
        *("--bind", f"127.0.0.1:{number}", "--worker-class", WORKER, "--threads", str(THREADS)),
    ]
    with running(command, cwd=ROOT):
        wait_for(lambda: opens(number))
        yield number


def opens(port: int) -> bool:
    try:
        return asked(port)[0] == 200
    except OSError:
        return False


def asked(port: int, path: str = "/page", body: bytes | None = None) -> tuple[int, bytes]:
    visitor = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    visitor.request("POST" if body else "GET", path, body)
    answer = visitor.getresponse()
    return answer.status, answer.read()


def drips(port: int, begun: bytes, count: int = THREADS * 5) -> list[socket.socket]:
    connections = [socket.create_connection(("127.0.0.1", port)) for _ in range(count)]
    for connection in connections:
        connection.sendall(begun)
    time.sleep(0.3)
    for connection in connections:
        connection.sendall(b"x")
    return connections


@pytest.mark.parametrize(
    "begun",
    [
        b"",
        b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ",
        b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 900\r\n\r\nname=",
    ],
)
def test_a_visitor_beside_dripping_connections_is_answered_at_once(port, begun):
    held = drips(port, begun)
    began = time.monotonic()
    assert asked(port) == (200, b"/page 0")
    assert time.monotonic() - began < 2
    for connection in held:
        connection.close()


def test_what_drips_is_answered_in_the_end(port):
    (slow,) = drips(port, b"POST /slow HTTP/1.1\r\nHost: x\r\nContent-Length: 7\r\n\r\nname=", 1)
    slow.sendall(b"y")
    answer = b""
    while not answer.endswith(b"/slow 7"):
        piece = slow.recv(1000)
        assert piece, answer
        answer += piece


def test_bodies_of_every_size_arrive_whole(port):
    for size in (1, 70_000, 2_500_000, 2_500_001):
        assert asked(port, "/form", b"a" * size) == (200, f"/form {size}".encode())


def test_one_connection_asks_again_and_again(port):
    visitor = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    for n in range(4):
        visitor.request("POST", f"/{n}", b"b" * n)
        assert visitor.getresponse().read() == f"/{n} {n}".encode()


def test_two_requests_sent_together_are_both_answered(port):
    connection = socket.create_connection(("127.0.0.1", port), timeout=5)
    connection.sendall(b"GET /one HTTP/1.1\r\nHost: x\r\n\r\nGET /two HTTP/1.1\r\nHost: x\r\n\r\n")
    answers = b""
    while b"/two 0" not in answers:
        piece = connection.recv(1000)
        assert piece, answers
        answers += piece
    assert b"/one 0" in answers


def test_the_studio_and_the_readme_use_it():
    assert WORKER in commands(Place("127.0.0.1", 8000))["web server"]
    assert re.search(rf"gunicorn [^`]*--worker-class {re.escape(WORKER)}", README)
