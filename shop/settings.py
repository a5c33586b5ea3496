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
from django.forms import __path__ as forms_path
from environs import Env

from shop.photos import limits as photo_limits
from shop.storage import files_setting

BASE_DIR = Path(__file__).resolve().parent.parent
env = Env()

PROFILE = env.str("COLDRAIL_PROFILE", "production")
if PROFILE not in {"production", "demo", "test"}:
    raise ImproperlyConfigured(
        f"COLDRAIL_PROFILE is {PROFILE!r}; it must be production, demo or test."
    )
IS_DEMO = PROFILE == "demo"
IS_PRODUCTION = PROFILE == "production"
# What ``manage.py serve`` says of the way to us: "loopback" (this machine, no TLS),
# "lan" (our own TLS before us) or nothing: whoever serves has to set it up, strictly.
SERVED = env.str("COLDRAIL_SERVED", "")
if SERVED not in {"", "loopback", "lan"}:
    raise ImproperlyConfigured(
        f"COLDRAIL_SERVED is {SERVED!r}; it must be loopback, lan or empty."
    )
HAS_TLS = IS_PRODUCTION and SERVED != "loopback"
LOOPBACK = ["127.0.0.1", "localhost", "[::1]"]

NO_DATA = (
    "Coldrail keeps the shop's data there: give the folder to the user that runs it, "
    "or name another by COLDRAIL_DATA."
)
DATA_DIR = Path(env.str("COLDRAIL_DATA", str(BASE_DIR / "var" / PROFILE)))
try:
    DATA_DIR.mkdir(parents=True, exist_ok=True)
except OSError as reason:
    raise ImproperlyConfigured(f"{DATA_DIR}: {reason.strerror}. {NO_DATA}") from reason
if not os.access(DATA_DIR, os.W_OK | os.X_OK):
    raise ImproperlyConfigured(f"{DATA_DIR} may not be written to. {NO_DATA}")
PAPERS_DIR = DATA_DIR / "papers"
TLS_DIR = DATA_DIR / "tls"
# Where a person finds the shop, with its port; ``serve`` sets it.
SHOP_ADDRESS = env.str("SHOP_ADDRESS", "")
# What the sealed columns are sealed with; see shop/records/field_keys.py.
FIELD_KEYS: list[str] = env.list("COLDRAIL_FIELD_KEYS", [])
FIELD_KEYS_FILE = DATA_DIR / "field_keys"


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
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", []) if HAS_TLS else LOOPBACK
CSRF_TRUSTED_ORIGINS: list[str] = env.list("CSRF_TRUSTED_ORIGINS", [])

