"""Large files on their way, part by part, so that a broken connection costs one part only. Whole, a file is an upload like any other.

Each part is a file of its own until the last is here, so that a store that cannot append (S3) does as well. A sending is its sender's
alone. The row tells how far it is; it is locked while a part is noted, so that of two who send the same part one is noted.
"""

import datetime as dt
import hashlib
import re
import tempfile
import unicodedata
import uuid
from collections.abc import Iterator
from contextlib import suppress
from typing import Final

from django.conf import settings
from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from surveys import access
from surveys.errors import Conflict, Fault, Invalid, NotFound, TooLarge
from surveys.models import Person, Project, Sending, SendingPart, Upload

KEPT: Final = dt.timedelta(days=7)
# Of one person in one project at a time: more are forgotten ones.
MOST_OPEN: Final = 50
CHUNK: Final = 1024 * 1024
_SHA256: Final = re.compile(r"[0-9a-f]{64}")


class OutOfPlace(Conflict):
    """A part that does not begin where the file goes on; `received` says where."""

    def __init__(self, received: int) -> None:
        super().__init__(f"The file goes on at byte {received:,}. Send the part that begins there.", code="out-of-place")
        self.received = received
        self.told = {"received": received}


def plain_name(name: str) -> str:
    """A file's name without folders and without what cannot be printed: it is shown, never used as a path."""
    last = re.split(r"[\\/]", name)[-1]
    kept = "".join(char for char in unicodedata.normalize("NFC", last) if unicodedata.category(char)[0] != "C").strip()[-200:]
    return kept if kept.strip(". ") else "file"


def begin(actor: Person, project: Project, name: str, size: int, sha256: str = "") -> Sending:
    """Announce a file of so many bytes, perhaps with the SHA-256 that it must have when it is here."""
    access.require(actor, project, access.IMPORT)
    if size > settings.SENDING_MAX_BYTES:
        raise TooLarge(f"A file may have at most {settings.SENDING_MAX_BYTES // 1024 // 1024:,} MiB; this one has {size:,} bytes.")
    if size < 1:
        raise Invalid("An empty file cannot be sent.", faults=(Fault("size", "out-of-range", "A file has at least one byte."),))
    digest = sha256.lower()
    if digest and not _SHA256.fullmatch(digest):
        raise Invalid("A SHA-256 is 64 hexadecimal digits.", faults=(Fault("sha256", "invalid", "Write 64 hexadecimal digits."),))
    if Sending.objects.filter(project=project, created_by=actor, upload=None).count() >= MOST_OPEN:
        raise Conflict(f"{MOST_OPEN} files of yours are on their way already. Finish some, or give them up.", code="too-many")
    sending = Sending(project=project, created_by=actor, name=plain_name(name), size=size, sha256=digest)
    sending.save(force_insert=True)
    return sending


def one(actor: Person, project: Project, sending_id: uuid.UUID | str) -> Sending:
    """A person's own sending; anybody else's is not found."""
    access.require(actor, project, access.IMPORT)
    found = Sending.objects.filter(project=project, created_by=actor, pk=sending_id).select_related("upload__created_by").first()
    if found is None:
        raise NotFound(f"There is no such file of yours on its way to {project.code}.")
    return found


def put(actor: Person, project: Project, sending_id: uuid.UUID | str, start: int, content: bytes) -> Sending:
    """Take the part that begins at a byte. One that is here already, just as long, is answered as if it were new."""
    sending = one(actor, project, sending_id)
    _refuse_part(sending, start, len(content))
    if sending.received > start and _is_here(sending, start, len(content)):
        return sending
    if sending.upload_id is not None or sending.received != start:
        raise OutOfPlace(sending.received)
    path = _keep(f"sendings/{sending.pk}/{start}-{uuid.uuid4().hex[:8]}", content)
    try:
        noted = _note(sending, start, len(content), path)
    except BaseException:
        default_storage.delete(path)
        raise
    if not noted:
        default_storage.delete(path)
    return one(actor, project, sending_id)


def _refuse_part(sending: Sending, start: int, size: int) -> None:
    if not size:
        raise Invalid("This part is empty.", code="empty")
    if size > settings.PART_BYTES:
        raise TooLarge(f"A part may have at most {settings.PART_BYTES // 1024 // 1024} MiB.")
    if start + size > sending.size:
        raise Invalid(f"{sending.name} was announced with {sending.size:,} bytes, and this part would end beyond them.", code="too-long")


def _is_here(sending: Sending, start: int, size: int) -> bool:
    return SendingPart.objects.filter(sending=sending, start=start, size=size).exists()


def _keep(path: str, content: bytes) -> str:
    try:
        return default_storage.save(path, ContentFile(content))
    except OSError:
        # Half a part on a full disk is of no use to anybody.
        with suppress(OSError):
            default_storage.delete(path)
        raise


