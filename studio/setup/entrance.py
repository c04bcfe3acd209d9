"""Settings of the entrance: its forms, and what limits them."""

ACCOUNT_FORMS = {
    "login": "studio.forms.accounts.LoginForm",
    "confirm_login_code": "studio.forms.accounts.ConfirmLoginCodeForm",
    "change_password": "studio.forms.accounts.ChangePasswordForm",
    "request_login_code": "studio.forms.accounts.RequestLoginCodeForm",
    "reset_password": "studio.forms.accounts.ResetPasswordForm",
}
MFA_ADAPTER = "studio.setup.factor_secrets.SealedSecrets"
MFA_FORMS = {
    "authenticate": "studio.forms.second_factor.AuthenticateForm",
    "reauthenticate": "studio.forms.second_factor.ReauthenticateForm",
    "activate_totp": "studio.forms.second_factor.ActivateTOTPForm",
}
# None: counted by studio.services.limits, in the database, since a cache lets a burst pass. Calendars ask
# some times a day, and those of many people from one computer of their provider.
ACCOUNT_RATE_LIMITS = {
    "login": None,
    "login_failed": None,
    "request_login_code": None,
    "reset_password": None,
    "reauthenticate": None,
    "change_password": None,
    "calendar_address": "120/m/ip",
    "calendar_feed": "60/h/key",
}
# Of the link to a new password. A mail server may be away for hours; a link that lies about is a risk.
PASSWORD_RESET_TIMEOUT = 8 * 3600