INSTALLED_APPS = [
    "shop.rights",
    "shop.opening",
    "shop.serving",
    "shop.keeping",
    "shop.desk",
    "shop.searching",
    "shop.office",
    "shop.books",
    "shop.messaging",
    "shop.billing",
    "diagnostics",
    "shop.photos",
    "shop.intake",
    "shop.printing",
    "shop.people",
    "shop.records",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "django_htmx",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"  # templates/django/forms
MIDDLEWARE = [
    "shop.serving.middleware.address_behind_proxy",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "shop.people.middleware.local_only_in_demo",
    "csp.middleware.CSPMiddleware",
    "shop.people.middleware.quiet_device_features",
    "shop.serving.health.health_first",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "shop.people.session_limits.sessions_end",
    "shop.people.middleware.in_the_shop",
    "shop.people.middleware.in_their_language",
    "shop.opening.middleware.to_the_set_up",
    "shop.people.middleware.at_a_station",
    "shop.people.gates.first_things_first",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates", Path(forms_path[0]) / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "builtins": ["shop.records.templatetags.shown"],
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
    # When full, Django throws a third out: rate limits must not go so. Swept hourly.
    "OPTIONS": {"MAX_ENTRIES": 50_000},
}
CACHES = {
    "default": OWN_MEMORY if PROFILE == "test" else SHARED,
    # Three entries an open ticket; Django's 300 would throw them out as they come.
    "process": OWN_MEMORY | {"LOCATION": "process", "OPTIONS": {"MAX_ENTRIES": 5_000}},
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
# Offline and by shape: a list of all breached passwords is gigabytes, so a shop gets
# Django's 20,000 common ones.
OF_DJANGO = "django.contrib.auth.password_validation."
AUTH_PASSWORD_VALIDATORS: list[dict[str, object]] = [
    {"NAME": f"{OF_DJANGO}MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {
        "NAME": f"{OF_DJANGO}UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "name", "email")},
    },
    {"NAME": f"{OF_DJANGO}CommonPasswordValidator"},
    {"NAME": f"{OF_DJANGO}NumericPasswordValidator"},
]
LOGIN_URL = "people:sign_in"
LOGIN_REDIRECT_URL = "desk:home"
LOGOUT_REDIRECT_URL = "people:sign_in"

# Whether a full sign-in must have a second factor, or may.
SECOND_FACTOR = env.str("SECOND_FACTOR", "required" if IS_PRODUCTION else "offered")
if SECOND_FACTOR not in {"required", "offered"}:
    raise ImproperlyConfigured("SECOND_FACTOR must be required or offered.")
ACCOUNT_ADAPTER = "shop.people.adapters.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_PRESERVE_USERNAME_CASING = False
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = False
# Five wrong passwords in five minutes close the door to a name for strangers; a browser
# where that name has signed in before counts by itself (shop/people/known_browser.py).
ACCOUNT_RATE_LIMITS = {"login": "30/m/ip", "login_failed": "5/5m/key"}
# How many reverse proxies of the shop's own stand before the workers. With none, what
# a browser says in X-Forwarded-For counts for nothing.
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXIES", 0)
MFA_ADAPTER = "shop.people.adapters.FactorAdapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_WEBAUTHN_USER_VERIFICATION = "preferred"
MFA_TOTP_TOLERANCE = 1
MFA_RECOVERY_CODES_SHOW_ONCE = True
MFA_FORMS = {
    "authenticate": "shop.people.sign_in_forms.CodeForm",
    "reauthenticate": "shop.people.sign_in_forms.CodeAgainForm",
    "activate_totp": "shop.people.sign_in_forms.AppForm",
    "add_webauthn": "shop.people.sign_in_forms.KeyForm",
}

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
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
    "default": files_setting(env.str("COLDRAIL_FILES", "")),
    "staticfiles": {"BACKEND": STATICFILES_STORAGE_CLASS},
}
MEDIA_ROOT = DATA_DIR / "files"  # unless COLDRAIL_FILES says otherwise
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

# TLS everywhere but in the demo, the tests and on loopback. Strict transport is a
# promise for ever: on a shop's own network it would hide the page that mends trust
# (docs/running.md), so there it has to be wished for, and never for other names.
SECURE_SSL_REDIRECT = env.bool("SECURE_SSL_REDIRECT", HAS_TLS)
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]  # asked from this machine, plainly
SECURE_HSTS_SECONDS = env.int(
    "SECURE_HSTS_SECONDS", 31536000 if HAS_TLS and SERVED != "lan" else 0
)
SECURE_HSTS_INCLUDE_SUBDOMAINS = HAS_TLS and SERVED != "lan"
SECURE_HSTS_PRELOAD = HAS_TLS and SERVED != "lan"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
TRUST_PROXY = env.bool("TRUST_PROXY_TLS_HEADER", False)
if TRUST_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_SECURE = HAS_TLS
CSRF_COOKIE_SECURE = HAS_TLS
CSRF_COOKIE_HTTPONLY = True
if HAS_TLS:
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-coldrail", "__Host-coldrail-csrf"
# A session's end, in seconds: twelve hours after the sign-in, or when nobody has done
# anything for an hour, at a bench tablet for a quarter of one. The page warns before.
SESSION_COOKIE_AGE = 60 * 60 * 12
IDLE_SECONDS = env.int("IDLE_SECONDS", 60 * 60)
IDLE_SECONDS_AT_BENCH = env.int("IDLE_SECONDS_AT_BENCH", 15 * 60)
WARN_SECONDS = 60
# For how many seconds after a full sign-in the tender things are open.
FRESH_SECONDS = 15 * 60
ACCOUNT_REAUTHENTICATION_TIMEOUT = FRESH_SECONDS
KNOWN_BROWSER_COOKIE = "__Host-coldrail-known" if HAS_TLS else "coldrail-known"
STATION_COOKIE = "__Host-coldrail-station" if HAS_TLS else "coldrail-station"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 300
DATA_UPLOAD_MAX_NUMBER_FILES = photo_limits.MOST_AT_ONCE
FILE_UPLOAD_HANDLERS = [
    "shop.photos.uploads.NotTooLarge",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Without an EMAIL_URL what would be e-mail is written to files in OUTGOING_DIR.
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
EMAIL_TIMEOUT = 60  # seconds: a server that hangs must not hold up the jobs
DEFAULT_FROM_EMAIL = env.str("COLDRAIL_MAIL_FROM", "coldrail@localhost")
MAIL_GOES_OUT = IS_PRODUCTION and bool(env.str("EMAIL_URL", ""))
OUTGOING_DIR = DATA_DIR / "outgoing"
if MAIL_GOES_OUT:
    email = env.dj_email_url("EMAIL_URL")
    EMAIL_BACKEND = email["EMAIL_BACKEND"]
    EMAIL_HOST = email["EMAIL_HOST"]
    EMAIL_PORT = email["EMAIL_PORT"]
    EMAIL_HOST_USER = email["EMAIL_HOST_USER"]
    EMAIL_HOST_PASSWORD = email["EMAIL_HOST_PASSWORD"]
    EMAIL_USE_TLS = email["EMAIL_USE_TLS"]
    EMAIL_USE_SSL = email["EMAIL_USE_SSL"]

# A folder on another disk; by default the shop says, or it is in the data folder.
BACKUP_DIR = env.str("COLDRAIL_BACKUP_DIR", "")
SECOND_BACKUP_DIR = env.str("COLDRAIL_SECOND_BACKUP_DIR", "")  # for copies
BACKUP_KEY = env.str("COLDRAIL_BACKUP_KEY", "")
BACKUP_KEYS = DATA_DIR / "backup_keys"
# A sealed backup before a new version changes a shop's tables (manage.py migrate).
BACKS_UP_BEFORE_CHANGES = IS_PRODUCTION

# For how many seconds one process has the jobs, unless it renews that.
JOBS_LEASE_SECONDS = env.float("COLDRAIL_JOBS_LEASE", 45.0)

# Lines for people, or one JSON object a line; neither holds what anybody wrote.
LOG_FORM = env.str("COLDRAIL_LOG", "line")
if LOG_FORM not in {"line", "json"}:
    raise ImproperlyConfigured("COLDRAIL_LOG must be line or json.")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"()": "shop.records.said_plainly.Line"},
        "json": {"()": "shop.records.said_plainly.Json"},
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": LOG_FORM}},
    "root": {"handlers": ["stderr"], "level": env.str("LOG_LEVEL", "INFO")},
    # Their progress is no news; what a paper may not fetch is an error.
    "loggers": {"weasyprint": {"level": "ERROR"}, "fontTools": {"level": "ERROR"}},
}
if PROFILE == "test":
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    LOGGING["root"] = {"handlers": ["stderr"], "level": "ERROR"}
