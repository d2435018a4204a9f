"""Opens a picture in a process of its own, which may use so much memory, time and disk and no more. Run by path, not imported.

The one argument is JSON: `deed` ('prepare' or 'pixels'), `source` (a path), `kind` (its media type), `out` (a folder, or a file), and for
pixels `box` and `most`. Standard output is JSON, a value a line: {"percent": …} now and then, at last {"made": …} or {"failed": why}.
"""

import json
import logging
import os
import sys
from typing import Any

MEMORY = 2_560 * 1024 * 1024
SECONDS = 600
LARGEST_FILE = 4 * 1024 * 1024 * 1024
TILE, QUALITY, THUMBNAIL = 512, 90, 320
# Of 8 bits: a picture of 16 bits that stays below uses the lowest 12 of them (15, and what JPEG overshoots), not 13 (31).
DARK = 24
# What the JPEG library says, and paints grey what is missing, where such data lie in a TIFF.
BROKEN = ("Corrupt JPEG data", "Premature end of JPEG")


def limit() -> None:
    """Cap this process's memory, time and files, where the system can."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 5))
    resource.setrlimit(resource.RLIMIT_FSIZE, (LARGEST_FILE, LARGEST_FILE))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def say(**told: Any) -> None:
    """Write one line."""
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()


def main() -> int:
    """Do what is asked; 0 if it was done, 3 (and a last line {"failed": why}) if it cannot be, 4 for want of memory."""
    limit()
    asked = json.loads(sys.argv[1])
    import pyvips

    pyvips.block_untrusted_set(True)
    pyvips.cache_set_max(0)
    logging.getLogger("pyvips").addHandler(HEARD)
    try:
        say(made={"prepare": prepare, "pixels": pixels}[asked["deed"]](asked))
    except MemoryError:
        return 4
    except Exception as error:  # whatever a decoder makes of a broken file is one refusal
        if "memory" in str(error).lower():
            return 4
        say(failed=f"{type(error).__name__}: {error}"[:500])
        return 3
    return 0


class Heard(logging.Handler):
    """Hears what the libraries only warn of; of a TIFF they warn of much that does no harm (entries that a camera added)."""

    broken = ""

    def emit(self, record: logging.LogRecord) -> None:
        """Keep what tells of data that are missing."""
        if any(words in record.getMessage() for words in BROKEN):
            self.broken = record.getMessage()


HEARD = Heard()


def refuse_broken(asked: dict[str, Any]) -> None:
    """Fail for a TIFF of which part was painted grey or left black without a failure. To be asked right after all of it was read."""
    from pyvips import ffi, vips_lib

    # Of a tile that cannot be unpacked it is only noted here.
    noted = ffi.string(vips_lib.vips_error_buffer()).decode(errors="replace")
    if asked["kind"] == "image/tiff" and (HEARD.broken or noted):
        raise ValueError(HEARD.broken or noted)


def loaded(asked: dict[str, Any], access: str) -> Any:
    """The picture by the one loader of its kind; only the first of several pages."""
    import pyvips

    load = {"image/tiff": pyvips.Image.tiffload, "image/png": pyvips.Image.pngload, "image/jpeg": pyvips.Image.jpegload}[asked["kind"]]
    # Of a JPEG that breaks off its decoder only warns, and paints the rest grey; of a TIFF it warns of entries that a camera added.
    return load(asked["source"], access=access, fail_on="warning" if asked["kind"] == "image/jpeg" else "error")


def opened(asked: dict[str, Any], *, deep: bool) -> tuple[Any, list[str]]:
    """The picture turned as its camera says, in sRGB or grey, without transparency; and what there is to say of that."""
    image = loaded(asked, "sequential")
    if image.get_typeof("orientation") and image.get("orientation") != 1:
        # Turning needs any row at any time.
        image = loaded(asked, "random").autorot()
    image, remarks = in_srgb(image, deep=deep)
    if image.hasalpha():
        image = image.flatten(background=65_535 if image.format == "ushort" else 255)
    image = image.extract_band(0, n=3) if image.bands > 3 else image.extract_band(0) if image.bands == 2 else image
    return image, remarks


def in_srgb(image: Any, *, deep: bool) -> tuple[Any, list[str]]:
    """The colours coded as sRGB, 16 bits a channel where the file has as many and they are wanted (deep), else 8."""
    import pyvips

    remarks = []
    sixteen = deep and image.format == "ushort"
    if image.get_typeof("icc-profile-data") and not named_srgb(bytes(image.get("icc-profile-data"))):
        try:
            image = image.icc_transform("srgb", embedded=True, intent="relative", depth=16 if sixteen else 8)
            remarks.append("Its colours were converted from its own colour profile to sRGB.")
        except pyvips.Error:
            remarks.append("Its colour profile cannot be read, so its colours were taken for sRGB.")
    grey = image.interpretation in ("b-w", "grey16") or image.bands < 3
    wanted = ("grey16" if grey else "rgb16") if sixteen else ("b-w" if grey else "srgb")
    return (image if image.interpretation == wanted else image.colourspace(wanted)), remarks


def named_srgb(profile: bytes) -> bool:
    """Whether a profile calls itself sRGB (in its description, as ASCII or as UTF-16)."""
    return b"sRGB" in profile or "sRGB".encode("utf-16-be") in profile


def watched(image: Any) -> Any:
    """The picture, which says how far it is while it is worked through."""
    last = -5

    def tell(_image: Any, progress: Any) -> None:
        nonlocal last
        if progress.percent >= last + 5:
            last = progress.percent
            say(percent=last)

    image.set_progress(True)
    image.signal_connect("eval", tell)
    return image


def prepare(asked: dict[str, Any]) -> dict[str, Any]:
    """Cut the picture into tiles of halving sizes, and make a small one; nothing but pixels goes into them."""
    import pyvips

    image, remarks = opened(asked, deep=False)
    tiles = os.path.join(asked["out"], "tiles")
    watched(image).dzsave(
        tiles, layout="dz", depth="onepixel", tile_size=TILE, overlap=0, suffix=f".jpg[Q={QUALITY}]", keep="none", skip_blanks=-1
    )
    refuse_broken(asked)
    level = max(image.width, image.height, 1)
    whole = min((level - 1).bit_length(), (TILE - 1).bit_length())
    small = pyvips.Image.jpegload(os.path.join(f"{tiles}_files", str(whole), "0_0.jpg"))
    if asked["bits"] == 16 and small.max() < DARK:
        remarks.append("It uses only the lowest part of its 16 bits, so it looks dark.")
    shrink = min(1.0, THUMBNAIL / max(small.width, small.height))
    small = small.resize(shrink) if shrink < 1 else small
    small.jpegsave(os.path.join(asked["out"], "thumbnail.jpg"), Q=QUALITY, keep="none")
    return {"width": image.width, "height": image.height, "remarks": remarks}


def pixels(asked: dict[str, Any]) -> dict[str, Any]:
    """Write a region as raw samples, three channels a pixel, reduced where it is longer than wished."""
    image, _ = opened(asked, deep=True)
    left, top, wide, high = asked["box"] or (0, 0, image.width, image.height)
    right, below = min(left + wide, image.width), min(top + high, image.height)
    left, top = max(left, 0), max(top, 0)
    if right <= left or below <= top:
        return {"width": 0, "height": 0, "box": [left, top, 0, 0]}
    box = [left, top, right - left, below - top]
    form = image.format
    image = image.crop(*box)
    scale = min(1.0, asked["most"] / max(box[2:])) if asked["most"] else 1.0
    if scale < 1:
        image = image.resize(scale).cast(form)
    if image.bands == 1:
        image = image.bandjoin([image, image])
    watched(image).rawsave(asked["out"])
    refuse_broken(asked)
    return {"width": image.width, "height": image.height, "deep": image.format == "ushort", "box": box}


if __name__ == "__main__":
    sys.exit(main())
