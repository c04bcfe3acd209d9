"""What browsers report of the content policy, read with all doubt: anybody can send it."""

import json
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import Resolver404, resolve

from studio.models import BlockedContent

MOST_BYTES = 8_000
DIRECTIVES = frozenset(settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]) | {
    *("style-src-elem", "style-src-attr", "script-src-elem", "script-src-attr", "connect-src"),
    *("font-src", "frame-src", "worker-src", "object-src", "manifest-src"),
}
# Words a report uses instead of an address, and schemes an address can begin with.
WORDS = {"inline", "eval", "wasm-eval", "self", "data", "blob", "http", "https"}


def keep_report(body: bytes) -> bool:
    """Count what it tells; False (and nothing written) where it is no such report."""
    try:
        told = json.loads(body)["csp-report"]
        words = str(told.get("effective-directive") or told["violated-directive"]).split()
        address = urlsplit(str(told.get("document-uri", "")))
        blocked = str(told.get("blocked-uri", ""))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return False
    if not words or words[0] not in DIRECTIVES:
        return False
    BlockedContent.objects.count_one(directive=words[0], what=_kind(blocked), page=_page(address.path))
    return True


def _kind(blocked: str) -> str:
    word = blocked.partition(":")[0]
    return word if word in WORDS else "other"


def _page(path: str) -> str:
    """The name of an address of ours, without the numbers in it."""
    try:
        return resolve(path).url_name or ""
    except Resolver404:
        return ""
