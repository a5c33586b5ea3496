"""One settings file, driven by the environment, safe when silent.

``COLDRAIL_PROFILE`` is ``production`` (the default), ``demo`` or ``test``.
``manage.py`` sets it for the demo and the tests; a person may override it.
"""

import os
import stat
from pathlib import Path

from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key
from environs import Env

BASE_DIR = Path(__file__).resolve().parent.parent
env = Env()

PROFILE = env.str("COLDRAIL_PROFILE", "production")
if PROFILE not in {"production", "demo", "test"}:
    raise ImproperlyConfigured(
        f"COLDRAIL_PROFILE is {PROFILE!r}; it must be production, demo or test."
    )
IS_DEMO = PROFILE == "demo"
IS_PRODUCTION = PROFILE == "production"

DATA_DIR = Path(env.str("COLDRAIL_DATA", str(BASE_DIR / "var" / PROFILE)))
DATA_DIR.mkdir(parents=True, exist_ok=True)
PAPERS_DIR = DATA_DIR / "papers"


def kept_secret(path: Path) -> str:
    """The secret key of this installation: made once, readable by us alone."""
    if path.exists():
        return path.read_text().strip()
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
    try:
        handle = os.open(path, flags, stat.S_IRUSR | stat.S_IWUSR)
    except FileExistsError:
        return path.read_text().strip()
    with os.fdopen(handle, "w") as file:
        file.write(get_random_secret_key())
    return path.read_text().strip()


DEBUG = False
SECRET_KEY = env.str("SECRET_KEY", "") or kept_secret(DATA_DIR / "secret_key")
SECRET_KEY_FALLBACKS: list[str] = env.list("SECRET_KEY_FALLBACKS", [])
ALLOWED_HOSTS = (
    env.list("ALLOWED_HOSTS", [])
    if IS_PRODUCTION
    else ["127.0.0.1", "localhost", "[::1]"]
)
CSRF_TRUSTED_ORIGINS: list[str] = env.list("CSRF_TRUSTED_ORIGINS", [])

INSTALLED_APPS = [
    "shop.opening",
    "shop.desk",
    "shop.office",
    "shop.billing",
    "diagnostics",
    "shop.intake",
    "shop.people",
    "shop.records",
    "csp",
    "django_htmx",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shop.people.middleware.local_only_in_demo",
    "csp.middleware.CSPMiddleware",
    "shop.people.middleware.quiet_device_features",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.people.middleware.in_the_shop",
    "shop.opening.middleware.to_the_set_up",
    "shop.people.middleware.at_a_station",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    ["django.template.loaders.filesystem.Loader"],
                )
            ],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.people.context.surroundings",
            ],
        },
    }
]

SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL;"
        "PRAGMA synchronous=FULL;"
        "PRAGMA foreign_keys=ON;"
        "PRAGMA mmap_size=0;"
    ),
}
DATABASES = {
    "default": env.dj_db_url(
        "DATABASE_URL", f"sqlite:///{DATA_DIR / 'coldrail.sqlite3'}"
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
else:
    DATABASES["default"]["CONN_MAX_AGE"] = 60
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
# What all processes must agree on (rate limits) lies in the database; what one process
# only spares itself, in its own memory (``shop.records.cache``).
OWN_MEMORY = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
SHARED = {
    "BACKEND": "django.core.cache.backends.db.DatabaseCache",
    "LOCATION": "records_shared_cache",
}
CACHES = {
    "default": OWN_MEMORY if PROFILE == "test" else SHARED,
    "process": OWN_MEMORY | {"LOCATION": "process"},
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "desk:home"
LOGOUT_REDIRECT_URL = "people:sign_in"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
LOCALE_PATHS = [BASE_DIR / "locale"]
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATICFILES_STORAGE_CLASS = (
    "whitenoise.storage.CompressedManifestStaticFilesStorage"
    if IS_PRODUCTION
    else "django.contrib.staticfiles.storage.StaticFilesStorage"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": STATICFILES_STORAGE_CLASS},
}
MEDIA_ROOT = DATA_DIR / "files"
WHITENOISE_USE_FINDERS = not IS_PRODUCTION

# Who makes what every check of a board model should read (seconds): another process
# "aside", the one that asks ("here"), or "never". Of how many virtual boards.
CLOUDS = env.str("COLDRAIL_CLOUDS", "never" if PROFILE == "test" else "aside")
CLOUD_BOARDS = env.int("COLDRAIL_CLOUD_BOARDS", 96)
CLOUDS_DIR = DATA_DIR / "clouds"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
PERMISSIONS_POLICY = "camera=(self), serial=(self), usb=(), geolocation=()"

# TLS everywhere but in the demo and the tests, which stay on loopback.
SECURE_SSL_REDIRECT = env.bool("SECURE_SSL_REDIRECT", IS_PRODUCTION)
SECURE_HSTS_SECONDS = env.int("SECURE_HSTS_SECONDS", 31536000 if IS_PRODUCTION else 0)
SECURE_HSTS_INCLUDE_SUBDOMAINS = IS_PRODUCTION
SECURE_HSTS_PRELOAD = IS_PRODUCTION
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
if env.bool("TRUST_PROXY_TLS_HEADER", False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_SECURE = IS_PRODUCTION
CSRF_COOKIE_SECURE = IS_PRODUCTION
CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 60 * 60 * 12
# For how many seconds after a full sign-in the tender things are open.
FRESH_SECONDS = 15 * 60
STATION_COOKIE = "__Host-coldrail-station" if IS_PRODUCTION else "coldrail-station"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 300

EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
if IS_PRODUCTION and env.str("EMAIL_URL", ""):
    email = env.dj_email_url("EMAIL_URL")
    EMAIL_BACKEND = email["EMAIL_BACKEND"]
    EMAIL_HOST = email["EMAIL_HOST"]
    EMAIL_PORT = email["EMAIL_PORT"]
    EMAIL_HOST_USER = email["EMAIL_HOST_USER"]
    EMAIL_HOST_PASSWORD = email["EMAIL_HOST_PASSWORD"]
    EMAIL_USE_TLS = email["EMAIL_USE_TLS"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": env.str("LOG_LEVEL", "INFO")},
    # Their progress is no news; what a paper may not fetch is an error.
    "loggers": {"weasyprint": {"level": "ERROR"}, "fontTools": {"level": "ERROR"}},
}
if PROFILE == "test":
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    LOGGING["root"] = {"handlers": ["stderr"], "level": "ERROR"}
