"""Looks at the server, one matter after the other."""

import datetime as dt
import shutil
import sqlite3

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from shop.keeping import copies
from shop.records import sqlite_advice
from shop.records.models import JobRun, Lease, Note
from shop.searching import trigrams
from shop.serving import certificates, judging, keeping
from shop.serving.judging import Finding, Level

LOCAL_MAIL = "django.core.mail.backends.locmem.EmailBackend"


def findings(host: str = "") -> list[Finding]:
    """Everything about the server; ``host`` is how a visitor calls it."""
    database = of_database()
    found = [database]
    if database.level is Level.WELL:
        found += [of_migrations(), of_jobs(), of_backup(), of_copies()]
        found.append(of_search())
    return [*found, *of_certificate(host), *of_machine()]


def of_machine() -> list[Finding]:
    free = shutil.disk_usage(settings.DATA_DIR).free
    manifest = settings.STATIC_ROOT / "staticfiles.json"
    has_static = not settings.IS_PRODUCTION or manifest.exists()
    has_mail = settings.EMAIL_BACKEND != LOCAL_MAIL
    yes_or_no = judging.of_yes_or_no
    found = [
        judging.of_disk(free),
        yes_or_no("static", is_well=has_static, otherwise=Level.FAULT),
        yes_or_no("mail", is_well=has_mail, otherwise=Level.SOON),
    ]
    if connection.vendor == "sqlite":
        has_fault = sqlite_advice.has_wal_reset_fault(sqlite3.sqlite_version_info)
        found.append(yes_or_no("sqlite", is_well=not has_fault, otherwise=Level.SOON))
    return found


def of_database() -> Finding:
    """Whether a row can be written; it is taken back."""
    try:
        with transaction.atomic():
            Note.objects.create(shop_id=0, kind="doctor", text="")
            transaction.set_rollback(True)
    except DatabaseError:
        is_well = False
    else:
        is_well = True
    return judging.of_yes_or_no("database", is_well=is_well, otherwise=Level.FAULT)


def of_migrations() -> Finding:
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return judging.of_migrations(len(plan))


def of_jobs() -> Finding:
    lease = Lease.objects.filter(name="jobs").first()
    return judging.of_jobs(lease.until if lease else None, timezone.now())


def of_search() -> Finding:
    """Whether the search has its index; without it, it is slow and finds less."""
    has_index = trigrams.has_index(connection)
    return judging.of_yes_or_no("search", is_well=has_index, otherwise=Level.SOON)


def of_backup() -> Finding:
    return judging.of_backup(last_backup(), timezone.now())


def of_copies() -> Finding:
    whole = [one for one in copies.places() if not one.problem]
    is_well = len(whole) > 1 and len(whole) == len(copies.places())
    return judging.of_yes_or_no("copy", is_well=is_well, otherwise=Level.SOON)


def last_backup() -> dt.datetime | None:
    """When the youngest was made that lies here, or the nightly one went well."""
    run = JobRun.objects.filter(name="nightly backup").first()
    known = [copies.newest(), run.went_well_at if run else None]
    return max((one for one in known if one), default=None)


def of_certificate(host: str) -> list[Finding]:
    """Our own certificate, where there is an authority of ours."""
    folder, now = settings.TLS_DIR, timezone.now()
    if keeping.authority_in(folder) is None:
        return [Finding("certificate.elsewhere", Level.UNKNOWN)]
    leaf = keeping.leaf_in(folder)
    if leaf is None:
        return [Finding("certificate.lost", Level.FAULT)]
    found = [
        judging.of_certificate(
            certificates.days_left(leaf, now),
            is_begun=leaf.not_valid_before_utc <= now,
            has_key=not keeping.has_lost_authority(folder),
        )
    ]
    if host:
        is_named = certificates.is_for(leaf, host)
        found.append(judging.of_host(host, is_named=is_named))
    return found
