"""The closed lists of the trade, in the order in which a person would look for them.

Models, the workbook, the interface and the kernels all take their words from here, so that one thing has one name.
The lists are the project's own glossary; where a word is used otherwise by others, the glossary in README wins.
"""

from typing import Final

LAYER_KINDS: Final = (
    "size", "knotting", "filler", "primer", "undercoat", "graining ground", "paint", "stain", "glaze", "varnish",
    "limewash", "distemper", "casein", "emulsion", "metal leaf", "bronze powder", "paste", "paper", "plaster skim",
    "soiling", "residue", "void", "unknown",
)  # fmt: skip
COMPLETENESS: Final = ("present", "trace", "worn", "not reached", "lost in cutting")
LOWER_BOUNDARIES: Final = ("sharp", "fused", "soiled", "weathered", "cracked", "scraped or scorched", "unclear")
BASE_STATES: Final = ("complete", "stripped", "detached", "not reached", "unknown")
TOP_STATES: Final = ("complete", "lost", "unknown")
UV_STRENGTHS: Final = ("none", "weak", "moderate", "strong")
MUNSELL_BASES: Final = ("exact chip", "between chips", "measured")
SAMPLE_STATUSES: Final = ("planned", "taken", "mounted", "examined", "set aside")
SPACE_KINDS: Final = ("room", "passage", "stair", "exterior")
RULING_KINDS: Final = ("tie", "bar", "hold")
DISCIPLINES: Final = (
    "paint conservation", "architectural history", "archaeology", "architecture", "structural engineering",
    "materials science", "ownership", "contracting", "other",
)  # fmt: skip
EVIDENCE_KINDS: Final = (
    "document", "photograph", "drawing", "inscription", "tree-ring date", "construction detail", "hardware", "material",
    "oral account", "other",
)  # fmt: skip
RELATIONS: Final = ("made in", "made after", "made before", "between")
CERTAINTIES: Final = ("firm", "likely", "tentative")
REVIEW_STATES: Final = ("working", "for comment", "agreed", "disputed", "superseded")
QUESTION_STATES: Final = ("open", "answered", "withdrawn")
ISSUE_PURPOSES: Final = ("for comment", "for pricing", "for work")
PICTURE_KINDS: Final = ("visible micrograph", "UV micrograph", "photograph", "document")
# How the scale of a picture or of a microscope is known.
SCALE_SOURCES: Final = ("stage micrometer", "microscope", "stated")
REGISTRATION_METHODS: Final = ("features", "phase correlation", "points")
ROLES: Final = ("coordinator", "consultant", "owner", "contractor")

# Other ways of writing a word of a closed list that mean just that word.
SYNONYMS: Final = {"scraped": "scraped or scorched", "scorched": "scraped or scorched", "filled crack": "cracked"}

# A project's own list of element classes starts with these; a coordinator may add to it.
ELEMENT_CLASSES: Final = (
    "baseboard", "wainscot", "dado", "chair rail", "wall", "picture rail", "frieze", "cornice", "ceiling", "ceiling rose",
    "door leaf", "door casing", "door frame", "overdoor", "window sash", "window casing", "window frame", "window seat",
    "shutter", "mantel", "cupboard", "shelf", "panelling", "column", "pilaster", "arch", "bracket", "floor",
    "stair string", "stair riser", "tread", "baluster", "handrail", "newel", "railing", "grille", "radiator", "pipe",
    "fascia", "soffit", "cladding", "masonry", "fence", "gate", "furniture", "other",
)  # fmt: skip
