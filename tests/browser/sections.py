"""Pictures of cross-sections made for the browser tests: known layers, a UV picture turned and moved, a grey card; and one at work."""

import io
import math
import re
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from PIL import Image
from playwright.sync_api import Locator, Page, expect
from scipy.ndimage import gaussian_filter

from tests.browser.conftest import api

WIDE, HIGH = 1200, 900
# Wood, then four paints, then resin: colour in visible light, under UV, thickness in px. The foot of the paint is 760 px from the top.
FOOT = 760
PAINTS = (
    ((205, 190, 150), (90, 130, 190), 90),
    ((60, 90, 60), (30, 40, 50), 60),
    ((225, 220, 205), (170, 190, 220), 120),
    ((150, 60, 50), (60, 40, 50), 80),
)
WOOD, RESIN = ((150, 110, 70), (40, 35, 30)), ((52, 52, 52), (14, 14, 18))
SURFACE = FOOT - sum(thick for _, _, thick in PAINTS)
JOB = 90_000
# How the stage was touched before the UV picture was taken: turned by so many degrees about the middle, then moved right and down, px.
STAGE = (1, 8, -5)


def section(uv: bool = False, seed: int = 11) -> Image.Image:
    """Layers that lie level, with the grain of a real section."""
    chance = np.random.default_rng(seed)
    pixels = np.empty((HIGH, WIDE, 3), np.float32)
    pixels[:] = RESIN[uv]
    pixels[FOOT:] = WOOD[uv]
    low = FOOT
    for visible, under, thick in PAINTS:
        pixels[low - thick : low] = under if uv else visible
        low -= thick
    grains = gaussian_filter(chance.normal(size=(HIGH, WIDE)), 2.2)
    pixels += (grains / grains.std() * 5)[..., None]
    pixels += np.random.default_rng(seed + uv).normal(size=pixels.shape) * 1.5
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))


def with_card(grey: int = 150) -> Image.Image:
    """A section beside which a grey card lies; the light is too red."""
    made = np.asarray(section(), np.float32).copy()
    made[60:200, 60:260] = grey
    made *= np.array((1.08, 1.0, 0.9))
    return Image.fromarray(np.clip(made, 0, 255).astype(np.uint8))


def png(image: Image.Image) -> bytes:
    """The file."""
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=1)
    return out.getvalue()


def turned(image: Image.Image, degrees: float, right: int, down: int) -> Image.Image:
    """As the camera would see it if somebody had touched the stage."""
    return image.rotate(degrees, resample=Image.Resampling.BICUBIC, translate=(right, down), fillcolor=RESIN[1])


def under(x: float, y: float) -> tuple[float, float]:
    """Where the UV picture shows what the visible one shows at (x, y): turned against the clock about the middle, then moved."""
    degrees, right, down = STAGE
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    across, below = x - WIDE / 2, y - HIGH / 2
    return WIDE / 2 + cosine * across + sine * below + right, HIGH / 2 - sine * across + cosine * below + down


