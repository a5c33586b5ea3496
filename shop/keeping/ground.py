"""What a restore would stand on: this machine's database, files and keys.

All that can be a reason to refuse is asked here, before anything is touched.
"""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.utils.translation import gettext as _

from shop.keeping import key_files
from shop.keeping.contents import Manifest, files_of
from shop.keeping.key_files import Marks
from shop.keeping.standing_still import working_with
from shop.people.models import Shop
from shop.records import field_keys
from shop.records.errors import Refused

# Room for what is unpacked, and as much again for what SQLite writes meanwhile (jd).
SPARE = 1.2
# Of several machines on one PostgreSQL one restores; any number of ours would do.
ONE_AT_A_TIME = 0x434F4C44


@dataclass(frozen=True)
class Ground:
    """What stands here already. ``shop`` is its name, ``None`` where there is none."""

    vendor: str
    shop: str | None
    has_tables: bool
    has_files: bool


def look() -> Ground:
    """No database is made by asking."""
    is_bare = connection.vendor == "sqlite" and not database_file().exists()
    shop, has_tables = (None, False) if is_bare else shop_here()
    connection.close()
    has_files = next(files_of(default_storage), None) is not None
    return Ground(connection.vendor, shop, has_tables, has_files)


def shop_here() -> tuple[str | None, bool]:
    """The shop's name, and whether the database has tables at all."""
    try:
        tables = connection.introspection.table_names()
        if Shop._meta.db_table not in tables:
            return None, bool(tables)
        names = Shop.objects.order_by("pk").values_list("name", flat=True)
        return names.first(), True
    except DatabaseError:
        return _("(its database can’t be read)"), True


def database_file() -> Path:
    return Path(str(connection.settings_dict["NAME"]))


def refuse_occupied(ground: Ground, replace: str) -> None:
    """A shop that stands here is replaced only by its own name, typed."""
    if ground.vendor != "sqlite":
        if ground.has_tables or ground.has_files:
            raise Refused(
                _(
                    "The database or the files here are not empty, and nothing of "
                    "PostgreSQL is overwritten: make an empty database and an empty "
                    "place for files, and name them in DATABASE_URL and COLDRAIL_FILES."
                )
            )
        return
    name = ground.shop or (_("(files without a shop)") if ground.has_files else "")
    if name and replace != name:
        raise Refused(
            _(
                "A shop stands here already: %(name)s. To put it aside and restore "
                "over it, type: --replace “%(name)s”"
            )
            % {"name": name}
        )
    if database_file().exists() and (pids := working_with(database_file())):
        raise Refused(
            _("The database is open in %(who)s: stop Coldrail first.")
            % {"who": ", ".join(map(str, pids))}
        )


def refuse_unfit(manifest: Manifest) -> None:
    """What this version or this kind of database can't take."""
    known = set(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)
    newer = sorted(set(manifest.migrations.items()) - known)
    if newer:
        raise Refused(
            _(
                "The backup is of a newer version of Coldrail, %(version)s: "
                "install that one first (%(what)s is not known here)."
            )
            % {"version": manifest.version, "what": ".".join(newer[0])}
        )
    if manifest.vendor == "postgresql" and connection.vendor != "postgresql":
        raise Refused(
            _(
                "The backup is of PostgreSQL: name an empty one in DATABASE_URL, such "
                "as postgresql://coldrail@localhost/coldrail."
            )
        )


def refuse_little_room(file: Path) -> None:
    needed = int(file.stat().st_size * SPARE)
    free = shutil.disk_usage(settings.DATA_DIR).free
    if free < needed:
        raise Refused(
            _("%(needed)s GB are needed in %(place)s, and %(free)s GB are free.")
            % {
                "needed": f"{needed / 1e9:.1f}",
                "free": f"{free / 1e9:.1f}",
                "place": settings.DATA_DIR,
            }
        )


def refuse_other_keys(manifest: Manifest, unpacked: Path) -> None:
    """What is sealed must open here: by the backup's own keys or the environment's."""
    if manifest.marks is None:
        raise Refused(
            _(
                "This backup is of an older version and holds no keys. With --new-keys "
                "it is restored all the same: second factors and PINs are set anew, "
                "passcodes and the codes on printed slips are lost."
            )
        )
    if lacking := list(_lacking(manifest.marks, unpacked)):
        raise Refused(
            _(
                "%(what)s of this machine is not what the backup was made with: give "
                "it as the old machine’s environment did, or take it out of this "
                "one’s; or take --new-keys, and lose what it opens."
            )
            % {"what": ", ".join(lacking)}
        )


def _lacking(marks: Marks, unpacked: Path) -> Iterator[str]:
    """The names of keys that would be in force here, and open nothing."""
    secrets = [settings.SECRET_KEY]
    if not key_files.is_overruled(key_files.SECRET):
        secrets = _of(unpacked, key_files.SECRET) or secrets
    if key_files.mark_of(secrets[0]) != marks.secret:
        yield "SECRET_KEY"
    fields = settings.FIELD_KEYS or _of(unpacked, key_files.FIELDS)
    marked = {key_files.mark_of(key) for key in fields or field_keys.kept()}
    if not set(marks.fields) <= marked:
        yield "COLDRAIL_FIELD_KEYS"


def _of(unpacked: Path, name: str) -> list[str]:
    file = unpacked / "keys" / name
    return file.read_text().split() if file.exists() else []
