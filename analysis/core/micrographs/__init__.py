"""Micrographs: from the picture of a cross-section to a proposed stack of its layers, for a person to correct."""

from analysis.core.micrographs.boundaries import find_boundaries
from analysis.core.micrographs.calibration import scale_as_stated, scale_from_line, scale_from_microscope
from analysis.core.micrographs.colour import correct_colours, to_lab, uncalibrated
from analysis.core.micrographs.edits import drop_layer, merge_layers, move_boundary, place_boundaries, split_layer, take_end
from analysis.core.micrographs.pictures import Picture
from analysis.core.micrographs.plainly import from_plain, plain
from analysis.core.micrographs.profile import point_at, read_profiles
from analysis.core.micrographs.proposals import Boundary, ConsensusLayer, End, ProposedLayer, Reading, Reconciled
from analysis.core.micrographs.reading import read_line
from analysis.core.micrographs.reconciling import reconcile
from analysis.core.micrographs.registration import doubt_of, register, register_points
from analysis.core.micrographs.targets import TARGETS, target_patches
from analysis.core.micrographs.values import (
    COLOUR_STATUSES,
    ColourCorrection,
    Line,
    MicrographRefused,
    Patch,
    PatchResidual,
    Profile,
    Registration,
    Scale,
)
from analysis.core.versions import MICROGRAPHS as VERSION

__all__ = [
    "COLOUR_STATUSES",
    "TARGETS",
    "VERSION",
    "Boundary",
    "ColourCorrection",
    "ConsensusLayer",
    "End",
    "Line",
    "MicrographRefused",
    "Patch",
    "PatchResidual",
    "Picture",
    "Profile",
    "ProposedLayer",
    "Reading",
    "Reconciled",
    "Registration",
    "Scale",
    "correct_colours",
    "doubt_of",
    "drop_layer",
    "find_boundaries",
    "from_plain",
    "merge_layers",
    "move_boundary",
    "place_boundaries",
    "plain",
    "point_at",
    "read_line",
    "read_profiles",
    "reconcile",
    "register",
    "register_points",
    "scale_as_stated",
    "scale_from_line",
    "scale_from_microscope",
    "split_layer",
    "take_end",
    "target_patches",
    "to_lab",
    "uncalibrated",
]
