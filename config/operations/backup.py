"""A whole installation in one file, taken while people work, and put back.

The file is a tar of `manifest.json`, the database (`database.sqlite3` by SQLite's own backup interface, or `database.dump` by pg_dump:
either is one moment), and all files, in this order. The database comes first: a file is kept before the row that names it, and never
altered, so that whatever the database names is there. The manifest holds the SHA-256 of every part, compared before anything is put back.
"""

import contextlib
import hashlib
import json
import os
import shutil
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.loader import MigrationLoader

FORMAT: Final = "undercoat-backup-1"
MANIFEST: Final = "manifest.json"
HIDDEN: Final = ".undercoat-restore-"
# In such a folder, what lay in the folder for files before; it is there only while a restore exchanges them.
ASIDE: Final = "aside"
# Parts of files on their way, and what /ready writes to see whether it can.
PASSING: Final = ("sendings", "ready")
# All of the database, whatever version of the program it is of: what is put back may be of an earlier one.
EMPTY: Final = """
DO $$ DECLARE found record; BEGIN
  FOR found IN SELECT tablename FROM pg_tables WHERE schemaname = current_schema() LOOP
    EXECUTE format('DROP TABLE IF EXISTS %I CASCADE', found.tablename);
  END LOOP;
END $$;
"""
BLOCK: Final = 1 << 20
TRIES: Final = 3


class Refused(Exception):
    """The backup cannot be made or put back; the text says why."""


def reason(error: OSError) -> str:
    """Why a disk did not do what it must, and where."""
    return f"{error.strerror or error}{f' ({error.filename})' if error.filename else ''}"


def make(out: Path) -> dict[str, Any]:
    """Write a backup to a file that must not exist yet, which bears its name when it has been read through; answer its manifest."""
    if out.exists():
        raise Refused(f"{out} exists already. Name another file: a backup is never overwritten.")
    if not out.absolute().parent.is_dir():
        raise Refused(f"There is no folder {out.parent}. Make it first.")
    for _ in range(TRIES):
        # What is made of pictures goes when they are made anew, and may do so between the list and the reading.
        with contextlib.suppress(FileNotFoundError):
            return _make(out)
    raise Refused("Files go faster than they can be read. Try again when fewer pictures are being made ready.")


def _make(out: Path) -> dict[str, Any]:
    with tempfile.TemporaryDirectory(dir=out.parent, prefix=".undercoat-backup-") as folder:
        database = _dump(Path(folder))
        parts = [(database.name, database), *_files()]
        manifest = {
            "format": FORMAT,
            "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
            "vendor": connection.vendor,
            "files": f"elsewhere: {settings.S3_BUCKET}" if settings.S3_BUCKET else "here",
            "migrations": sorted(f"{app}.{name}" for app, name in MigrationLoader(connection).applied_migrations),
            "parts": {name: {"size": path.stat().st_size, "sha256": _digest(path)} for name, path in parts},
        }
        half = Path(folder) / out.name
        with tarfile.open(half, "w") as archive:
            told = Path(folder) / MANIFEST
            told.write_text(json.dumps(manifest, indent=1), encoding="utf-8")
            for name, path in [(MANIFEST, told), *parts]:
                archive.add(path, arcname=name, recursive=False)
        half.chmod(0o600)
        with half.open("rb") as handle:
            os.fsync(handle.fileno())
        verify(half)
        os.replace(half, out)
    return manifest


def verify(source: Path) -> dict[str, Any]:
    """Read a backup through and compare every part with its digest; answer the manifest."""
    with _opened(source) as archive:
        manifest = _manifest(archive)
        met = {}
        for member in archive:
            if member.name != MANIFEST:
                _safe(member)
                met[member.name] = _digest_of(archive.extractfile(member))
        for name, told in manifest["parts"].items():
            if met.pop(name, None) != told["sha256"]:
                raise Refused(f"{source.name} is damaged: {name} is not what it was. Take another backup.")
        if met:
            raise Refused(f"{source.name} holds what its list does not name: {next(iter(met))}.")
    return manifest


