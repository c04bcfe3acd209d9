"""The inside of a warm parent: `python -m repertoire.notation.warm_parent CHANNEL MODULE`.

Calls `prepare()` of the module, says so with one byte on the channel (the number of an open socket), and
then, message by message, forks a child that calls `main(arguments)` of the module on the three pipes that
came with the message. Two lines of answer: the child's number, and its exit code. Where the channel ends, so
does this, with its child.
"""

import contextlib
import gc
import importlib
import json
import os
import select
import signal
import socket
import sys
from typing import Any

from repertoire.notation import bounded_child

MESSAGE_BYTES = 65536
PIPES = 3  # stdin, stdout, stderr


def main(arguments: list[str]) -> None:
    """Serve until the channel ends."""
    channel, module = socket.socket(fileno=int(arguments[0])), arguments[1]
    importlib.import_module(module).prepare()
    gc.collect()
    gc.freeze()  # so that a child's collector does not touch, and so copy, what all of them share
    with contextlib.suppress(ConnectionError):
        channel.sendall(b"\n")
        while _serve(channel, module):
            pass


def _serve(channel: socket.socket, module: str) -> bool:
    """One piece of work from its message to its exit code; False where the channel has ended."""
    message, pipes, _flags, _address = socket.recv_fds(channel, MESSAGE_BYTES, PIPES)
    if not message:
        return False
    parent = os.getpid()
    alive, held = os.pipe()
    pid = os.fork()
    if pid == 0:
        channel.close()
        os.close(alive)
        _child(json.loads(message), module, pipes, held, parent)
    for end in (*pipes, held):
        os.close(end)
    os.read(alive, 1)  # it leads its group now, so that whoever knows its number can end it whole
    channel.sendall(b"%d\n" % pid)
    wanted = _until_it_ends(channel, alive)
    os.close(alive)
    if not wanted:
        os.killpg(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    if wanted:
        channel.sendall(b"%d\n" % os.waitstatus_to_exitcode(status))
    return wanted


def _until_it_ends(channel: socket.socket, alive: int) -> bool:
    """Wait for the child's end of `alive` to close; False where the channel ends before."""
    ready, _, _ = select.select([channel.fileno(), alive], [], [])
    return alive in ready


def _child(message: dict[str, Any], module: str, pipes: list[int], held: int, parent: int) -> None:
    os.setsid()
    for number, pipe in enumerate(pipes):
        os.dup2(pipe, number)
        os.close(pipe)
    os.write(held, b"\n")
    exit_code = bounded_child.FAULT_EXIT
    try:
        wanted = message["limits"] | {"parent": parent}
        exit_code = bounded_child.work(wanted, module, message["arguments"])
    finally:
        os._exit(exit_code)


if __name__ == "__main__":
    main(sys.argv[1:])
