"""A thread of the web server is given to a request that is there, never to one that drips in.

gunicorn's threads read a request themselves, so that forty connections sending a byte now and then hold all
of them. Here the worker's own loop gathers head and small body of all connections without waiting for any,
and hands a connection on when its request is whole. Larger bodies belong to the pages that take files, which
ask first who sends them.
"""

import errno
import gc
import re
import selectors
import socket
import time

from gunicorn.workers.gthread import TConn, ThreadWorker

# All are choices. A form of a page arrives in a second or two, on a bad line in ten.
WHOLE_WITHIN_S = 30.0
MOST_ARRIVING, MOST_BYTES = 400, 64_000_000
LONGEST_HEAD = 65_536
SMALL_BODY = 2_500_000  # `SMALL_BODY_BYTES` of the settings, which are not loaded here yet
READ_BYTES = 65_536
HEAD_END = b"\r\n\r\n"
LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*(\d{1,12})[ \t]*\r\n", re.IGNORECASE)


class Arriving:
    """What has come of one request so far."""

    def __init__(self, conn: TConn, data: bytes) -> None:
        self.conn, self.data = conn, bytearray(data)
        self.deadline = time.monotonic() + WHOLE_WITHIN_S
        self._whole_at: int | None = None

    def is_whole(self) -> bool:
        """Whether a thread can go to work on it without waiting; what is malformed is refused there."""
        if self._whole_at is None:
            head_end = self.data.find(HEAD_END)
            if head_end < 0:
                return len(self.data) > LONGEST_HEAD
            length = LENGTH.search(self.data, 0, head_end + 2)
            announced = int(length[1]) if length else 0
            self._whole_at = head_end + len(HEAD_END) + (announced if announced <= SMALL_BODY else 0)
        return len(self.data) >= self._whole_at


class GatheringWorker(ThreadWorker):
    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        # Oldest first, and so by their deadlines.
        self.arriving: dict[socket.socket, Arriving] = {}

    def load_wsgi(self) -> None:
        super().load_wsgi()
        # What the program itself consists of lives as long as it does: looking through it for garbage stops a
        # request for 50 to 120 ms now and then (measured).
        gc.collect()
        gc.freeze()

    def accept(self, listener: socket.socket) -> None:
        try:
            client, address = listener.accept()
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.ECONNABORTED, errno.EWOULDBLOCK):
                raise
            return
        self.nr_conns += 1
        self._gather(TConn(self.cfg, client, address, listener.getsockname()), b"")

    def on_client_socket_readable(self, conn: TConn, client: socket.socket) -> None:
        self.poller.unregister(client)
        self.keepalived_conns.remove(conn)
        self._gather(conn, conn.parser.unreader.take_buffered())

    def murder_pending(self) -> None:
        super().murder_pending()
        now = time.monotonic()
        for client, arriving in list(self.arriving.items()):
            if arriving.deadline > now:
                break
            self._drop(client)

    def set_accept_enabled(self, enabled: bool) -> None:
        super().set_accept_enabled(enabled)
        if not enabled and not self.alive:
            for client in list(self.arriving):
                self._drop(client)

    def _gather(self, conn: TConn, data: bytes) -> None:
        conn.sock.setblocking(False)
        self.arriving[conn.sock] = Arriving(conn, data)
        self.poller.register(conn.sock, selectors.EVENT_READ, self._read)
        self._make_room()

    def _read(self, client: socket.socket) -> None:
        arriving = self.arriving.get(client)
        if arriving is None:  # dropped for room while this was about to be read
            return
        try:
            piece = client.recv(READ_BYTES)
        except BlockingIOError:
            return
        except OSError:
            piece = b""
        if not piece:
            self._drop(client)
            return
        arriving.data += piece
        if arriving.is_whole():
            self._hand_on(client, arriving)
        else:
            self._make_room()

    def _hand_on(self, client: socket.socket, arriving: Arriving) -> None:
        self._forget(client)
        arriving.conn.init()
        arriving.conn.parser.unreader.unread(bytes(arriving.data))
        arriving.conn.data_ready = True
        self.enqueue_req(arriving.conn)

    def _make_room(self) -> None:
        """The oldest go first: who is slow on purpose is always among them."""
        held = sum(len(arriving.data) for arriving in self.arriving.values())
        while self.arriving and (len(self.arriving) > MOST_ARRIVING or held > MOST_BYTES):
            oldest = next(iter(self.arriving))
            held -= len(self.arriving[oldest].data)
            self._drop(oldest)

    def _drop(self, client: socket.socket) -> None:
        arriving = self._forget(client)
        self.nr_conns -= 1
        arriving.conn.close()

    def _forget(self, client: socket.socket) -> Arriving:
        self.poller.unregister(client)
        return self.arriving.pop(client)
