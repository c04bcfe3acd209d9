"""The inside of a bounded process: `python -m repertoire.notation.bounded_child LIMITS MODULE ARGUMENTS...`.

Sets the limits and gives up what is not needed, then calls `main(arguments)` of the module, which reads
stdin, writes stdout and returns nothing. `bounded.run` starts it and says how it ended. Only the standard
library is imported before the limits hold.
"""

import contextlib
import ctypes
import importlib
import json
import os
import resource
import signal
import sys
import traceback
from pathlib import Path
from typing import Any

MEGABYTE = 1024 * 1024
OUT_OF_MEMORY_EXIT, FAULT_EXIT = 3, 4
PEAK_LINE = "peak_mb="
# What the dynamic loader says in an ImportError when there is no room for a library.
NO_ROOM = ("cannot allocate memory", "failed to map segment")
# From linux/prctl.h.
PR_SET_PDEATHSIG, PR_SET_NO_NEW_PRIVS = 1, 38


def main(arguments: list[str]) -> int:
    """Set the limits, call the module named in `arguments`; the exit code of this program."""
    limits, module, *rest = arguments
    return work(json.loads(limits), module, rest)


def work(wanted: dict[str, Any], module: str, arguments: list[str]) -> int:
    """Set the limits in `wanted` (parent, memory_mb, data_only, cpu_s), call `main(arguments)` of `module`.

    The exit code of this program; the largest resident size goes to stderr.
    """
    give_up_privileges(wanted["parent"])
    set_limits(memory_mb=wanted["memory_mb"], data_only=wanted["data_only"], cpu_s=wanted["cpu_s"])
    exit_code = _called(module, arguments)
    with contextlib.suppress(MemoryError):
        os.write(sys.stderr.fileno(), f"\n{PEAK_LINE}{peak_mb():.0f}\n".encode())
    return exit_code


def _called(module: str, arguments: list[str]) -> int:
    try:
        importlib.import_module(module).main(arguments)
        sys.stdout.flush()
    except MemoryError:
        return OUT_OF_MEMORY_EXIT
    except Exception as error:
        if isinstance(error, ImportError) and any(words in str(error).lower() for words in NO_ROOM):
            return OUT_OF_MEMORY_EXIT
        traceback.print_exc()
        return FAULT_EXIT
    return 0


def give_up_privileges(parent: int) -> None:
    """No new privileges by any program started from here, and no life after the parent's (Linux only)."""
    if sys.platform != "linux":
        return
    prctl = ctypes.CDLL(None).prctl
    prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)
    prctl(PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0)
    if os.getppid() != parent:  # it ended before the line above
        os._exit(FAULT_EXIT)


def set_limits(*, memory_mb: int, data_only: bool, cpu_s: int) -> None:
    """Limits of memory (MB) and of processor time (s), and no core file; each where the system has it.

    `data_only` counts what the process holds (Linux), and not what its libraries merely map.
    """
    memory = resource.RLIMIT_DATA if data_only else resource.RLIMIT_AS
    _limit(memory, memory_mb * MEGABYTE)
    _limit(resource.RLIMIT_CPU, cpu_s, cpu_s + 1)  # SIGXCPU at the first, SIGKILL only at the second
    _limit(resource.RLIMIT_CORE, 0)


def _limit(kind: int, soft: int, hard: int | None = None) -> None:
    try:
        resource.setrlimit(kind, (soft, soft if hard is None else hard))
    except (ValueError, OSError):
        return  # macOS refuses a limit of memory; the time limit still holds


def peak_mb() -> float:
    """The largest resident size of this program, in MB."""
    status = Path("/proc/self/status")
    if status.exists():  # Linux's ru_maxrss still counts the process this one was forked from
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (MEGABYTE if sys.platform == "darwin" else 1024)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
