"""What dating is given and what it answers, as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

TARGET_KINDS: Final = ("structure", "phase", "space", "element", "generation")
"""What a statement may bear on, from the whole to the part."""

RECORD_KINDS: Final = ("evidence", "material", "phase", "study")
"""Where a year may come from."""


class DatingError(ValueError):
    """The records cannot be read; the message is a sentence for the person who wrote them."""


# --- given --------------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Generation:
    """A campaign of one space.

    Parameters
    ----------
    key : str
        Identity, unique among all generations given.
    space : str
        Key of its space.
    ordinal : int
        Place in the space, 1 = oldest; unique in the space, gaps allowed.
    phase : str, optional
        Key of the phase to which it belongs; None means that nobody has said.
    label : str
        What a person calls it, as 'generation 4 of space 103'; empty means that this is made from `ordinal` and the space's name.
    """

    key: str
    space: str
    ordinal: int
    phase: str | None = None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Phase:
    """A period of the whole structure.

    Parameters
    ----------
    key : str
        Identity, unique among phases.
    ordinal : int
        Place among the phases, 1 = oldest; unique, gaps allowed.
    earliest, latest : int, optional
        Years (inclusive) within which the phase lies; None means open.
    label : str
        What a person calls it.
    """

    key: str
    ordinal: int
    earliest: int | None = None
    latest: int | None = None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Statement:
    """A piece of evidence that says when something was made.

    Parameters
    ----------
    key : str
        Identity, unique among statements and finds.
    target_kind : {'structure', 'phase', 'space', 'element', 'generation'}
    target : str
        Key of what it bears on; empty for the structure.
    relation : {'made in', 'made after', 'made before', 'between'}
        The table in the package's docstring says what each bounds.
    earliest, latest : int, optional
        Years, inclusive. Where only one is written it stands for both, except for 'between', whose other side is then open.
    certainty : {'firm', 'likely', 'tentative'}
    label : str
        Its reference, as 'E-07'.
    """

    key: str
    target_kind: str
    target: str
    relation: str
    earliest: int | None = None
    latest: int | None = None
    certainty: str = "firm"
    label: str = ""


@dataclass(frozen=True, slots=True)
class MaterialFind:
    """A dated material in a layer of a generation.

    Parameters
    ----------
    key : str
        Identity, unique among statements and finds.
    generation : str
        Key of the generation of the layer.
    material : str
        Its name, as 'chrome yellow'.
    earliest : int, optional
        Earliest credible year of the material; None means known since antiquity, or undated.
    identified : bool
        True when an instrument or test identified it; False when somebody only saw it, which is tentative.
    label : str
        The layer, as 'K-014/3'.
    source : str
        Where the material's year comes from, as `analysis.core.materials.Material.citation` gives it; shown beside the year.
    """

    key: str
    generation: str
    material: str
    earliest: int | None
    identified: bool
    label: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Element:
    """A building part and the generations whose layers were found on it.

    Parameters
    ----------
    key : str
    generations : tuple of str
        Keys of the generations that it carries, in any order.
    label : str
    """

    key: str
    generations: tuple[str, ...]
    label: str = ""


@dataclass(frozen=True, slots=True)
class Study:
    """The years of the structure under study: none of its paint is older than the first or younger than the last.

    Parameters
    ----------
    first, last : int, optional
        Years, inclusive; None means open.
    """

    first: int | None = None
    last: int | None = None


@dataclass(frozen=True, slots=True)
class Records:
    """All that dating rests on. Sequences may be in any order; the answer is the same.

    Parameters
    ----------
    generations : tuple of Generation
    phases : tuple of Phase
    statements : tuple of Statement
    finds : tuple of MaterialFind
    elements : tuple of Element
    study : Study
    space_names : mapping of str to str
        Key of a space to its number or name; a missing one is shown by its key.
    """

    generations: tuple[Generation, ...]
    phases: tuple[Phase, ...] = ()
    statements: tuple[Statement, ...] = ()
    finds: tuple[MaterialFind, ...] = ()
    elements: tuple[Element, ...] = ()
    study: Study = Study()
    space_names: Mapping[str, str] = field(default_factory=dict)


# --- answered -----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Step:
    """One link of the reasoning behind a bound.

    Parameters
    ----------
    kind : str
        One of `RECORD_KINDS` for the record that names the year; 'order in space' or 'order of phases' for a step from it.
    key : str
        Key of the record ('first year', 'last year' for the study); empty for a step of order.
    first, second : str
        Keys of generations: for a record, `first` is the generation that it bounds and `second` is empty; for a step of order,
        `first` is not later than `second`.
    sentence : str
        The step in words, without a full stop.
    """

    kind: str
    key: str
    first: str
    second: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Conflict:
    """The smallest set of records that cannot all be true.

    Parameters
    ----------
    records : tuple of (str, str)
        Kind and key of each dated record at fault: one when a record contradicts itself, else two.
    steps : tuple of Step
        The whole chain in reading order: the record that bounds below, the steps of order, the record that bounds above. Without
        any one of them the rest can be true.
    generations : tuple of str
        Keys of the generations that the records would squeeze to nothing: from the chain's first to its last, by space and number.
    set_aside : tuple of (str, str)
        Those of `records` that bound nothing in this answer.
    sentence : str
    """

    records: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    generations: tuple[str, ...]
    set_aside: tuple[tuple[str, str], ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class DatedGeneration:
    """The tightest bounds of one generation.

    Parameters
    ----------
    key : str
    earliest, latest : int, optional
        Years, inclusive; None means that no record bounds it on that side.
    earliest_by, latest_by : tuple of Step
        The record that names the year, then the steps of order that bring it here; empty where the bound is open.
    conflicts : tuple of int
        Indices into `Dating.conflicts` of those that would leave it no year.
    """

    key: str
    earliest: int | None
    latest: int | None
    earliest_by: tuple[Step, ...]
    latest_by: tuple[Step, ...]
    conflicts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Unused:
    """A record that bounds nothing, and why, so that none is dropped in silence.

    Parameters
    ----------
    kind, key : str
        As in `Step`.
    sentence : str
    """

    kind: str
    key: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Dating:
    """The answer for all generations.

    Parameters
    ----------
    generations : tuple of DatedGeneration
        Sorted by space, then ordinal.
    conflicts : tuple of Conflict
        Shortest first.
    unused : tuple of Unused
        Sorted by kind and key.
    with_tentative : bool
        Whether tentative records were asked to bound as well ('what if').
    """

    generations: tuple[DatedGeneration, ...]
    conflicts: tuple[Conflict, ...]
    unused: tuple[Unused, ...]
    with_tentative: bool