def put_back(source: Path, *, replace: bool = False) -> dict[str, Any]:
    """Verify a backup, then put its database and files in the place of this installation's; answer the manifest.

    Nothing else may run on the installation. An installation that holds projects is refused unless `replace` says so.
    """
    manifest = verify(source)
    if manifest["vendor"] != connection.vendor:
        raise Refused(f"This backup is of {manifest['vendor']}, and DATABASE_URL names {connection.vendor}. Put it back on the same kind.")
    unknown = set(manifest["migrations"]) - {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    if unknown:
        raise Refused(f"This backup is of a later version of the program (it has {min(unknown)}). Install that version first.")
    if not replace and _holds_projects():
        raise Refused("There are projects here already. Say --replace to put the backup in their place, or name an empty installation.")
    # The first backups did not say: there were no buckets yet.
    _files_fit(str(manifest.get("files", "here")))
    _refuse_beside_others()
    media = Path(settings.MEDIA_ROOT)
    media.mkdir(parents=True, exist_ok=True)
    # Within the folder for files, which may be a disk of its own.
    with tempfile.TemporaryDirectory(dir=media, prefix=HIDDEN) as folder:
        with _opened(source) as archive:
            archive.extractall(folder, filter="data")
        database = next(path for path in Path(folder).iterdir() if path.name.startswith("database."))
        # The files first: a database that names files which are not there yet would be the worse half.
        with _exchanged(media, Path(folder)):
            _load(database)
    for left in media.glob(f"{HIDDEN}*"):
        # Of restores that were killed: what was in the place of which this has come.
        shutil.rmtree(left)
    return manifest


def interrupted(media: Path) -> list[Path]:
    """What restores have left that were killed while they exchanged files: whatever lies there is missing from the folder for files."""
    return sorted(path for path in media.glob(f"{HIDDEN}*") if (path / ASIDE).is_dir())


def _refuse_beside_others() -> None:
    """Refuse where somebody else has the database open: what he reads, and what he then writes, would be of two installations."""
    if connection.vendor == "sqlite":
        connection.close()
        others = _is_open(Path(connection.settings_dict["NAME"]))
    else:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() "
                "AND usename = current_user AND backend_type = 'client backend'"
            )
            (others,) = cursor.fetchone()
    if others:
        raise Refused(
            "The database is open to another program. Stop all of Undercoat on every machine (and a pooler between), then try again."
        )


def _files_fit(lie: str) -> None:
    """Refuse a backup whose files would not be where this installation looks for them."""
    bucket = lie.partition("elsewhere: ")[2]
    if bucket and not settings.S3_BUCKET:
        raise Refused(
            f"The files of this backup lie in the bucket {bucket}, and here they would be missing. Name it by UNDERCOAT_S3_BUCKET."
        )
    if not bucket and settings.S3_BUCKET:
        raise Refused(
            f"This backup holds its files, and this installation looks for files in the bucket {settings.S3_BUCKET}. "
            "Put it back without UNDERCOAT_S3_BUCKET, then copy the folder for files into the bucket."
        )


@contextlib.contextmanager
def _exchanged(media: Path, folder: Path) -> Iterator[None]:
    """Put what lies in `folder`/files in the place of all that lies in `media`; back again, if what is done with it fails.

    The folder for files itself stays: it may be where a disk or a share is mounted, and such a folder cannot be renamed.
    """
    aside, brought = folder / ASIDE, folder / "files"
    for one in (aside, brought):
        one.mkdir(exist_ok=True)
    try:
        _move_all(media, aside)
    except BaseException:
        _move_all(aside, media)
        raise
    try:
        _move_all(brought, media)
        yield
    except BaseException:
        _move_all(media, brought)
        _move_all(aside, media)
        raise


def _move_all(source: Path, target: Path) -> None:
    for path in list(source.iterdir()):
        if not path.name.startswith(HIDDEN):
            os.replace(path, target / path.name)


# -- the database -----------------------------------------------------------------------------------------------------------


def _dump(folder: Path) -> Path:
    if connection.vendor == "sqlite":
        import sqlite3  # the one that Django uses: config.sqlite has put it in place

        target = folder / "database.sqlite3"
        connection.ensure_connection()
        with contextlib.closing(sqlite3.connect(target)) as copy:
            connection.connection.backup(copy)
        return target
    target = folder / "database.dump"
    _run(["pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={target}"])
    return target


def _load(database: Path) -> None:
    connection.close()
    if connection.vendor == "sqlite":
        _look_at(database)
        _put_in_place(database, Path(connection.settings_dict["NAME"]))
    else:
        empty, script = database.with_name("empty.sql"), database.with_name("database.sql")
        empty.write_text(EMPTY, encoding="ascii")
        _run(["pg_restore", "--no-owner", "--no-privileges", f"--file={script}", str(database)])
        told = ["--no-psqlrc", "--quiet", "--single-transaction", "--set=ON_ERROR_STOP=1", "--output=/dev/null"]
        _run(["psql", *told, f"--file={empty}", f"--file={script}"])
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM surveys_project")


def _is_open(database: Path) -> bool:
    """Whether another program has a SQLite database open. One that is damaged is not: it is to be replaced all the more."""
    import sqlite3  # the one that Django uses: config.sqlite has put it in place

    if not database.exists():
        return False
    try:
        with contextlib.closing(sqlite3.connect(database)) as found:
            # Only who is alone may leave the write-ahead log; what is in it goes into the database, so that nothing hangs on that file.
            found.execute("PRAGMA journal_mode=DELETE").fetchone()
    except sqlite3.DatabaseError as error:
        return "locked" in str(error)
    return False


