"""One process at an embedded broker, started by test_broker: `python -m tests.studio.setup.broker_process`.

Arguments: write, read or bind; the folder; a first number; how many. What happens is printed,
a line each.
"""

import signal
import sys
from pathlib import Path

from kombu import Connection, Consumer, Exchange, Producer, Queue

import studio.setup.celery  # noqa: F401  (its address is made known to kombu there)

QUEUE = Queue("pressure", Exchange("pressure"), routing_key="pressure")
POLLING_S = 0.005
READY = "ready"


def connect(folder: Path) -> Connection:
    for name in ("lane", "control"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    options = {
        "data_folder_in": str(folder / "lane"),
        "data_folder_out": str(folder / "lane"),
        "control_folder": str(folder / "control"),
        "polling_interval": POLLING_S,
    }
    return Connection("folder://", transport_options=options)


def write(connection: Connection, first: int, count: int) -> None:
    with connection, connection.channel() as channel:
        producer = Producer(channel)
        for number in range(first, first + count):
            # The binding is read at every message, as it is by a web server that has just started.
            producer.publish(
                {"number": number}, exchange=QUEUE.exchange, routing_key="pressure", declare=[QUEUE]
            )


def read(connection: Connection, *_) -> None:
    """Print READY, then the number of every message until told to stop, and errors between them."""
    stopping: list[int] = []
    signal.signal(signal.SIGTERM, lambda number, _frame: stopping.append(number))

    def take(body: dict, message) -> None:
        print(body["number"], flush=True)
        message.ack()

    with connection, connection.channel() as channel, Consumer(channel, [QUEUE], callbacks=[take]):
        print(READY, flush=True)
        while not stopping:
            try:
                connection.drain_events(timeout=0.2)
            except TimeoutError:
                continue
            except Exception as error:
                print("error", type(error).__name__, flush=True)


def bind(connection: Connection, first: int, count: int) -> None:
    with connection, connection.channel() as channel:
        for number in range(first, first + count):
            Queue(f"queue-{number}", Exchange("many"), routing_key=f"key-{number}")(channel).declare()


if __name__ == "__main__":
    act, folder, first, count = sys.argv[1:]
    {"write": write, "read": read, "bind": bind}[act](connect(Path(folder)), int(first), int(count))
