"""What a profile holds and what is wrong with it."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters."""

    FAULT = "fault"  # breaks a rule of the specification or makes the profile unusable
    NOTE = "note"  # legal, but worth knowing


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileFinding:
    """One thing that was found, in plain words."""

    severity: Severity
    place: str  # "header", "tag table", or a tag's signature
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TagEntry:
    """One line of the tag table."""

    signature: str
    type: str  # four characters, or "" where the bytes lie outside the file
    offset: int
    size: int
    what: str  # "table of 3 inputs, 33 nodes, 3 outputs" …


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileListing:
    """A profile laid open."""

    verdict: str
    file: str
    size: int  # bytes
    name: str
    version: str
    device_class: str
    colour_space: str
    pcs: str
    date: str  # ISO 8601, or "" where it is none
    intent: str
    profile_id: str  # hexadecimal, as stored
    tags: tuple[TagEntry, ...]
    facts: dict[str, str]  # what evaluation found: white, black, round trip, gamut tag
    findings: tuple[ProfileFinding, ...]

    @property
    def faulty(self) -> bool:
        """Whether any finding is a fault."""
        return any(finding.severity is Severity.FAULT for finding in self.findings)
