"""Starting Django on a place, without a settings file: the place says it all."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from witnessmark.workshop.places import Place, database_of, secret_of

LARGEST_BODY = 16 * 1024 * 1024
"""Bytes of one request at the most: a photo, a pack or a batch of events."""

_here: list[Place] = []


def start(
    place: Place,
    *,
    hosts: tuple[str, ...] = ("localhost", "127.0.0.1"),
    on_the_network: bool = False,
    tables_are_ready: bool = False,
) -> None:
    """Make the folder where needed, set Django up on it, and bring the tables up to date.

    Called again it moves to another place. On the network everybody must be paired. Tables that
    are known to be up to date need not be looked at.

    Raises
    ------
    PlaceError
        If the address of the tables is not one of PostgreSQL.
    OSError
        If the folder cannot be made or written.
    """
    import django
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connections

    database = database_of(place)
    place.folder.mkdir(parents=True, exist_ok=True)
    place.photos.mkdir(exist_ok=True)
    _here[:] = [place]
    wanted = settings_for(place, database, hosts, on_the_network)
    if not settings.configured:
        settings.configure(**wanted)
        django.setup()
    else:  # also in a server's worker, which begins as a copy of the command
        connections.close_all()
        for name, value in wanted.items():
            setattr(settings, name, value)
        connections.settings = connections.configure_settings(settings.DATABASES)
        with suppress(AttributeError):  # no connection was made yet in this thread
            del connections["default"]
    if not tables_are_ready:
        call_command("migrate", verbosity=0, interactive=False)


def here() -> Place:
    """Give the place Django was started on."""
    return _here[0]


def settings_for(
    place: Place, database: dict[str, Any], hosts: tuple[str, ...], on_the_network: bool
) -> dict[str, Any]:
    """Give Django's settings for a place."""
    return {
        "ALLOWED_HOSTS": list(hosts),
        "AUTH_USER_MODEL": "workshop.Member",
        "CSRF_COOKIE_SAMESITE": "Strict",
        "CSRF_COOKIE_SECURE": on_the_network,
        "DATABASES": {"default": database},
        "DATA_UPLOAD_MAX_MEMORY_SIZE": LARGEST_BODY,
        "DEBUG": False,
        "FILE_UPLOAD_HANDLERS": ["witnessmark.workshop.uploads.BoundedUploads"],
        "INSTALLED_APPS": [
            "django.contrib.contenttypes",
            "django.contrib.auth",
            "django.contrib.sessions",
            "django.contrib.staticfiles",
            "django_htmx",
            "witnessmark.workshop.apps.WorkshopConfig",
        ],
        "MIDDLEWARE": [
            "witnessmark.workshop.headers.security_headers",
            "django.middleware.security.SecurityMiddleware",
            "django.middleware.clickjacking.XFrameOptionsMiddleware",
            "whitenoise.middleware.WhiteNoiseMiddleware",
            "django.contrib.sessions.middleware.SessionMiddleware",
            "django.contrib.auth.middleware.AuthenticationMiddleware",
            # Before anything that could tell a stranger which addresses there are.
            "witnessmark.workshop.strangers.known_devices",
            "django.middleware.common.CommonMiddleware",
            "django.middleware.csrf.CsrfViewMiddleware",
        ],
        "NINJA_PAGINATION_PER_PAGE": 100,
        "ON_THE_NETWORK": on_the_network,
        "ROOT_URLCONF": "witnessmark.workshop.urls",
        "SECRET_KEY": secret_of(place),
        "SECURE_SSL_REDIRECT": on_the_network,
        "SESSION_COOKIE_AGE": 30 * 86_400,
        # The prefix lets no other page of this host, whatever its port, set the cookie.
        "SESSION_COOKIE_NAME": "__Host-witnessmark" if on_the_network else "witnessmark",
        "SESSION_COOKIE_SAMESITE": "Strict",
        "SESSION_COOKIE_SECURE": on_the_network,
        # No plain address is served that a browser could be led to instead; told to keep off
        # plain addresses it would do so for all other things this host may serve as well.
        "SILENCED_SYSTEM_CHECKS": ["security.W004"],
        "STATIC_URL": "static/",
        "TEMPLATES": [
            {
                "BACKEND": "django.template.backends.django.DjangoTemplates",
                "APP_DIRS": True,
                "OPTIONS": {
                    "context_processors": [
                        "django.template.context_processors.request",
                        "django.contrib.auth.context_processors.auth",
                    ]
                },
            }
        ],
        "USE_I18N": False,
        "USE_TZ": True,
        # Files are read from the package; nothing is collected beforehand.
        "WHITENOISE_ALLOW_ALL_ORIGINS": False,
        "WHITENOISE_AUTOREFRESH": False,
        "WHITENOISE_USE_FINDERS": True,
    }
