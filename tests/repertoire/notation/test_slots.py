import subprocess
import sys
import time
from threading import Event, Thread

from repertoire.notation.slots import place


def test_no_more_than_the_places(tmp_path):
    with place(tmp_path, "look", places=2) as one, place(tmp_path, "look", places=2) as two:
        assert (one, two) == (True, True)
        with place(tmp_path, "look", places=2) as three, place(tmp_path, "other", places=1) as other:
            assert (three, other) == (False, True)
    with place(tmp_path, "look", places=1) as again:
        assert again


def test_a_place_is_waited_for(tmp_path):
    taken, free = Event(), Event()

    def hold():
        with place(tmp_path, "look", places=1):
            taken.set()
            free.wait(10)

    thread = Thread(target=hold)
    thread.start()
    taken.wait(10)
    began = time.monotonic()
    with place(tmp_path, "look", places=1, wait_s=0.2) as got:
        assert not got
    assert time.monotonic() - began >= 0.2
    free.set()
    with place(tmp_path, "look", places=1, wait_s=10) as got:
        assert got
    thread.join()


def test_a_killed_process_keeps_no_place(tmp_path):
    code = (
        "import sys, time; from pathlib import Path; from repertoire.notation.slots import place\n"
        "with place(Path(sys.argv[1]), 'look', places=1): print('held', flush=True); time.sleep(60)"
    )
    holder = subprocess.Popen([sys.executable, "-c", code, str(tmp_path)], stdout=subprocess.PIPE)
    assert holder.stdout.readline() == b"held\n"
    with place(tmp_path, "look", places=1) as got:
        assert not got
    holder.kill()
    holder.wait()
    with place(tmp_path, "look", places=1) as got:
        assert got
