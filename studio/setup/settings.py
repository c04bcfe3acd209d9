"""All settings; every variable that differs in production is read by `studio.setup.env`."""

import mimetypes
import os
from pathlib import Path

from celery.schedules import crontab
from kombu import Exchange, Queue

from studio.setup import env
from studio.setup.content_policy import CONTENT_SECURITY_POLICY  # noqa: F401
from studio.setup.entrance import (  # noqa: F401
    ACCOUNT_FORMS,
    ACCOUNT_RATE_LIMITS,
    MFA_ADAPTER,
    MFA_FORMS,
    PASSWORD_RESET_TIMEOUT,
)

BASE_DIR = Path(__file__).resolve().parents[2]
# Whatever any part of the studio writes is for its own account on this computer alone.
os.umask(0o077)
DATA_DIR = env.private_folder("DATA_DIR", BASE_DIR / ".data")

DEBUG = env.flag("DEBUG", False)
DATABASES = {"default": env.database("DATABASE_URL", DATA_DIR)}
SECRET_KEY = env.secret("SECRET_KEY", DATA_DIR, DATABASES["default"])
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", ("localhost", "127.0.0.1", "[::1]"))
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS")
SITE_ADDRESS = env.text("SITE_ADDRESS", "http://127.0.0.1:8000").rstrip("/")
BEHIND_HTTPS = SITE_ADDRESS.startswith("https://")

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "django_htmx",
    # Before the accounts' own pages, so that a text both have is shown in our German.
    "studio",
    "repertoire",
    "recordings",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "studio.setup.outage.wait_for_database",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "studio.setup.middleware.SmallBodies",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "studio.setup.middleware.who_acts",
    "django.contrib.messages.middleware.MessageMiddleware",
    "studio.setup.middleware.end_old_sign_ins",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "studio.setup.middleware.keep_out_of_caches",
    "studio.setup.offline.say_whose_page",
    "studio.setup.middleware.own_language",
    "studio.setup.middleware.GuestsStay",
    "studio.setup.second_factor.SetUpFirst",
    "studio.setup.devices.remember_device",
    "studio.setup.middleware.studio_time_zone",
    "studio.setup.drawing.LongMusic",
]

ROOT_URLCONF = "studio.urls"
WSGI_APPLICATION = "studio.setup.wsgi.application"
_CONTEXT = [
    "django.template.context_processors.request",
    "django.contrib.auth.context_processors.auth",
    "django.contrib.messages.context_processors.messages",
    "studio.setup.context.studio",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "studio" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {"context_processors": _CONTEXT},
    },
]

FORM_RENDERER = "studio.setup.rendering.PaperForms"

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
FIXTURE_DIRS = [BASE_DIR / "fixtures"]

AUTH_USER_MODEL = "studio.User"
# What a guest of a panel may open beside the pages of the sign-in.
GUEST_PAGES = {
    *("account", "home", "invitation", "privacy", "content_reports", "sign_ins", "sign_in_end"),
    *("app_manifest", "offline_files", "offline_page", "offline_worker"),
    *("panel_detail", "panel_list", "panel_listen", "panel_sheet", "panel_sound"),
}
# The second only knows whom it signed in before there was the first, which asks no other.
AUTHENTICATION_BACKENDS = [
    "studio.setup.sign_in.OneLookUp",
    "allauth.account.auth_backends.AuthenticationBackend",
]
_VALIDATION = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_VALIDATION}.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_ADAPTER = "studio.setup.accounts.InvitedOnlyAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Fairhearing"

LANGUAGE_CODE = "en"
# Each by its own name, whatever the language of the page.
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
STUDIO_TIME_ZONE = env.zone("STUDIO_TIME_ZONE", "Europe/Vienna")