def _note(sending: Sending, start: int, size: int, path: str) -> bool:
    """Put a part down as here; False if the same part came by another way meanwhile."""
    with transaction.atomic():
        locked = Sending.objects.select_for_update().filter(pk=sending.pk).first()
        if locked is None:
            raise NotFound(f"{sending.name} was given up.")
        if locked.received > start and _is_here(locked, start, size):
            return False
        if locked.upload_id is not None or locked.received != start:
            raise OutOfPlace(locked.received)
        SendingPart.objects.create(sending=locked, start=start, size=size, path=path)
        Sending.objects.filter(pk=locked.pk).update(received=start + size, heard_at=timezone.now())
    return True


def finish(actor: Person, project: Project, sending_id: uuid.UUID | str) -> Sending:
    """Join the parts; the whole is an upload. Asked again, it is answered the same. A file that is not what was announced begins anew."""
    sending = one(actor, project, sending_id)
    if sending.upload_id is not None:
        return sending
    if sending.received != sending.size:
        raise Conflict(
            f"{sending.name} is not all here: {sending.received:,} of {sending.size:,} bytes have come. Go on from there.",
            code="incomplete",
        )
    parts = list(SendingPart.objects.filter(sending=sending).order_by("start"))
    with tempfile.TemporaryFile(dir=settings.FILE_UPLOAD_TEMP_DIR) as whole:
        digest = hashlib.sha256()
        for piece in _pieces(parts):
            digest.update(piece)
            whole.write(piece)
        size = whole.tell()
        if size != sending.size or (sending.sha256 and digest.hexdigest() != sending.sha256):
            if not _begin_anew(sending):
                # Another request has joined it meanwhile, and taken the parts away.
                return one(actor, project, sending_id)
            raise Invalid(
                f"{sending.name} did not arrive as it was sent: its SHA-256 is another. Send it again from the beginning.",
                code="not-as-sent",
            )
        whole.seek(0)
        upload = Upload(project=project, created_by=actor, name=sending.name, size=size, sha256=digest.hexdigest())
        path = f"uploads/{upload.pk}.bin"
        try:
            upload.file.name = default_storage.save(path, File(whole))
            kept = _conclude(sending, upload)
        except BaseException:
            with suppress(OSError):
                default_storage.delete(path)
            raise
    if kept:
        _delete(part.path for part in parts)
    else:
        # Another request has joined it meanwhile.
        default_storage.delete(path)
    return one(actor, project, sending_id)


def _pieces(parts: list[SendingPart]) -> Iterator[bytes]:
    for part in parts:
        try:
            with default_storage.open(part.path) as kept:
                while piece := kept.read(CHUNK):
                    yield piece
        except FileNotFoundError:
            # Given up, or joined by another request meanwhile: what is left is not the whole, and says so by its size.
            return


def _conclude(sending: Sending, upload: Upload) -> bool:
    """The sending is this upload from now on; False if it is another already."""
    with transaction.atomic():
        locked = Sending.objects.select_for_update().filter(pk=sending.pk).first()
        if locked is None:
            raise NotFound(f"{sending.name} was given up.")
        if locked.upload_id is not None:
            return False
        upload.save(force_insert=True)
        SendingPart.objects.filter(sending=locked).delete()
        Sending.objects.filter(pk=locked.pk).update(upload=upload, heard_at=timezone.now())
    return True


def _begin_anew(sending: Sending) -> bool:
    """Forget the parts; the sending itself stays, so that it may be tried again. False where it is an upload already, or was given up."""
    with transaction.atomic():
        locked = Sending.objects.select_for_update().filter(pk=sending.pk, upload=None).first()
        if locked is None:
            return False
        paths = list(SendingPart.objects.filter(sending=locked).values_list("path", flat=True))
        SendingPart.objects.filter(sending=locked).delete()
        Sending.objects.filter(pk=locked.pk).update(received=0, heard_at=timezone.now())
    _delete(paths)
    return True


def give_up(actor: Person, project: Project, sending_id: uuid.UUID | str) -> None:
    """Forget a file on its way. One that is whole stays an upload."""
    _forget(one(actor, project, sending_id))


def forget_old() -> int:
    """Forget what nobody has sent a part of for a week, and parts that no sending names; answer how many sendings."""
    old = list(Sending.objects.filter(heard_at__lt=timezone.now() - KEPT))
    for sending in old:
        _forget(sending)
    _forget_unnamed()
    return len(old)


def _forget_unnamed() -> None:
    """Delete the folders of sendings that are no more: who died between keeping a part and noting it has left it there."""
    try:
        folders, _ = default_storage.listdir("sendings")
    except (FileNotFoundError, NotImplementedError):
        return
    # Told after the folders: a sending is there before its folder is.
    standing = {str(pk) for pk in Sending.objects.values_list("pk", flat=True)}
    for name in set(folders) - standing:
        _delete(f"sendings/{name}/{part}" for part in default_storage.listdir(f"sendings/{name}")[1])
        _delete([f"sendings/{name}"])


def _forget(sending: Sending) -> None:
    paths = list(SendingPart.objects.filter(sending=sending).values_list("path", flat=True))
    Sending.objects.filter(pk=sending.pk).delete()
    # The folder last; one in which something is left stays until the next tidying.
    _delete([*paths, f"sendings/{sending.pk}"])


def _delete(paths: Iterator[str] | list[str]) -> None:
    for path in paths:
        with suppress(OSError):
            default_storage.delete(path)
