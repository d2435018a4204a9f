"""What 'as of' is given beside elements, and what it answers, as plain values."""

from dataclasses import dataclass
from typing import Final

from analysis.core.dating import YearDistribution
from analysis.core.elements import Lab

FOUND: Final = "found"
NO_EVIDENCE: Final = "no evidence"


@dataclass(frozen=True, slots=True)
class Generation:
    """A generation of a space, with what is known of its year.

    Parameters
    ----------
    ordinal : int
        1 = oldest; unique in its space.
    label, technique : str
        As recorded; empty means not recorded.
    phase : int, optional
        Ordinal of its phase; None means that nobody has said.
    earliest, latest : int, optional
        Bounds of its year, inclusive; None means open.
    distribution : YearDistribution, optional
        None where its space could not be dated.
    """

    ordinal: int
    label: str = ""
    technique: str = ""
    phase: int | None = None
    earliest: int | None = None
    latest: int | None = None
    distribution: YearDistribution | None = None


@dataclass(frozen=True, slots=True)
class PhaseEnd:
    """The end of a phase, as a time to ask for.

    Parameters
    ----------
    ordinal : int
    latest : int, optional
        The last year of the phase; None means that nobody has said.
    name : str
        As people call it, 'phase 2'.
    """

    ordinal: int
    latest: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Colour:
    """The colour of a finish: one of its readings, not their average.

    Parameters
    ----------
    layer : str
        Key of the layer whose reading it is; empty when nothing but words was recorded.
    munsell : str
        Its notation as recorded, or the nearest to what was measured; empty where there is neither.
    nearest : bool
        Whether `munsell` is the nearest notation to a measurement.
    lab : tuple of three floats, optional
        CIE L*a*b*, D65, 2° observer.
    srgb : str
        Screen colour '#rrggbb' for orientation; empty without `lab`.
    in_gamut : bool
        False if a screen cannot show it and `srgb` is the nearest of less chroma.
    spread : float
        ΔE00 from it to the reading furthest from it; 0 for a single reading.
    readings : int
        How many layers with a colour it was chosen from.
    named : str
        The commonest colour word of the layers that show it.
    first_colour : str
        Of `layer`: the colour as first applied, if somebody reasoned it.
    """

    layer: str
    munsell: str
    nearest: bool
    lab: Lab | None
    srgb: str
    in_gamut: bool
    spread: float
    readings: int
    named: str
    first_colour: str


@dataclass(frozen=True, slots=True)
class FinishLayer:
    """The layers of one kind in a finish.

    Parameters
    ----------
    kind : str
        From `analysis.core.vocabulary.LAYER_KINDS`.
    coats : int
        Most layers of the kind in any one sample.
    layers, samples : tuple of str
        Keys of the layers, and of the samples that show any.
    colour : Colour, optional
    """

    kind: str
    coats: int
    layers: tuple[str, ...]
    samples: tuple[str, ...]
    colour: Colour | None


@dataclass(frozen=True, slots=True)
class Finish:
    """What one campaign left on one element that was meant to be seen.

    Parameters
    ----------
    technique : str
        From the layers, as 'paint, glazed, varnished'; empty when nothing of it is left.
    recorded_technique : str
        What the record says of the campaign as a whole.
    layers : tuple of FinishLayer
        Lowest first; empty when only preparation is left.
    leaf : str
        Metal leaf or bronze powder, as 'metal leaf, gold (1 of 3 samples)'; empty without.
    sheen : str
        As recorded on the uppermost layers, commonest first; empty when nobody did.
    colour : Colour, optional
    confidence : float, optional
        Mean probability that the cited layers belong to the campaign; None when none was computed.
    samples, cited : tuple of str
        Keys of the samples, and of the layers, that it stands on.
    doubts : tuple of str
        Full sentences.
    """

    technique: str
    recorded_technique: str
    layers: tuple[FinishLayer, ...]
    leaf: str
    sheen: str
    colour: Colour | None
    confidence: float | None
    samples: tuple[str, ...]
    cited: tuple[str, ...]
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A generation that may have been in force.

    Parameters
    ----------
    ordinal : int, optional
        None: nothing that is recorded had been painted yet.
    probability : float, optional
        0 to 1; None where dates do not say.
    finish : Finish, optional
        None for nothing yet.
    """

    ordinal: int | None
    probability: float | None
    finish: Finish | None


@dataclass(frozen=True, slots=True)
class ElementAsOf:
    """The answer for one element.

    Parameters
    ----------
    element, space, element_class, substrate : str
    state : {'found', 'no evidence'}
    in_force : Candidate, optional
        The likeliest; None when there is no evidence.
    alternatives : tuple of Candidate
        Likeliest first; those below half a per cent are left out.
    certainty : str
        In words, from the probability of `in_force`.
    samples : tuple of str
        Of the element, whether or not they show the finish.
    doubts : tuple of str
        Full sentences, those of the finish included.
    sentence : str
        The whole in plain words.
    """

    element: str
    space: str
    element_class: str
    substrate: str
    state: str
    in_force: Candidate | None
    alternatives: tuple[Candidate, ...]
    certainty: str
    samples: tuple[str, ...]
    doubts: tuple[str, ...]
    sentence: str


def certainty_word(probability: float | None) -> str:
    """Say a probability in words.

    Parameters
    ----------
    probability : float, optional
        0 to 1.

    Returns
    -------
    str
        'surely' from 0.95, 'very likely' from 0.8, 'likely' from 0.5, 'perhaps' below; 'undated' for None.
    """
    if probability is None:
        return "undated"
    if probability >= 0.95:
        return "surely"
    if probability >= 0.8:
        return "very likely"
    return "likely" if probability >= 0.5 else "perhaps"
