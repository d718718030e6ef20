"""Device links: from one CMYK condition to another, with pure inks kept pure."""

from collections.abc import Sequence
from pathlib import Path

from spectro.library.answers import Answer, Place, choice
from spectro.records.conditions import RenderingIntent
from spectro.records.link import USUALLY_KEPT, BlackOf, Kept, LinkSettings
from spectro.report.link_document import link_document
from spectro.workflow.profile.link import profile_link


def make_link(
    source: Place,
    target: Place,
    *,
    out: Place,
    keep: Sequence[str] = USUALLY_KEPT,
    intent: str = "relative",
    black_compensation: bool = False,
    black_as: str = "from",
    total_area: float | None = None,
    icc_version: int = 2,
    replace: bool = False,
) -> Answer:
    """Make a device link and write it to out; the answer says what stays pure and what that costs.

    source, target: CMYK profiles, or data sets with device values and spectra, Lab or XYZ. keep: which inks stay pure, of
    black, black-ramps, solids, secondaries and shades; bare paper always does. intent: perceptual, relative, saturation or
    absolute. black_compensation: with perceptual and relative. black_as: "from", as the source has it, or "to", as the
    target's own profile. total_area: percent; None: what the target keeps. Raises errors of `spectro.errors`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     screen = Path(folder) / "screen.icc"
    ...     _ = screen.write_bytes(__import__("imagecodecs").cms_profile("srgb"))
    ...     try:
    ...         make_link(screen, screen, out=f"{folder}/link.icc", keep=["black-ramps"])
    ...     except Exception as error:
    ...         print(str(error).partition("screen.icc: ")[2].partition(".")[0])
    a profile for RGB; expected CMYK on both sides
    """
    settings = LinkSettings(
        keep=tuple(choice(Kept, one, "keep") for one in keep),
        intent=choice(RenderingIntent, intent, "intent"),
        black_compensation=black_compensation,
        black_of=choice(BlackOf, black_as, "black_as"),
        total_area=total_area,
        icc_version=icc_version,
    )
    found = profile_link(Path(source), Path(target), Path(out), settings=settings, replace=replace)
    return Answer(document=link_document(found), read=(Path(source), Path(target)))
