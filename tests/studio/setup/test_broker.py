"""The embedded broker between real processes: nothing lost, nothing twice, nothing fatal."""

import json
import os
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from kombu import Consumer, Producer, Queue

from tests.running import ROOT, environment, wait_for
from tests.studio.setup.broker_process import QUEUE, READY, connect

WRITERS = READERS = 2
MESSAGES = 3000


@dataclass(frozen=True)
class Outcome:
    errors: list[str]
    idle_readers: int
    lost: int
    doubled: int


def start(folder: Path, act: str, *, first: int = 0, count: int = 0):
    """A process of `broker_process`, with its output in a file of its own."""
    output = folder / f"{act}-{first}.log"
    command = [sys.executable, "-m", "tests.studio.setup.broker_process", act, folder, first, count]
    with output.open("w") as file:
        return subprocess.Popen(
            [str(part) for part in command],
            cwd=ROOT,
            env=environment(folder, DJANGO_SETTINGS_MODULE="studio.setup.settings"),
            stdout=file,
            stderr=subprocess.STDOUT,
        )


def put_under_pressure(folder: Path) -> Outcome:
    each = MESSAGES // WRITERS
    lane = folder / "lane"
    with ExitStack() as ending:
        readers = [start(folder, "read", first=number) for number in range(READERS)]
        for reader in readers:
            ending.callback(reader.kill)
        wait_for(lambda: all(READY in lines for lines in outputs(folder, "read")), lambda: wording(folder))
        writers = [start(folder, "write", first=number * each, count=each) for number in range(WRITERS)]
        for writer in writers:
            ending.callback(writer.kill)
        assert [writer.wait(timeout=600) for writer in writers] == [0] * WRITERS, wording(folder)
        wait_for(lambda: not any(lane.glob("*.msg")), limit_s=600)
        for reader in readers:
            reader.terminate()
        assert [reader.wait(timeout=60) for reader in readers] == [0] * READERS, wording(folder)
    read = [[line for line in lines if line != READY] for lines in outputs(folder, "read")]
    got = Counter(int(line) for lines in read for line in lines if line.isdigit())
    return Outcome(
        errors=[line for lines in read for line in lines if not line.isdigit()],
        idle_readers=sum(not lines for lines in read),
        lost=MESSAGES - len(got),
        doubled=sum(times - 1 for times in got.values()),
    )


def outputs(folder: Path, act: str) -> list[list[str]]:
    return [path.read_text().splitlines() for path in sorted(folder.glob(f"{act}-*.log"))]


def wording(folder: Path) -> str:
    return "\n".join(path.read_text()[-2000:] for path in sorted(folder.glob("*.log")))


@pytest.mark.slow
def test_nothing_is_lost_or_doubled_under_pressure(tmp_path):
    assert put_under_pressure(tmp_path) == Outcome(errors=[], idle_readers=0, lost=0, doubled=0)


@pytest.mark.slow
def test_the_binding_table_survives_many_who_bind_at_once(tmp_path):
    each, count = 20, 6
    binders = [start(tmp_path, "bind", first=number * each, count=each) for number in range(count)]
    assert [binder.wait(timeout=120) for binder in binders] == [0] * count, wording(tmp_path)
    table = json.loads((tmp_path / "control" / "many.exchange").read_text())
    assert sorted(queue for _key, _pattern, queue in table) == sorted(
        f"queue-{number}" for number in range(each * count)
    )


@contextmanager
def reading(folder: Path) -> Iterator[tuple[Producer, Consumer, list[int]]]:
    """A writer and a reader in this process, and the numbers the reader got."""
    got: list[int] = []

    def take(body, message) -> None:
        got.append(body["number"])
        message.ack()

    with connect(folder) as connection, connection.channel() as channel:
        channel.state.clear()  # kombu keeps in one place for all folders of a process what it has bound
        with Consumer(channel, [QUEUE], callbacks=[take]) as consumer:
            yield Producer(channel, exchange=QUEUE.exchange, routing_key="pressure"), consumer, got


def drain(consumer: Consumer) -> None:
    """Read until nothing more comes."""
    with suppress(TimeoutError):
        while True:
            consumer.connection.drain_events(timeout=0.05)


def whole_message(folder: Path, producer: Producer) -> bytes:
    producer.publish({"number": 0})
    (path,) = (folder / "lane").glob("*.msg")
    content = path.read_bytes()
    path.unlink()
    return content


