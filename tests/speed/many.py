"""`python -m tests.speed.many`: what every list costs with 1,000 students and 20,000 takes.

Queries, and processor time of the web process and, with PostgreSQL on this machine, of its own process.
With DATABASE_URL the named database is filled where it is empty, else a throw-away SQLite. Ends with 1 where
a promise is broken.
"""

import argparse
import gc
import os
import sys
import tempfile
from pathlib import Path
from statistics import median, quantiles
from time import process_time

import django

RUNS = int(os.environ.get("RUNS", 20))
MOST_QUERIES = 15  # fewer than these
LIMIT_MS = 150


class DatabaseClock:
    """Seconds of processor time the database's own process took; 0 where it is no process of this machine."""

    def __init__(self) -> None:
        from django.db import connection

        self.path = None
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("select pg_backend_pid()")
                path = Path(f"/proc/{cursor.fetchone()[0]}/stat")
            self.path = path if path.exists() else None

    def seconds(self) -> float:
        if self.path is None:
            return 0.0
        user, system = self.path.read_text().rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def addresses() -> dict[str, tuple[str, list[str]]]:
    """By what is read: who reads it, and its addresses, of which every run takes the next."""
    from studio.models import Audition, Season

    auditions = list(Audition.objects.order_by("pk").values_list("pk", flat=True))
    season = Season.objects.latest("pk").pk
    paged = [f"?page={number}" for number in (1, 2, 9, 20)]
    states = [f"?state={state}" for state in ("ready", "back_to_work", "overdue", "nothing_yet")]
    director = {
        "readiness": [f"/readiness/{query}" for query in (*paged, *states)],
        "readiness of one audition": [f"/readiness/?audition={pk}" for pk in auditions],
        "this week": [f"/this-week/{query}" for query in (*paged, "?need=close", "?need=unheard")],
        "takes to hear": [f"/reviews/{query}" for query in paged],
        "answered takes": ["/reviews/?show=released", "/reviews/?show=released&page=9"],
        "students": [f"/students/{query}" for query in paged],
        "people": ["/people/"],
        "season": [f"/seasons/{season}/"],
        "season set up": [f"/seasons/{season}/set-up/"],
        "audition": [f"/auditions/{pk}/" for pk in auditions],
        "audition set up": [f"/auditions/{pk}/set-up/" for pk in auditions],
        "sending off": [f"/auditions/{pk}/sending/" for pk in auditions],
        "entering students": [f"/auditions/{pk}/entries/new/" for pk in auditions],
        "music": ["/music/", "/music/?page=2"],
        "record of events": ["/people/events/"],
    }
    teacher = {"readiness": paged[:1], "this-week": paged[:1], "reviews": paged[:1]}
    found = {f"director: {name}": ("director", listed) for name, listed in director.items()}
    for name, queries in teacher.items():
        found[f"teacher: {name}"] = ("teacher0", [f"/{name}/{query}" for query in queries])
    return found


def measured(name: str, person: str, listed: list[str]) -> bool:
    """Print a line; whether both promises were kept."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from studio.models import User

    client = Client(SERVER_NAME="localhost")
    client.force_login(User.objects.get(email=f"{person}@many.example"))
    answers = {address: client.get(address) for address in listed}
    refused = {
        address: answer.status_code for address, answer in answers.items() if answer.status_code != 200
    }
    if refused:
        raise SystemExit(f"{name}: {refused}")
    database, taken = DatabaseClock(), []
    gc.collect()
    gc.freeze()  # as the web server does
    for run in range(RUNS):
        before = process_time() + database.seconds()
        client.get(listed[run % len(listed)])
        taken.append((process_time() + database.seconds() - before) * 1000)
    with CaptureQueriesContext(connection) as queries:
        client.get(listed[0])
    middle, late = median(taken), quantiles(taken, n=20, method="inclusive")[18]
    kept = len(queries) < MOST_QUERIES and late < LIMIT_MS
    verdict = "" if kept else "  BROKEN"
    print(f"{len(queries):4d} queries {middle:8.0f} ms, p95 {late:8.0f} ms  {name}{verdict}", flush=True)
    return kept


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--students", type=int, default=1000)
    parser.add_argument("--takes", type=int, default=20)
    parser.add_argument("--only", default="", help="a part of the lists' names")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ.setdefault("DATA_DIR", folder)
        os.environ["DJANGO_SETTINGS_MODULE"] = "studio.setup.settings"
        django.setup()
        from django.core.management import call_command

        from studio.models import User

        call_command("migrate", verbosity=0)
        if not User.objects.exists():
            call_command("load_many", students=asked.students, takes=asked.takes)
        lists = [(name, *what) for name, what in addresses().items() if asked.only in name]
        kept = [measured(*one) for one in lists]
        return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main())
