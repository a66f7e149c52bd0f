"""One settings file; what differs between places comes from the environment (see DEVELOPERS.md)."""

import os
from pathlib import Path

import django_stubs_ext
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from config import env

django_stubs_ext.monkeypatch()  # lets generic Django classes be written with their types

BASE_DIR = Path(__file__).resolve().parent.parent
DEBUG = env.flag("DEBUG", False)
SECRET_KEY = os.environ.get("SECRET_KEY", "")
if not SECRET_KEY:
    if not DEBUG:
        raise ImproperlyConfigured(
            "Set SECRET_KEY in the environment (or DEBUG=true for a trial on your own machine)."
        )
    SECRET_KEY = "only-for-a-trial-on-your-own-machine"
HOUSEHOLD_KEYS = env.sealing_keys("HOUSEHOLD_KEYS", trial=DEBUG)
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", ["localhost", "127.0.0.1", "[::1]"] if DEBUG else [])
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS", [])

INSTALLED_APPS = [
    "fund",
    "jobs",
    "reports",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django.forms",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "axes",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "fund.rulebook.kept.keep_rules",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "fund.access.context.crew",
            ],
        },
    },
]
FORM_RENDERER = "fund.forms.BookRenderer"

DATABASES = {"default": env.database(BASE_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "fund.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
# Length and commonness only, no composition rules: OWASP ASVS 5.0, 6.2.1, 6.2.4, 6.2.5.
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "access:sign-in"
LOGIN_REDIRECT_URL = "position:today"
LOGOUT_REDIRECT_URL = "public:latest"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "fund/access/locked.html"
AXES_DISABLE_ACCESS_LOG = True
AXES_VERBOSE = False
SESSION_COOKIE_AGE = 12 * 3600  # NIST SP 800-63B, draft of revision 4 (December 2023), AAL2: 12 hours
SESSION_COOKIE_HTTPONLY = True

LANGUAGE_CODE = "en-us"
LANGUAGES = [
    ("en", "English"),
    ("es", "Español"),
]  # of the pages for whoever asks for help; the crew reads English
TIME_ZONE = os.environ.get("TIME_ZONE", "America/Chicago")
USE_I18N = True
USE_TZ = True
DATE_FORMAT = "M j, Y"

STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / "var" / "static"
STATICFILES_DIRS = [BASE_DIR / "config" / "static"]
MEDIA_ROOT = Path(os.environ.get("MEDIA_ROOT") or BASE_DIR / "var" / "media")
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = True

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
HTTPS = env.flag("HTTPS", not DEBUG)
SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

DJANGO_TABLES2_TEMPLATE = "partials/table.html"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"no_private_links": {"()": "jobs.intake.quiet.NoPrivateLinks"}},
    "formatters": {
        "asked": {
            "()": "django.utils.log.ServerFormatter",
            "format": "[{server_time}] {message}",
            "style": "{",
        }
    },
    "handlers": {
        "console": {"class": "logging.StreamHandler", "filters": ["no_private_links"]},
        "asked": {"class": "logging.StreamHandler", "filters": ["no_private_links"], "formatter": "asked"},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        # Django's own handlers, which the filter does not see: off, what they told goes to the root.
        "django": {"handlers": [], "level": "WARNING", "propagate": True},
        # The server of a trial tells every address that is asked for.
        "django.server": {"handlers": ["asked"], "level": "INFO", "propagate": False},
    },
}