# ES modules need a JavaScript type even where the system's table lacks one.
mimetypes.add_type("text/javascript", ".js", strict=True)
STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = env.folder("MEDIA_DIR", DATA_DIR / "media")
S3_BUCKET = env.text("S3_BUCKET")
STORAGES = {
    "default": (
        {
            "BACKEND": "studio.setup.bucket.Bucket",
            "OPTIONS": {
                "bucket_name": S3_BUCKET,
                "endpoint_url": env.text("S3_ENDPOINT") or None,
                "region_name": env.text("S3_REGION") or None,
                "default_acl": "private",
                "querystring_auth": True,
                "file_overwrite": False,
            },
        }
        if S3_BUCKET
        else {"BACKEND": "django.core.files.storage.FileSystemStorage"}
    ),
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if DEBUG
            else "studio.setup.static.ModuleStaticFilesStorage"
        )
    },
}
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.TemporaryFileUploadHandler"]
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700
FILE_UPLOAD_TEMP_DIR = DATA_DIR / "incoming"
FILE_UPLOAD_TEMP_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
# Longest request of pages that take no files: a review with a hundred long remarks fits.
SMALL_BODY_BYTES = 2_500_000
TAKE_MAX_MB = env.whole("TAKE_MAX_MB", 500, low=1, high=4096)
# Never given to takes: what the database needs to go on.
DISK_RESERVE_MB = env.whole("DISK_RESERVE_MB", 500, low=0, high=1_000_000)
TAKE_MAX_MINUTES = env.whole("TAKE_MAX_MINUTES", 60, low=1, high=240)


def _cache(folder: str) -> dict:
    if env.text("REDIS_URL"):
        patience = {"socket_connect_timeout": 1, "socket_timeout": 2}
        redis = {"BACKEND": "studio.setup.caches.Redis", "LOCATION": env.text("REDIS_URL")}
        return {**redis, "KEY_PREFIX": folder, "OPTIONS": patience}
    files = {"BACKEND": "studio.setup.caches.Files", "LOCATION": DATA_DIR / folder}
    return {**files, "OPTIONS": {"MAX_ENTRIES": 5000}}


# Rarer limits of allauth's are counted in the first, so every web process must share it. Drawings have a
# place of their own: a full cache drops entries, and many drawings must not make it forget the counts.
CACHES = {"default": _cache("cache"), "drawings": _cache("drawings")}

EMAIL_HOST = env.text("MAIL_HOST")
_outbox = "smtp" if EMAIL_HOST else "filebased"
EMAIL_BACKEND = f"django.core.mail.backends.{_outbox}.EmailBackend"
EMAIL_FILE_PATH = DATA_DIR / "mail"
EMAIL_PORT = env.whole("MAIL_PORT", 587, low=1, high=65535)
EMAIL_HOST_USER = env.text("MAIL_USER")
EMAIL_HOST_PASSWORD = env.text("MAIL_PASSWORD")
EMAIL_USE_TLS = env.flag("MAIL_TLS", True)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.text("MAIL_FROM", "studio@localhost")
# repertoire must not import studio, so it is told by name who may see and change the music.
EXCERPT_VISIBILITY = "studio.access.visible_excerpts"
REPERTOIRE_EDITORS = "studio.access.may_edit_repertoire"
INVITATION_DAYS = env.whole("INVITATION_DAYS", 14, low=1, high=90)

