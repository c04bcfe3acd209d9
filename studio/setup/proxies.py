"""Remarks at every command where the site's address and the proxies do not go together."""

from django.conf import settings
from django.core.checks import CheckMessage, Warning, register


@register()
def https_comes_from_somewhere(app_configs, **_kwargs) -> list[CheckMessage]:
    if not settings.BEHIND_HTTPS or settings.TRUSTED_PROXIES:
        return []
    return [
        Warning(
            "SITE_ADDRESS begins with https://, but TRUSTED_PROXIES is 0: what a proxy says of HTTPS and "
            "of the visitor's address is not believed.",
            hint="Behind one reverse proxy set TRUSTED_PROXIES=1; otherwise each page leads back to itself.",
            id="studio.W001",
        )
    ]
