"""What a browser may run, show and send on our pages: our own files, and nothing written into a page."""

from csp.constants import NONCE, SELF

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF, NONCE],
        # No style in an element either: a width or a place is an attribute of its own, or set by a script.
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "media-src": [SELF, "blob:"],
        "object-src": ["'none'"],
        "frame-ancestors": ["'none'"],
        "base-uri": [SELF],
        "form-action": [SELF],
        "report-uri": ["/content-reports/"],
    }
}
