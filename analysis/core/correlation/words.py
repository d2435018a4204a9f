"""Free words made comparable: UV hues, pigments, binders, and a rough colour for a colour word."""

import re
from typing import Final

Lab = tuple[float, float, float]

_HUES: Final = {
    "white": "white", "whitish": "white", "milky": "white", "cream": "white", "creamy": "white",
    "yellow": "yellow", "yellowish": "yellow", "lemon": "yellow",
    "green": "green", "greenish": "green", "blue": "blue", "bluish": "blue", "blueish": "blue",
    "violet": "violet", "purple": "violet", "purplish": "violet", "lilac": "violet",
    "orange": "orange", "orangish": "orange", "pink": "pink", "pinkish": "pink", "red": "red", "reddish": "red",
    "brown": "brown", "brownish": "brown", "grey": "grey", "gray": "grey", "greyish": "grey", "grayish": "grey",
    "dark": "dark", "black": "dark", "none": "dark",
}  # fmt: skip

# From memory and the trade's usual meaning: a starting place for a word, never a match.
_COLOURS: Final[dict[str, Lab]] = {
    "white": (92, 0, 4), "off-white": (89, 0, 8), "cream": (88, 1, 15), "ivory": (89, 0, 13), "buff": (76, 4, 24),
    "stone": (75, 1, 14), "drab": (55, 2, 14), "grey": (60, 0, 0), "gray": (60, 0, 0), "black": (18, 0, 0),
    "brown": (32, 10, 16), "chocolate": (26, 9, 10), "tan": (65, 8, 25), "red": (40, 45, 25), "pink": (75, 20, 8),
    "orange": (62, 38, 50), "yellow": (80, 3, 50), "ochre": (62, 12, 45), "green": (48, -20, 15), "olive": (45, -4, 24),
    "blue": (50, -6, -22), "violet": (45, 18, -22), "purple": (38, 25, -20), "gold": (68, 8, 55), "silver": (75, 0, 1),
    "mahogany": (28, 16, 14), "straw": (83, 1, 28),
}  # fmt: skip
_TONES: Final = {"light": 12.0, "pale": 14.0, "dark": -15.0, "deep": -12.0}


def hues(text: str) -> frozenset[str]:
    """Hue words in a UV colour; words that are no hue count as themselves if there is nothing else."""
    words = re.findall(r"[a-z]+", text.lower())
    found = frozenset(_HUES[word] for word in words if word in _HUES)
    return found or frozenset(words)


def plain(text: str) -> str:
    """A material's name without its manner of identification, case or spare blanks."""
    return " ".join(re.sub(r"\(.*?\)", " ", text.lower()).replace("-", " ").split())


def materials(texts: tuple[str, ...]) -> frozenset[str]:
    """Names of materials, comparable."""
    return frozenset(name for name in (plain(text) for text in texts) if name)


def rough_lab(word: str) -> Lab | None:
    """A rough L*a*b* for a colour word, None if the word is not known."""
    words = re.findall(r"[a-z]+(?:-[a-z]+)?", word.lower())
    bases = [_COLOURS[each] for each in words if each in _COLOURS]
    if not bases:
        bases = [_COLOURS[_HUES[part]] for each in words for part in each.split("-") if part in _HUES and _HUES[part] in _COLOURS]
    if not bases:
        return None
    mean = [sum(base[axis] for base in bases) / len(bases) for axis in range(3)]
    shift = sum(_TONES.get(each, 0.0) for each in words)
    return (min(97.0, max(5.0, mean[0] + shift)), mean[1], mean[2])
