"""What coverage is given and what it answers, as plain values."""

from dataclasses import dataclass
from typing import Final

STAGES: Final = ("sampled", "mounted", "visible", "uv")
"""How far a sample has come, each stage resting on the one before (UV on mounting)."""

KINDS: Final = (
    "conflict",
    "not correlated",
    "out of date",
    "unsampled",
    "one sample",
    "weak joint",
    "low confidence",
    "planned",
    "not mounted",
    "not examined",
    "no UV",
)
"""The kinds of gap; of gaps that would add the same, the earlier kind comes first."""


@dataclass(frozen=True, slots=True)
class Space:
    """A space and how its correlation stands.

    Parameters
    ----------
    number : str
        Its number, unique.
    correlated : bool
        Whether its layers were ever correlated.
    current : bool
        Whether nothing that the correlation read has changed since.
    """

    number: str
    correlated: bool = False
    current: bool = False


@dataclass(frozen=True, slots=True)
class Element:
    """A building part.

    Parameters
    ----------
    space : str
        Number of its space.
    element_class : str
    code : str
        Its code, unique.
    interpreted, agreed : bool
        Whether an interpretation bears on it, on a layer of it, on a generation that it carries, or on its space; and whether one of
        these is agreed. Superseded ones do not count.
    """

    space: str
    element_class: str
    code: str = ""
    interpreted: bool = False
    agreed: bool = False


@dataclass(frozen=True, slots=True)
class Layer:
    """One film of a sample.

    Parameters
    ----------
    generation : str
        Key of its generation; empty while it is not placed.
    confidence : float, optional
        Probability, 0 to 1, that it belongs there; None means not computed.
    held : bool
        Whether a person's ruling put it there, which settles it.
    uv : bool
        Whether anything was written of its response to UV.
    """

    generation: str = ""
    confidence: float | None = None
    held: bool = False
    uv: bool = False


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample and what the register says of how far it has come.

    Parameters
    ----------
    number : str
        Its number, unique.
    space : str
        Number of the space of its element.
    element_class : str
        Class of its element.
    status : str
        'planned', 'taken', 'mounted', 'examined', 'set aside', or empty where nobody said.
    mounted, visible, uv : bool
        Whether the register names a mount, an examination in visible light, one under UV.
    layers : tuple of Layer
    """

    number: str
    space: str
    element_class: str
    status: str = ""
    mounted: bool = False
    visible: bool = False
    uv: bool = False
    layers: tuple[Layer, ...] = ()


@dataclass(frozen=True, slots=True)
class Generation:
    """A generation of a space.

    Parameters
    ----------
    key : str
        Identity, as '101/3'.
    space : str
    ordinal : int
        1 = oldest.
    distinctness : float, optional
        Probability, 0 to 1, that it is another campaign than the one below; None means the oldest, or not computed.
    dated : bool
        Whether records bound its year on both sides.
    """

    key: str
    space: str
    ordinal: int
    distinctness: float | None = None
    dated: bool = False


@dataclass(frozen=True, slots=True)
class Conflict:
    """Records of date that cannot all be true.

    Parameters
    ----------
    sentence : str
    generations : tuple of str
        Keys of the generations to which they leave no year.
    """

    sentence: str
    generations: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """One element class in one space.

    Parameters
    ----------
    space, element_class : str
    elements : int
        How many elements of the class there are.
    planned : tuple of str
        Numbers of samples that are planned and not taken.
    stages : tuple of (str, tuple of str)
        For each of `STAGES` in order, the numbers of the samples that have come so far, sorted.
    layers, placed : int
        How many layers were seen, and how many of them have a generation.
    generations, dated : tuple of str
        Keys of the generations that these layers belong to, and of those of them that are dated, in order.
    interpreted, agreed : tuple of str
        Codes of the elements that are, sorted.
    """

    space: str
    element_class: str
    elements: int
    planned: tuple[str, ...]
    stages: tuple[tuple[str, tuple[str, ...]], ...]
    layers: int
    placed: int
    generations: tuple[str, ...]
    dated: tuple[str, ...]
    interpreted: tuple[str, ...] = ()
    agreed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gap:
    """Something missing, and what filling it would add.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    space : str
        Number of the space; empty for a conflict, which may span several.
    element_class : str
        Only of 'unsampled'.
    names : tuple of str
        The samples or generations at issue; empty where the space or the class says it all.
    gain : float
        About how many layers would come to be known, or be known better: the measure by which gaps are ranked.
    sentence : str
        What is missing.
    reason : str
        Why it would add that much.
    """

    kind: str
    space: str
    element_class: str
    names: tuple[str, ...]
    gain: float
    sentence: str
    reason: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """The answer.

    Parameters
    ----------
    cells : tuple of Cell
        By space in the order given, then by class.
    missing : tuple of Gap
        Most to be gained first.
    """

    cells: tuple[Cell, ...]
    missing: tuple[Gap, ...]
