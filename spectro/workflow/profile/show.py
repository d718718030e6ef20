"""`spectro profile show`: what a profile holds, and in plain words what is wrong with it."""

import re
from dataclasses import replace
from pathlib import Path

from spectro.checks.edge_effect import edge_effect
from spectro.checks.link_facts import link_facts
from spectro.checks.profile_behaviour import behaviour, curve_findings
from spectro.checks.profile_structure import CLASSES, header_findings, table_findings, tag_findings
from spectro.errors import ProfileFileError
from spectro.files.chart_table import INSISTED_KEYWORD
from spectro.files.ink_stages_file import mark_of, read_stages
from spectro.icc.header import Header
from spectro.icc.inspection import TagPart, header_or_none, tag_parts
from spectro.icc.link_profiles import LINK
from spectro.icc.profile_file import IccProfile, read_profile_bytes
from spectro.icc.table_channels import lut_channels
from spectro.icc.tag_types import (
    Curve,
    LocalizedText,
    Lut8,
    Lut16,
    LutAToB,
    LutBToA,
    ProfileSequence,
    Text,
    TextDescription,
    XyzNumbers,
)
from spectro.profile.evidence import SETTINGS_KEYWORD, entry_text
from spectro.records.ink_stages import Stage
from spectro.records.profile_listing import ProfileFinding, ProfileListing, Severity, TagEntry
from spectro.standards.limits import shipped_limits
from spectro.words.inks import STAGE_NAMES, brings_back, stage_brought_back, stage_changed, stages_kept
from spectro.words.profile import built_all_the_same, edge_facts, edge_findings, show_verdict

_INTENTS = ("perceptual", "media-relative colorimetric", "saturation", "ICC-absolute colorimetric")


def profile_show(profile: Path, *, stages: Path | None = None) -> ProfileListing:
    """List and check a profile file. A damaged one is listed as far as it goes.

    stages: what the press is set to now, as `spectro inks` wrote it: a profile of a chart that was printed through other
    limits or curves is no good for it. Raises ProfileFileError where the profile cannot be read, errors of `spectro.errors`
    for stages that cannot be.
    """
    data = read_profile_bytes(profile)
    if _is_text(data):
        raise ProfileFileError(
            profile, "a text file", "an ICC profile", "Name the profile; readings are shown by readings show."
        )
    found = list_profile(data, str(profile))
    return found if stages is None else _held_to_stages(found, stages)


def _held_to_stages(found: ProfileListing, path: Path) -> ProfileListing:
    """Return a listing with what became of the stages that the profile's chart was printed through."""
    stages, built = read_stages(path), found.facts.get("built with", "")
    more, same = [], []
    for stage in (Stage.LIMITS, Stage.CURVES):
        then = re.search(f"{STAGE_NAMES[stage]} ([0-9a-f]{{8}})", built)
        before, now = then[1] if then else "", mark_of(stages, stage)
        if before == now:
            same += [f"{STAGE_NAMES[stage]} {now}"] if now else []
        elif before and now and stage is Stage.CURVES and brings_back(stages):
            more.append(ProfileFinding(severity=Severity.NOTE, place="press", text=stage_brought_back(before, stages)))
        else:
            text = stage_changed(STAGE_NAMES[stage], before, now)
            more.append(ProfileFinding(severity=Severity.FAULT, place="press", text=text))
    findings = (*more, *found.findings)
    facts = found.facts if more else {**found.facts, "press": stages_kept(same)}
    return replace(found, findings=findings, facts=facts, verdict=show_verdict(findings))


def _is_text(data: bytes) -> bool:
    """Return whether data is words of some kind and no damaged profile: letters alone where a profile has its header."""
    start = data[:128]
    try:
        words = start.decode("utf-8", "strict" if len(data) < len(start) else "ignore")
    except UnicodeDecodeError:
        return False
    return bool(words) and data[36:40] != b"acsp" and all(letter.isprintable() or letter in "\t\r\n\ufeff" for letter in words)


