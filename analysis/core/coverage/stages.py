"""How far a sample has come."""

from analysis.core.coverage.values import Sample


def has_come_to(sample: Sample, stage: str) -> bool:
    """Tell whether a sample has come to a stage.

    Parameters
    ----------
    sample : Sample
    stage : str
        One of `STAGES`.

    Returns
    -------
    bool
    """
    seen = bool(sample.layers)
    examined = seen or sample.visible or sample.status == "examined"
    under_uv = sample.uv or any(layer.uv for layer in sample.layers)
    mounted = examined or under_uv or sample.mounted or sample.status == "mounted"
    return {"sampled": mounted or sample.status != "planned", "mounted": mounted, "visible": examined, "uv": under_uv}[stage]