def _look_at(database: Path) -> None:
    """Refuse a SQLite database that is damaged, before it takes the place of one that may be whole."""
    import sqlite3  # the one that Django uses: config.sqlite has put it in place

    with contextlib.closing(sqlite3.connect(database)) as found:
        try:
            whole = found.execute("PRAGMA integrity_check").fetchone() == ("ok",) and found.execute("SELECT 1 FROM surveys_project LIMIT 1")
        except sqlite3.DatabaseError:
            whole = False
    if not whole:
        raise Refused("SQLite finds the database of the backup damaged: it was so when it was saved. Take another backup.")


def _put_in_place(database: Path, place: Path) -> None:
    """Put a SQLite database in the place of another, which may lie on another disk; all of it, or nothing."""
    half = place.with_name(f".{place.name}.half")
    try:
        shutil.copyfile(database, half)
        half.chmod(0o600)
        with half.open("rb") as handle:
            os.fsync(handle.fileno())
        for tail in ("-wal", "-shm"):
            place.with_name(place.name + tail).unlink(missing_ok=True)
        os.replace(half, place)
    finally:
        half.unlink(missing_ok=True)


def _run(command: list[str]) -> None:
    """Run a tool of PostgreSQL on the configured database; the password goes by the environment, never on the command line."""
    told = connection.settings_dict
    names = {"PGHOST": told["HOST"], "PGPORT": str(told["PORT"] or ""), "PGUSER": told["USER"], "PGPASSWORD": told["PASSWORD"]}
    # The tool's own surroundings go along (where it lies); settings are still read in one place.
    given = {**os.environ, **{name: value for name, value in names.items() if value}, "PGDATABASE": told["NAME"]}
    try:
        done = subprocess.run(command, env=given, capture_output=True, text=True, check=False)  # noqa: S603
    except FileNotFoundError:
        raise Refused(f"{command[0]} is missing on this machine. Install PostgreSQL's client tools (postgresql-client).") from None
    if done.returncode:
        raise Refused(f"{command[0]} failed: {done.stderr.strip().splitlines()[-1] if done.stderr.strip() else 'it gave no reason'}")


def _holds_projects() -> bool:
    """Whether there is something that would be lost. What cannot be read may be in order again elsewhere, so that counts as well."""
    from surveys.models import Project

    try:
        return Project._meta.db_table in connection.introspection.table_names() and Project.objects.exists()
    except OperationalError:
        raise
    except DatabaseError:
        return True


# -- parts ------------------------------------------------------------------------------------------------------------------


def _files() -> list[tuple[str, Path]]:
    """All files that stay; none where they lie in a store elsewhere."""
    media = Path(settings.MEDIA_ROOT)
    found = [] if settings.S3_BUCKET else sorted(path for path in media.rglob("*") if path.is_file())
    told = [(path.relative_to(media), path) for path in found]
    kept = [(name, path) for name, path in told if name.parts[0] not in PASSING and not name.parts[0].startswith(HIDDEN)]
    return [(f"files/{name.as_posix()}", path) for name, path in kept]


@contextlib.contextmanager
def _opened(source: Path) -> Iterator[tarfile.TarFile]:
    damaged = f"{source.name} is no backup of Undercoat, or it is damaged"
    try:
        archive = tarfile.open(source, "r:")  # noqa: SIM115
    except FileNotFoundError:
        raise Refused(f"There is no file {source}.") from None
    except (tarfile.TarError, EOFError) as error:
        raise Refused(f"{damaged} ({error}).") from None
    with archive:
        try:
            yield archive
        except (tarfile.TarError, EOFError) as error:
            raise Refused(f"{damaged} ({error}).") from None


def _manifest(archive: tarfile.TarFile) -> dict[str, Any]:
    first = archive.next()
    handle = archive.extractfile(first) if first is not None and first.name == MANIFEST and first.isfile() else None
    if handle is None:
        raise Refused("This is no backup of Undercoat: it does not begin with its list.")
    try:
        manifest: dict[str, Any] = json.loads(handle.read())
    except ValueError:
        raise Refused("The list of this backup cannot be read: the file is damaged.") from None
    if manifest.get("format") != FORMAT:
        raise Refused(f"This backup is of the form {manifest.get('format')!r}; this version reads {FORMAT!r}.")
    return manifest


def _safe(member: tarfile.TarInfo) -> None:
    known = member.name.startswith("files/") or member.name in ("database.sqlite3", "database.dump")
    if not member.isfile() or not known or ".." in Path(member.name).parts:
        raise Refused(f"This is no backup of Undercoat: it holds {member.name!r}.")


def _digest(path: Path) -> str:
    with path.open("rb") as handle:
        return _digest_of(handle)


def _digest_of(handle: Any) -> str:
    found = hashlib.sha256()
    while block := handle.read(BLOCK):
        found.update(block)
    return found.hexdigest()
