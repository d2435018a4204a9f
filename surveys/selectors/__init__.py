"""Every read that is more than one line: of a space's rulings and layers, of what a computation reads, of the chart."""

from surveys.selectors.chart import chart
from surveys.selectors.facts import correlation_digest, correlation_facts, dating_digest, dating_facts, digest_of
from surveys.selectors.materials import cautions_for, material_table
from surveys.selectors.spaces import (
    generation_order,
    layer_ids_by_sample,
    layer_names,
    layers_of_space,
    rulings_of_space,
    space_summaries,
)

__all__ = [
    "cautions_for",
    "chart",
    "correlation_digest",
    "correlation_facts",
    "dating_digest",
    "dating_facts",
    "digest_of",
    "generation_order",
    "layer_ids_by_sample",
    "layer_names",
    "layers_of_space",
    "material_table",
    "rulings_of_space",
    "space_summaries",
]
