"""Pictures as the bytes of a file, for a drawing."""

from io import BytesIO

from PIL import Image


def jpeg(picture: Image.Image, quality: int = 92) -> bytes:
    """The bytes of a picture as JPEG, its colours as fine as its lightness; nothing but pixels goes into it."""
    kept = BytesIO()
    picture.save(kept, "JPEG", quality=quality, subsampling=0)
    return kept.getvalue()
