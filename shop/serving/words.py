"""The doctor's findings in a reader's language: what is, and what to do."""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from shop.serving.judging import Finding, Level

LEVELS = {
    Level.WELL: _("well"),
    Level.SOON: _("mind this"),
    Level.FAULT: _("fault"),
    Level.UNKNOWN: _("not known"),
}
SUBJECTS = {
    "backup": _("Backup"),
    "certificate": _("Certificate"),
    "copy": _("Second place"),
    "database": _("Database"),
    "disk": _("Disk"),
    "host": _("Name"),
    "jobs": _("Jobs"),
    "mail": _("E-mail"),
    "migrations": _("Tables"),
    "search": _("Search"),
    "sqlite": _("SQLite"),
    "static": _("Static files"),
}
SAID = {
    "backup.never": _("No backup has been made."),
    "backup.stale": _("The last backup is %(hours)s hours old."),
    "backup.well": _("The last backup is %(hours)s hours old."),
    "copy.not": _("Backups lie in one place alone, or one of the places is missing."),
    "copy.well": _("Backups lie in more than one place."),
    "certificate.authority_lost": _(
        "%(days)s days left, but the authority's key is lost: it can't be renewed."
    ),
    "certificate.ended": _("It ended %(days)s days ago: devices refuse it."),
    "certificate.not_renewed": _(
        "%(days)s days left. It should have been renewed by now."
    ),
    "certificate.not_yet": _(
        "It is not valid yet: the clock of this server was, or is, wrong."
    ),
    "certificate.well": _("%(days)s days left; it renews itself."),
    "certificate.elsewhere": _(
        "None of ours: TLS is a proxy's, or the shop is served to this machine alone."
    ),
    "certificate.lost": _("The server's certificate or its key is lost."),
    "database.not": _("The database can't be written to."),
    "database.well": _("It answers and can be written to."),
    "disk.full": _("%(gb)s GB free: too little to go on safely."),
    "disk.little": _("%(gb)s GB free."),
    "disk.well": _("%(gb)s GB free."),
    "host.unnamed": _("The certificate doesn't name %(host)s."),
    "host.well": _("The certificate names %(host)s."),
    "jobs.gone": _("No job process for %(minutes)s minutes."),
    "jobs.never": _("No job process has ever run."),
    "jobs.well": _("The job process is at work."),
    "mail.not": _("No mail server is set: messages are not sent."),
    "mail.well": _("A mail server is set."),
    "migrations.missing": _("%(count)s changes of the tables are missing."),
    "migrations.well": _("As this version needs them."),
    "search.not": _("Its index of letter triples is missing: it is slow."),
    "search.well": _("It has its index."),
    "sqlite.not": _(
        "This SQLite has a rare fault with several writers (fixed in 3.51.3)."
    ),
    "sqlite.well": _("Without the fault of older versions."),
    "static.not": _("They have not been collected: pages lack their look."),
    "static.well": _("Collected."),
}
ADVICE = {
    "backup.never": _("Name a place for backups in the shop's settings."),
    "backup.stale": _("See whether the job process runs and its disk is in."),
    "certificate.authority_lost": _(
        "Put authority.pem back from a backup, or plan a new one: "
        "serve --lan --new-authority, then the trust page on every device."
    ),
    "certificate.ended": _("Start serve --lan again: it makes a new one."),
    "certificate.lost": _("Start serve --lan again: it makes a new one."),
    "certificate.not_renewed": _("Start serve --lan again."),
    "certificate.not_yet": _("Set the server's clock, then start serve --lan again."),
    "copy.not": _("Name a place for backups on another disk, and see that it is in."),
    "database.not": _("See the disk, and who owns the data folder."),
    "disk.full": _("Make room now, before anything else."),
    "disk.little": _("Make room, or move photos to another store."),
    "host.unnamed": _(
        "Open the shop by the name that serve prints, or start serve --lan again."
    ),
    "jobs.gone": _("Start serve again, or the service coldrail-jobs."),
    "jobs.never": _("Serve with its jobs, or start manage.py jobs."),
    "mail.not": _("Set EMAIL_URL if the shop writes to its customers."),
    "migrations.missing": _("Start serve again, or manage.py migrate."),
    "search.not": _("Run manage.py search_anew; it says what is in the way."),
    "sqlite.not": _("For a shop with several writers: PostgreSQL."),
    "static.not": _("Start serve again, or manage.py collectstatic."),
}


@dataclass(frozen=True)
class Line:
    """A finding as it is shown."""

    level: Level
    level_word: str
    subject: str
    said: str
    advice: str


def line_of(finding: Finding) -> Line:
    return Line(
        finding.level,
        str(LEVELS[finding.level]),
        str(SUBJECTS[finding.code.partition(".")[0]]),
        str(SAID[finding.code]) % finding.values,
        str(ADVICE.get(finding.code, "")),
    )
