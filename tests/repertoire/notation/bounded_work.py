"""What the tests of bounded processes let one do: `main([what, ...])` runs inside it."""

import ctypes
import json
import os
import signal
import subprocess
import sys
import time

MEGABYTE = 1024 * 1024


def main(arguments: list[str]) -> None:
    what, *rest = arguments
    globals()[what](*rest)


def prepare() -> None:
    """Nothing is slow to import here."""


def echo() -> None:
    sys.stdout.buffer.write(sys.stdin.buffer.read())


def environ() -> None:
    print(json.dumps(dict(os.environ)))


def take_memory(megabytes: str) -> None:
    held = []
    for _ in range(int(megabytes)):
        held.append(bytearray(os.urandom(MEGABYTE)))
    print(len(held))


def abort_as_cpp_does() -> None:
    os.write(2, b"terminate called after throwing an instance of 'std::bad_alloc'\n")
    os.abort()


def exit_as_openblas_does() -> None:
    os.write(2, b"OpenBLAS error: Memory allocation still failed after 10 retries, giving up.\n")
    os._exit(1)


def end_by(number: str) -> None:
    os.kill(os.getpid(), int(number))


def stumble() -> None:
    raise LookupError("a fault of ours")


def use_processor() -> None:
    while True:
        pass


def music21_from_path(path: str) -> None:
    from music21 import converter

    converter.parse(path)


def wait_for_ever() -> None:
    """Gives its number and that of a process it has started, and waits."""
    grandchild = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    print(os.getpid(), grandchild.pid, flush=True)
    time.sleep(600)


def privileges() -> None:
    """PR_GET_NO_NEW_PRIVS and PR_GET_PDEATHSIG."""
    prctl = ctypes.CDLL(None).prctl
    number = ctypes.c_int()
    prctl(2, ctypes.byref(number), 0, 0, 0)
    print(prctl(39, 0, 0, 0, 0), signal.Signals(number.value).name)


def family() -> None:
    """Its number and that of the process that started it."""
    print(os.getpid(), os.getppid(), flush=True)


def family_and_wait() -> None:
    family()
    time.sleep(600)


def remember(what: str) -> None:
    print(globals().get("remembered", "nothing"))
    globals()["remembered"] = what
