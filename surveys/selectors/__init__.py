"""Every read that is more than one line: of a space's rulings and layers, of what a computation reads, of the chart."""

from surveys.selectors.campaigns import generations_by_name, ordinals_by_space, samples_by_space
from surveys.selectors.chart import chart
from surveys.selectors.coverage import distinctness_of_generations, elements_for_coverage, samples_for_coverage, spaces_with_state
from surveys.selectors.facts import correlation_digest, correlation_digests, correlation_facts, dating_digest, dating_facts, digest_of
from surveys.selectors.materials import cautions_for, material_table
from surveys.selectors.moment import one_moment
from surveys.selectors.spaces import (
    distinctness_of_space,
    generation_order,
    layer_ids_by_sample,
    layer_in_place,
    layer_names,
    layers_of_space,
    ordinals_of_layers,
    rulings_of_project,
    rulings_of_space,
    space_summaries,
)
from surveys.selectors.whole import whole_record_digest

__all__ = [
    "cautions_for",
    "chart",
    "correlation_digest",
    "correlation_digests",
    "correlation_facts",
    "dating_digest",
    "dating_facts",
    "digest_of",
    "distinctness_of_generations",
    "distinctness_of_space",
    "elements_for_coverage",
    "generation_order",
    "generations_by_name",
    "layer_ids_by_sample",
    "layer_in_place",
    "layer_names",
    "layers_of_space",
    "material_table",
    "one_moment",
    "ordinals_by_space",
    "ordinals_of_layers",
    "rulings_of_project",
    "rulings_of_space",
    "samples_by_space",
    "samples_for_coverage",
    "space_summaries",
    "spaces_with_state",
    "whole_record_digest",
]