def list_profile(data: bytes, file: str) -> ProfileListing:
    """List and check the bytes of a profile; file is its name for messages."""
    header, wrong = header_or_none(data)
    if header is None:
        finding = ProfileFinding(severity=Severity.FAULT, place="header", text=wrong)
        return _listing(data, file, None, [], {}, [finding])
    parts, table_fault = tag_parts(data)
    findings = header_findings(data, header)
    if table_fault:
        findings.append(ProfileFinding(severity=Severity.FAULT, place="tag table", text=table_fault))
    if parts or not table_fault:
        findings += table_findings(data, parts) + tag_findings(header, parts)
    tags = {part.signature: part.tag for part in parts if part.tag is not None}
    parsed = IccProfile(header=header, tags=tags, profile_id=data[84:100])
    facts, more = link_facts(parsed) if header.device_class == LINK else behaviour(parsed)
    findings += [*curve_findings(parsed), *more]
    if facts and header.colour_space == b"RGB " and not any(one.severity == Severity.FAULT for one in findings):
        edges = edge_effect(parsed)
        if edges is not None:
            facts = {**facts, **edge_facts(edges)}
            findings += edge_findings(edges, shipped_limits("profile"))
    if built := entry_text(parsed, SETTINGS_KEYWORD):
        facts = {"built with": built, **facts}
    if insisted := entry_text(parsed, INSISTED_KEYWORD):
        findings.append(ProfileFinding(severity=Severity.NOTE, place="readings", text=built_all_the_same(insisted)))
    return _listing(data, file, header, parts, facts, findings)


def _listing(
    data: bytes,
    file: str,
    header: Header | None,
    parts: list[TagPart],
    facts: dict[str, str],
    findings: list[ProfileFinding],
) -> ProfileListing:
    names = [
        part.tag.text for part in parts if part.signature == "desc" and isinstance(part.tag, TextDescription | LocalizedText)
    ]
    return ProfileListing(
        verdict=show_verdict(findings),
        file=file,
        size=len(data),
        name=names[0] if names else "",
        version="" if header is None else "{}.{}".format(*header.version),
        device_class="" if header is None else CLASSES.get(header.device_class, _word(header.device_class)),
        colour_space="" if header is None else _word(header.colour_space),
        pcs="" if header is None else _word(header.pcs),
        date=header.date.isoformat().replace("+00:00", "Z") if header and header.date else "",
        intent=_INTENTS[header.intent] if header and header.intent < len(_INTENTS) else "",
        profile_id=data[84:100].hex(),
        tags=tuple(
            TagEntry(signature=part.signature, type=_word(part.type), offset=part.offset, size=part.size, what=_what(part))
            for part in parts
        ),
        facts=facts,
        findings=tuple(findings),
    )


def _word(data: bytes) -> str:
    return "".join(character if character.isprintable() else "?" for character in data.decode("latin-1")).strip()


def _what(part: TagPart) -> str:
    """Say in a few words what a tag holds."""
    tag = part.tag
    if isinstance(tag, Lut8 | Lut16 | LutAToB | LutBToA):
        inputs, outputs = lut_channels(tag)
        nodes = "no lattice" if tag.lattice is None else " x ".join(str(n) for n in tag.lattice.shape[:-1]) + " nodes"
        return f"table, {inputs} inputs, {nodes}, {outputs} outputs"
    if isinstance(tag, Text | TextDescription | LocalizedText):
        text = " ".join(tag.text.split())
        return "".join(c if c.isprintable() else "?" for c in (text if len(text) <= 60 else text[:57] + "..."))
    if isinstance(tag, ProfileSequence):
        return f"{len(tag.parts)} profiles, first to last"
    if isinstance(tag, XyzNumbers):
        return "XYZ {:.4f} {:.4f} {:.4f}".format(*tag.values[0])
    if isinstance(tag, Curve):
        return f"curve of {len(tag.entries)} entries"
    return "cannot be read" if part.fault else "kept as it is"