def rough(size: int) -> bytes:
    """A picture that cannot be compressed, of about so many bytes."""
    side = math.isqrt(size // 3)
    noise = np.random.default_rng(5).integers(0, 256, (side, side, 3), np.uint8)
    return png(Image.fromarray(noise))


def attach(page: Page, code: str, about: tuple[str, str], content: bytes, name: str, kind: str, **more: Any) -> dict[str, Any]:
    """Put a picture on a record, and wait until it can be shown; with ready=False it is not waited for."""
    wait = more.pop("ready", True)
    cookies = {one["name"]: one["value"] for one in page.context.cookies()}
    answer = page.request.post(
        f"/api/v1/projects/{code}/uploads/",
        multipart={"file": {"name": name, "mimeType": "application/octet-stream", "buffer": content}},
        headers={"X-CSRFToken": cookies.get("csrftoken", "")},
    )
    assert answer.ok, answer.text()
    values = {"about_type": about[0], "about_id": about[1], "upload": answer.json()["id"], "kind": kind, **more}
    made = api(page, "POST", f"projects/{code}/attachments/", values)
    return ready(page, code, made["id"]) if wait else made


def ready(page: Page, code: str, attachment: str) -> dict[str, Any]:
    """Once it has been looked into."""
    for _ in range(JOB // 250):
        row = api(page, "GET", f"projects/{code}/attachments/{attachment}")
        if row["prepared"] != "waiting":
            assert row["prepared"] == "ready", row["refusal"]
            return row
        page.wait_for_timeout(250)
    raise AssertionError("The picture was not looked into.")


class AtThePicture:
    """One picture at work in a page."""

    def __init__(self, page: Page, code: str, attachment: str, query: str = "") -> None:
        self.page, self.code, self.attachment = page, code, attachment
        page.goto(f"/projects/{code}/pictures/{attachment}{query}")
        self.frame = page.locator(".picture").first
        expect(self.frame).to_be_visible(timeout=30_000)
        expect(page.locator(".toolpanel h2").first).to_be_visible()
        self.settled()

    def settled(self) -> None:
        """The picture has come to rest in its frame."""
        self.page.wait_for_timeout(700)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def tool(self, name: str) -> None:
        self.page.get_by_role("navigation", name="Work on this picture").get_by_role("link", name=name).click()

    def at(self, x: float, y: float, frame: Locator | None = None) -> tuple[float, float]:
        """Where a px of the picture is on the screen while all of it is shown."""
        box = (frame or self.frame).bounding_box()
        assert box is not None
        scale = min(box["width"] / WIDE, box["height"] / HIGH)
        return box["x"] + box["width"] / 2 + (x - WIDE / 2) * scale, box["y"] + box["height"] / 2 + (y - HIGH / 2) * scale

    def scale(self) -> float:
        """How many px of the screen one of the picture is while all of it is shown."""
        box = self.frame.bounding_box()
        assert box is not None
        return float(min(box["width"] / WIDE, box["height"] / HIGH))

    def click(self, x: float, y: float, frame: Locator | None = None) -> None:
        self.page.mouse.click(*self.at(x, y, frame))
        self.page.wait_for_timeout(350)

    def points(self) -> list[tuple[float, float]]:
        values = [float(one.input_value()) for one in self.page.locator(".pointlist input").all()]
        return list(zip(values[::2], values[1::2], strict=True))

    def row(self) -> dict[str, Any]:
        row: dict[str, Any] = api(self.page, "GET", f"projects/{self.code}/attachments/{self.attachment}")
        return row

    def lines(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = api(self.page, "GET", f"projects/{self.code}/traverses/?attachment={self.attachment}")["results"]
        return found


def read(layers: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """The layers proper of a line."""
    return [one for one in layers if one["end"] == ""]


def houses(as_: Callable[..., Page]) -> Callable[..., tuple[Page, str, str]]:
    """Makes a project with one sample, on it layers of these colours; the page is its coordinator's."""

    def make(code: str, colours: tuple[str, ...] = (), **options: Any) -> tuple[Page, str, str]:
        page = as_("coordinator", viewport={"width": 1440, "height": 900}, **options)
        api(page, "POST", "projects/", {"code": code, "name": f"The house {code}"})
        for who, role in (("owner", "owner"), ("contractor", "contractor")):
            api(page, "POST", f"projects/{code}/members/", {"username": who, "role": role, "discipline": "other"})
        space = api(page, "POST", f"projects/{code}/spaces/", {"number": "101"})["id"]
        values = {"code": "101-BB", "space": space, "element_class": "baseboard", "substrate": "pine"}
        element = api(page, "POST", f"projects/{code}/elements/", values)["id"]
        sample = api(page, "POST", f"projects/{code}/samples/", {"number": "S-1", "element": element})["id"]
        made = [{"op": "create", "values": {"sample": sample, "kind": "paint", "colour": colour}} for colour in colours]
        if made:
            api(page, "POST", f"projects/{code}/layers/batch", {"operations": made})
        return page, code, sample

    return make


def visible(page: Page, code: str, sample: str, **more: Any) -> dict[str, Any]:
    return attach(page, code, ("sample", sample), png(section()), "S-1.png", "visible micrograph", **more)


def under_uv(page: Page, code: str, sample: str) -> dict[str, Any]:
    return attach(page, code, ("sample", sample), png(turned(section(uv=True), *STAGE)), "S-1 UV.png", "UV micrograph")


def layers(page: Page, code: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = api(page, "GET", f"projects/{code}/layers/?ordering=position")["results"]
    return found


def draw(work: AtThePicture, *points: tuple[float, float]) -> None:
    work.tool("Layers along a line")
    work.page.get_by_role("button", name=re.compile("Draw (a|another) line")).click()
    for point in points:
        work.click(*point)
    work.page.get_by_role("button", name="Read along this line").click()
    expect(work.page.locator(".readlayers")).to_be_visible(timeout=JOB)


def pressed(work: AtThePicture, *keys: str) -> list[dict[str, Any]]:
    """Keys on the line that is read; then the layers proper, once what was done has come to the service and back."""
    before = work.lines()[0]["version"]
    work.press(*keys)
    for _ in range(120):
        line = work.lines()[0]
        if line["version"] > before:
            break
        work.page.wait_for_timeout(250)
    else:
        raise AssertionError("The boundaries were not saved.")
    expect(work.page.locator(".readlayers > li[data-layer]")).to_have_count(len(read(line["layers"])))
    expect(work.page.get_by_text("Being worked out …")).to_have_count(0)
    return read(line["layers"])


def to_pictures(page: Page, code: str) -> None:
    """To the bench, and with a key to the pictures of a sample that has none."""
    page.goto(f"/projects/{code}/bench/S-1")
    expect(page.locator(".cross .empty")).to_be_focused()
    page.keyboard.press("i")
    expect(page.get_by_label(re.compile("^Choose pictures"))).to_be_visible()


def choose(page: Page, *files: tuple[str, bytes]) -> None:
    given: Any = [{"name": name, "mimeType": "image/png", "buffer": content} for name, content in files]
    page.get_by_label(re.compile("^Choose (pictures|files), or drop them here")).set_input_files(given)
