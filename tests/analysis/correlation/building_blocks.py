"""Small samples for the tests, written by hand."""

from analysis.core.correlation import Layer, Sample

RED = (40.0, 45.0, 25.0)
GREEN = (48.0, -25.0, 15.0)
BLUE = (50.0, -6.0, -25.0)
YELLOW = (80.0, 3.0, 50.0)
BLACK = (18.0, 0.0, 0.0)
WHITE = (92.0, 0.0, 4.0)
PINK = (75.0, 22.0, 8.0)
BROWN = (32.0, 12.0, 18.0)
COLOURS = (RED, GREEN, BLUE, YELLOW, BLACK, WHITE, PINK, BROWN)


def sample(
    key: str, *colours: tuple[float, float, float], element_class: str = "door casing", base: str = "complete", top: str = "complete"
) -> Sample:
    """A sample of single coats of paint with soiled boundaries: one campaign a layer."""
    layers = tuple(
        Layer(f"{key}/{number}", "paint", lab=colour, lower_boundary="soiled" if number > 1 else "sharp")
        for number, colour in enumerate(colours, start=1)
    )
    return Sample(key, f"E-{key}", element_class, base, top, layers)
