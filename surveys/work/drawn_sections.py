"""Cross-sections drawn from the record, for the demonstration: what its invented samples might look like in visible and in UV light.

Nothing here was photographed, and nothing is measured on it but what was drawn; every picture says so in its caption.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from analysis.core import colour
from surveys import jobs, records
from surveys.models import Attachment, Layer, Microscope, Person, Project, Sample
from surveys.work import pictures

if TYPE_CHECKING:
    import numpy

WIDTH: Final = 900
UM_PER_PIXEL: Final = 0.8
# Of a film whose thickness nobody noted, and of what is seen below and above the paint, in µm.
USUAL, SUBSTRATE, RESIN = 30.0, 140.0, 60.0
# How the UV picture lies beside the visible one, in px: a stage is touched when the light is changed.
RIGHT, UP = 5, 3
# Of words that describe a glow, the first that is met says its colour (sRGB).
GLOWS: Final = (
    ("dark", (38, 30, 58)), ("black", (20, 16, 30)), ("dull violet", (82, 66, 128)), ("violet", (74, 54, 124)), ("lemon", (206, 204, 92)),
    ("orange", (204, 150, 92)), ("ochre", (150, 116, 60)), ("yellow", (206, 196, 120)), ("cream", (206, 198, 172)),
    ("bluish", (142, 162, 214)), ("milky", (186, 194, 220)), ("white", (190, 196, 214)),
)  # fmt: skip
STRENGTHS: Final = {"none": 0.35, "weak": 0.6, "moderate": 0.85, "strong": 1.1}
# Of films without a notation, by their kind.
KINDS: Final = {
    "soiling": (46, 40, 36), "size": (214, 196, 150), "varnish": (176, 124, 58), "bronze powder": (134, 104, 58),
    "metal leaf": (212, 172, 74), "distemper": (214, 210, 196), "limewash": (232, 230, 222),
}  # fmt: skip
WOOD, WOOD_GLOW, CLEAR, CLEAR_GLOW = (152, 112, 76), (96, 104, 132), (226, 224, 216), (34, 36, 66)


def attach(actor: Person, project: Project, numbers: Sequence[str]) -> list[Attachment]:
    """Draw some samples in both lights, attach what was drawn, and make it ready to be shown."""
    told = {"name": "Bench microscope", "magnification": "200×", "um_per_pixel": UM_PER_PIXEL, "picture_width": WIDTH}
    scope = records.create(actor, project, Microscope, {**told, "notes": "Invented, as everything of this project."})
    made = []
    for place, number in enumerate(numbers):
        sample = Sample.objects.get(project=project, number=number)
        layers = list(Layer.objects.filter(sample=sample).order_by("position"))
        for kind, array in zip(("visible micrograph", "UV micrograph"), draw(layers, seed=place), strict=True):
            upload = jobs.upload(actor, project, f"{number} {kind.split()[0]}, drawn.jpg", _jpeg(array))
            values = {"about_type": "sample", "about_id": str(sample.pk), "upload": str(upload.pk), "kind": kind}
            caption = f"Drawn from the record of {number}, not photographed."
            made.append(records.create(actor, project, Attachment, {**values, "caption": caption, "microscope": str(scope.pk)}))
    for picture in made:
        # Shown at once, without waiting for a worker that may not have been started yet.
        job = jobs.ask(actor, project, "picture", {"attachment": str(picture.pk)})
        jobs.run(str(job.pk), "demonstration", pictures.prepare)
    return made


def draw(layers: Sequence[Any], seed: int) -> "tuple[numpy.ndarray[Any, Any], numpy.ndarray[Any, Any]]":
    """The visible picture and the UV one of a stack, (height, WIDTH, 3) uint8, the substrate at the foot."""
    import numpy

    rng = numpy.random.default_rng(seed)
    thick = [SUBSTRATE, *(one.thickness_um or USUAL for one in layers), RESIN]
    tops = numpy.cumsum(thick)[:-1] / UM_PER_PIXEL
    height = int(sum(thick) / UM_PER_PIXEL)
    across = numpy.arange(WIDTH) / WIDTH * 2 * numpy.pi
    common = 9 * numpy.sin(1.3 * across + rng.uniform(0, 6)) + 4 * numpy.sin(3.1 * across + rng.uniform(0, 6))
    above = height - 1 - numpy.arange(height)[:, None]
    film = numpy.zeros((height, WIDTH), numpy.int16)
    for top, own in zip(tops, thick[1:], strict=True):
        # No wave of its own is as high as the film that lies on it.
        wave = common + min(1.5, own / UM_PER_PIXEL / 6) * numpy.sin(7 * across + rng.uniform(0, 6))
        film += above > top + wave
    seen = numpy.array([WOOD, *(_seen(one) for one in layers), CLEAR], float)
    glow = numpy.array([WOOD_GLOW, *(_glow(one) for one in layers), CLEAR_GLOW], float)
    grain = numpy.kron(rng.normal(0, 3, (height // 3 + 1, WIDTH // 3)), numpy.ones((3, 3)))[:height, :, None]
    moved = numpy.pad(film, ((0, UP), (RIGHT, 0)), mode="edge")[UP:, :WIDTH]

    def photographed(colours: Any) -> Any:
        soft = (colours + numpy.roll(colours, 1, 0) + numpy.roll(colours, 1, 1)) / 3
        return numpy.clip(soft + grain + rng.normal(0, 1.5, soft.shape), 0, 255).astype(numpy.uint8)

    return photographed(seen[film]), photographed(glow[moved])


def _seen(layer: Any) -> tuple[int, int, int]:
    """The colour of a film as a screen shows it: by its notation, else by its kind."""
    if not layer.munsell:
        return KINDS.get(layer.kind, (206, 200, 186))
    try:
        shown = colour.lab_to_srgb(colour.munsell_to_lab(layer.munsell)).hex.lstrip("#")
    except ValueError:
        return KINDS.get(layer.kind, (206, 200, 186))
    return int(shown[:2], 16), int(shown[2:4], 16), int(shown[4:], 16)


def _glow(layer: Any) -> tuple[float, float, float]:
    told = layer.uv_colour.casefold()
    found = next((shown for word, shown in GLOWS if word in told), (96, 92, 120))
    by = STRENGTHS.get(layer.uv_strength, 0.6)
    return found[0] * by, found[1] * by, found[2] * by


def _jpeg(array: Any) -> bytes:
    # Imported here: what draws pictures is no part of the program that only serves.
    from PIL import Image

    from analysis.drawing.rasters import jpeg

    return jpeg(Image.fromarray(array), quality=88)
