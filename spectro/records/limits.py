"""Limits that decide verdicts, as data: each with its unit, its source and what it means."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One tolerance or threshold that decides a verdict."""

    value: float
    unit: str  # "ΔE00", "L*", "share" …; "1" where there is none
    source: str  # a key of REFERENCES.md, "common practice, no source", or "ours, benchmarks/FILE"
    meaning: str  # what it decides, in a phrase
    own: bool = False  # set by the user's tolerance file


@dataclass(frozen=True, slots=True)
class Limits(Mapping[str, float]):
    """The limits of one subject by name; `limits["warn"]` is the value, `limits.limit("warn")` all that is known of it.

    >>> limits = Limits("drift", {"warn": Limit(value=1.0, unit="ΔE00", source="common practice, no source", meaning="seen")})
    >>> limits["warn"], limits.limit("warn").unit
    (1.0, 'ΔE00')
    """

    subject: str
    by_name: Mapping[str, Limit] = field(default_factory=dict)
    fixed: bool = False  # no person's file changes them: tuned together, or quoted by sentences

    def __getitem__(self, name: str) -> float:
        return self.by_name[name].value

    def __iter__(self) -> Iterator[str]:
        return iter(self.by_name)

    def __len__(self) -> int:
        return len(self.by_name)

    def limit(self, name: str) -> Limit:
        """Return all that is known of one limit."""
        return self.by_name[name]
