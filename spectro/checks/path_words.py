"""What was found of one print path, as a phrase."""

from collections.abc import Sequence

from spectro.records.path_test import PathFinding, PathSeems, Sureness

_SAME_SCALE = 0.005  # what rules read by eye may differ by


def scale_text(scale: Sequence[float]) -> str:
    """Return a scale as people say it.

    >>> scale_text((0.97,)), scale_text((0.97, 1.0)), scale_text((0.97, 0.9712))
    ('97.0 %', '97.0 % across and 100.0 % down', '97.1 %')
    """
    if max(scale) - min(scale) > _SAME_SCALE:
        return f"{100 * scale[0]:.1f} % across and {100 * scale[1]:.1f} % down"
    return f"{100 * sum(scale) / len(scale):.1f} %"


def finding_words(found: PathFinding) -> str:
    """Return what was found of one path as a phrase: colours, size."""
    open_ = found.sureness is Sureness.NONE
    colours = f"cannot tell ({'other tones' if found.seems is PathSeems.OTHER_TONES else 'nothing speaks against it'})"
    if found.seems is PathSeems.OTHER_PRINT and open_:
        colours = "cannot tell (another print)"
    if not open_:
        colours = f"{'likely ' if found.sureness is Sureness.LIKELY else ''}{found.seems}"
    if found.scaled is None:
        return f"{colours}; size not measured"
    return f"{colours}; {'scaled to ' if found.scaled else 'size kept, '}{scale_text(found.scale)}"