_broker_variable = "REDIS_URL" if env.text("REDIS_URL") else "BROKER_URL"
CELERY_BROKER_URL, CELERY_BROKER_TRANSPORT_OPTIONS = env.broker(_broker_variable, DATA_DIR)
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# Mail has a lane of its own: a code for signing in must not wait behind an evening's takes. A worker told of
# no lane serves both.
CELERY_TASK_QUEUES = (
    Queue("celery", Exchange("celery"), routing_key="celery"),
    Queue("mail", Exchange("mail"), routing_key="mail"),
)
CELERY_TASK_ROUTES = {name: {"queue": "mail"} for name in ("studio.send_mail", "studio.sweep_mail")}
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
# On a new machine a worker's first act is to compile the inner loops; the usual 4 s would end it before.
CELERY_WORKER_PROC_ALIVE_TIMEOUT = 300
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat-schedule")
ANALYSIS_TIMEOUT_S = env.whole("ANALYSIS_TIMEOUT_S", 900, low=10)
ANALYSIS_MEMORY_MB = env.whole("ANALYSIS_MEMORY_MB", 3000, low=500)
ANALYSIS_SWEEP_S = env.whole("ANALYSIS_SWEEP_S", 20, low=1)
ANALYSIS_SILENT_AFTER_S = env.whole("ANALYSIS_SILENT_AFTER_S", 60, low=1)
ANALYSIS_MAX_ATTEMPTS = env.whole("ANALYSIS_MAX_ATTEMPTS", 3, low=1)
CELERY_BEAT_SCHEDULE = {
    "sweep": {"task": "recordings.sweep", "schedule": float(ANALYSIS_SWEEP_S)},
    "sweep-mail": {"task": "studio.sweep_mail", "schedule": 30.0},
    "sweep-tries": {"task": "studio.sweep_tries", "schedule": crontab(minute=53)},
    "forget-events": {"task": "studio.forget_events", "schedule": crontab(hour=3, minute=47)},
    "check-sounds": {"task": "recordings.check_sounds", "schedule": crontab(hour=2, minute=41)},
    "sweep-parts": {"task": "recordings.sweep_parts", "schedule": crontab(minute=23)},
    "delete-expired": {"task": "recordings.delete_expired", "schedule": crontab(hour=3, minute=17)},
    # Every hour, since the hour of sending is one of the studio's own zone.
    "remind": {"task": "recordings.remind", "schedule": crontab(minute=7)},
}

SESSION_COOKIE_HTTPONLY = True
KNOWN_DEVICE_COOKIE_NAME = "knowndevice"
# A browser takes a cookie of this name only over HTTPS and from this very host, never from a neighbour of it.
if BEHIND_HTTPS:
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
    KNOWN_DEVICE_COOKIE_NAME = "__Host-knowndevice"
# Choices: who practises every other day stays signed in, a forgotten computer not for long.
SESSION_IDLE_HOURS = env.whole("SESSION_IDLE_HOURS", 72, low=1, high=720)
SESSION_LONGEST_DAYS = env.whole("SESSION_LONGEST_DAYS", 30, low=1, high=365)
SESSION_COOKIE_AGE = SESSION_LONGEST_DAYS * 24 * 3600
SESSION_COOKIE_SECURE = BEHIND_HTTPS
CSRF_COOKIE_SECURE = BEHIND_HTTPS
SECURE_SSL_REDIRECT = BEHIND_HTTPS
SECURE_HSTS_SECONDS = env.whole("HSTS_SECONDS", 0)
# Whether names below this one are always on HTTPS, and for good, is their owner's to say, not a studio's.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
env.gone("BEHIND_PROXY", "say in TRUSTED_PROXIES how many proxies stand before the web server (mostly 1).")
# Whoever asks may write anything into these headers; only the last so many entries are the proxies' own.
TRUSTED_PROXIES = ALLAUTH_TRUSTED_PROXY_COUNT = env.whole("TRUSTED_PROXIES", 0, high=5)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if TRUSTED_PROXIES else None
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"

LOG_LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {
            "()": "studio.setup.logs.PlainFormatter",
            "format": "{asctime} {levelname} {name} {message}",
            "style": "{",
        }
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": env.choice("LOG_LEVEL", "INFO", LOG_LEVELS)},
    "loggers": {
        # The embedded broker has no host name, which kombu remarks on at every connection.
        "kombu.connection": {"level": "ERROR"},
        # Two lines for every sweep would bury what matters; failures are still told.
        "celery": {"level": "WARNING"},
    },
}