SPOILED = {
    "empty": lambda whole: b"",
    "cut off": lambda whole: whole[: len(whole) // 2],
    "not text": lambda whole: b"\xff\xfe\x00",
    "another shape": lambda whole: b"[1, 2]",
    "no properties": lambda whole: b'{"body": "e30="}',
    "a body that is not base64": lambda whole: re.sub(rb'"body": "[^"]*"', b'"body": "A"', whole),
    "nested without end": lambda whole: b"[" * 100_000,
}


@pytest.mark.parametrize("kind", SPOILED)
def test_what_cannot_be_read_is_set_aside_and_the_next_message_comes(tmp_path, caplog, kind):
    with reading(tmp_path) as (producer, consumer, got):
        spoiled = SPOILED[kind](whole_message(tmp_path, producer))
        path = tmp_path / "lane" / "0_private-name.pressure.msg"
        path.write_bytes(spoiled)
        producer.publish({"number": 7})
        drain(consumer)
    assert got == [7]
    (aside,) = (tmp_path / "lane" / "unreadable").iterdir()
    assert aside.read_bytes() == spoiled
    assert not path.exists()
    (line,) = caplog.messages
    assert aside.stem in line
    assert "private-name" not in line


def test_a_folder_in_a_message_s_place_is_set_aside(tmp_path):
    with reading(tmp_path) as (producer, consumer, got):
        (tmp_path / "lane" / "0_x.pressure.msg").mkdir()
        producer.publish({"number": 7})
        drain(consumer)
    assert got == [7]


def test_a_message_being_written_is_not_seen_yet(tmp_path, monkeypatch):
    """At the moment before the rename the whole content lies in the folder, under another name."""
    rename, seen = os.replace, []

    with reading(tmp_path) as (producer, consumer, got):

        def look_first(source, target):
            seen.extend(path.stat().st_size for path in (tmp_path / "lane").iterdir())
            drain(consumer)
            assert got == []
            rename(source, target)

        with monkeypatch.context() as patch:
            patch.setattr("studio.setup.broker.os.replace", look_first)
            producer.publish({"number": 7})
        drain(consumer)
    assert got == [7]
    assert len(seen) == 1
    assert seen[0] > 0


def test_a_writer_that_cannot_write_leaves_nothing_behind(tmp_path, monkeypatch):
    def fail(source, target):
        raise OSError(28, "No space left on device")

    with reading(tmp_path) as (producer, _consumer, _got):
        monkeypatch.setattr("studio.setup.broker.os.replace", fail)
        with pytest.raises(producer.channel.connection.client.channel_errors, match="cannot be written"):
            producer.publish({"number": 7})
        assert list((tmp_path / "lane").iterdir()) == []


def test_messages_come_in_the_order_they_were_written(tmp_path):
    with reading(tmp_path) as (producer, consumer, got):
        for number in range(20):
            producer.publish({"number": number})
        drain(consumer)
    assert got == list(range(20))


def test_an_unreadable_binding_table_is_written_anew_by_the_next_to_bind(tmp_path, caplog):
    with reading(tmp_path) as (producer, consumer, got):
        table = tmp_path / "control" / "pressure.exchange"
        table.write_text('[["pressure", "", "pres')
        assert consumer.channel.get_table("pressure") == []
        assert "binding tables" in caplog.text
        consumer.channel.state.clear()
        QUEUE(consumer.channel).declare()
        producer.publish({"number": 7})
        drain(consumer)
    assert got == [7]


def test_a_deleted_queue_leaves_the_table_and_takes_its_messages_along(tmp_path):
    other = Queue("other", QUEUE.exchange, routing_key="pressure")
    with reading(tmp_path) as (producer, consumer, got):
        bound = other(consumer.channel)
        bound.declare()
        producer.publish({"number": 7})
        assert len(list((tmp_path / "lane").glob("*.msg"))) == 2
        bound.delete()
        assert [row.queue for row in consumer.channel.get_table("pressure")] == ["pressure"]
        drain(consumer)
        assert list((tmp_path / "lane").iterdir()) == []
    assert got == [7]


@pytest.mark.slow
def test_a_binder_killed_while_it_holds_the_lock_blocks_nobody(tmp_path):
    (tmp_path / "control").mkdir()
    lock = tmp_path / "control" / "many.exchange.lock"
    code = (
        "import fcntl, sys, time; door = open(sys.argv[1], 'w'); fcntl.flock(door, fcntl.LOCK_EX); "
        "print('held', flush=True); time.sleep(600)"
    )
    holder = subprocess.Popen([sys.executable, "-c", code, str(lock)], stdout=subprocess.PIPE, text=True)
    try:
        assert holder.stdout.readline().strip() == "held"
        binder = start(tmp_path, "bind", count=1)
        holder.kill()
        assert binder.wait(timeout=120) == 0, wording(tmp_path)
    finally:
        holder.kill()
        holder.wait()
    assert "queue-0" in (tmp_path / "control" / "many.exchange").read_text()
