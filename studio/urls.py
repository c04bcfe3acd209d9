from allauth.mfa.base.views import index
from allauth.mfa.recovery_codes.views import (
    download_recovery_codes,
    generate_recovery_codes,
    view_recovery_codes,
)
from allauth.mfa.totp.views import activate_totp, deactivate_totp
from django.urls import URLPattern, URLResolver, include, path

from studio.access import second_factor_for_staff
from studio.views.absent import absent

# Put before allauth's own list: the second factor is for staff, and a mail address stays the one
# the invitation was sent to.
accounts: list[URLPattern | URLResolver] = [
    path("2fa/", second_factor_for_staff(index)),
    path("2fa/totp/activate/", second_factor_for_staff(activate_totp)),
    path("2fa/totp/deactivate/", second_factor_for_staff(deactivate_totp)),
    path("2fa/recovery-codes/", second_factor_for_staff(view_recovery_codes)),
    path("2fa/recovery-codes/generate/", second_factor_for_staff(generate_recovery_codes)),
    path("2fa/recovery-codes/download/", second_factor_for_staff(download_recovery_codes)),
    path("email/", absent),
    path("confirm-email/", absent),
    path("confirm-email/<path:rest>", absent),
    path("", include("allauth.urls")),
]

urlpatterns = [
    path("accounts/", include(accounts)),
    path("", include("studio.pages")),
    path("", include("repertoire.urls")),
    path("", include("recordings.urls")),
]

handler500 = "studio.setup.outage.server_error"
