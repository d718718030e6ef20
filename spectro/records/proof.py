"""What a proof page asks for: the aim of every patch, and how it got onto the page."""

from dataclasses import dataclass
from enum import StrEnum

from spectro.errors import ShapeError
from spectro.records.arrays import FloatArray, frozen_floats, keep_floats


class ProofWay(StrEnum):
    """What the numbers on a proof page are: who converts them to device values."""

    DEVICE = "device"  # we did, with the profile's own tables; printed without colour management: tests the profile alone
    LAB = "lab"  # CIELAB; the user's own program converts: tests the whole way of a picture
    OPRGB = "oprgb"  # opRGB with its profile embedded; for programs that open no Lab pictures


class ProofGroup(StrEnum):
    """Kinds of colours on a proof page."""

    PAPER = "paper"
    DARKEST = "darkest"
    GREYS = "greys"
    COMMON = "common colours"
    INSIDE = "in gamut"
    OUTSIDE = "outside"


WITHIN = (ProofGroup.PAPER, ProofGroup.DARKEST, ProofGroup.GREYS, ProofGroup.COMMON, ProofGroup.INSIDE)
"""Groups of colours that the profile says it can print."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProofAims:
    """What each patch of a proof page asks for, one row a patch in the order of the chart (or of the choice)."""

    way: ProofWay
    intent: str  # "relative", "absolute" or "perceptual"
    profile: str  # name of the file
    profile_sha256: str  # of its bytes, hexadecimal
    groups: tuple[str, ...]  # words of ProofGroup
    names: tuple[str, ...]  # of common colours: "skin, light"; "" elsewhere
    pcs_lab: FloatArray  # (n, 3) what the page asks for: media-relative Lab, for the absolute intent absolute Lab
    aim_lab: FloatArray  # (n, 3) absolute Lab that a perfect print of it measures; where perceptual, of the profile's rendering

    def __post_init__(self) -> None:
        """Check shapes once and keep read-only copies."""
        count = len(self.groups)
        for name in ("pcs_lab", "aim_lab"):
            values = frozen_floats(getattr(self, name))
            if values.shape != (count, 3):
                raise ShapeError(f"{name} has shape {values.shape}; expected ({count}, 3)")
            object.__setattr__(self, name, values)
        if len(self.names) != count:
            raise ShapeError(f"{len(self.names)} names; expected {count}, one a patch")

    def __len__(self) -> int:
        """Return the number of patches."""
        return len(self.groups)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ProofColours:
    """Chosen colours of a proof page before they are placed: aims, device values, how often each is printed."""

    aims: ProofAims
    device: FloatArray  # (n, channels), 0 to 1, no two rows alike
    copies: tuple[int, ...]  # how often each is printed beside its first time

    def __post_init__(self) -> None:
        """Check shapes once and keep a read-only copy."""
        keep_floats(self, "device")
        if len(self.device) != len(self.aims) or len(self.copies) != len(self.aims):
            raise ShapeError(f"{len(self.device)} device values and {len(self.copies)} copies for {len(self.aims)} aims")
