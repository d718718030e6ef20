"""What a device link does, whoever made it: which inks stay pure, and how much ink it asks for at most."""

import itertools

import numpy as np

from spectro.errors import TagError
from spectro.icc.evaluate import evaluate_lut
from spectro.icc.link_profiles import INK_NAMES, LINK, inks_of_face, link_table_of, linked_names
from spectro.icc.profile_file import IccProfile
from spectro.icc.table_channels import lut_channels
from spectro.icc.tag_types import Lut
from spectro.records.arrays import FloatArray
from spectro.records.profile_listing import ProfileFinding, Severity
from spectro.standards.limits import shipped_limits

_CMYK = b"CMYK"
_DRAWN, _AXIS = 60_000, 9
_OF_INKS = (b"CMYK", b"CMY ")


def link_facts(profile: IccProfile) -> tuple[dict[str, str], list[ProfileFinding]]:
    """Return facts in words and findings of a device link; empty for other profiles and for damaged tables."""
    if profile.header.device_class != LINK:
        return {}, []
    facts, names = {}, linked_names(profile)
    if any(names):
        facts["made from"] = " → ".join(name or "one without a name" for name in names)
    try:
        table = link_table_of(profile)
    except TagError:
        return facts, []
    inputs, outputs = lut_channels(table)
    of_inks = profile.header.pcs in _OF_INKS or profile.header.pcs[1:] == b"CLR"
    if of_inks and outputs >= len(INK_NAMES) - 1:
        facts["most ink"] = f"{100 * _most(table, inputs):.1f} %"
    found = []
    if (profile.header.colour_space, profile.header.pcs) == (_CMYK, _CMYK):
        kept = _kept(table)
        facts["stay pure"] = ", ".join(kept) or "none"
        if "bare paper" not in kept:
            text = "bare paper gets ink: a veil over all that is not printed"
            found.append(ProfileFinding(severity=Severity.NOTE, place="A2B0", text=text))
    return facts, found


def _sent(table: Lut, inks: FloatArray) -> FloatArray:
    return evaluate_lut(table, inks, "cmm", lab_input=False)


def _most(table: Lut, inputs: int) -> float:
    """Return the largest sum of inks over an even lattice of inputs, many drawn ones, and the corners."""
    drawn = np.random.default_rng(27).random((_DRAWN, inputs))
    drawn[: _DRAWN // 2] = np.round(drawn[: _DRAWN // 2] * 2) / 2
    even = np.array(list(itertools.product(np.linspace(0, 1, _AXIS), repeat=min(inputs, len(INK_NAMES)))))
    return max(float(_sent(table, part).sum(axis=1).max()) for part in (drawn, even) if part.shape[1] == inputs)


def _kept(table: Lut) -> list[str]:
    """Return in words which inks stay what they are: none, one alone, two alone, or the full black alone."""
    pure = shipped_limits("link")["pure"]
    words = []
    for count in range(3):
        for face in itertools.combinations(range(len(INK_NAMES)), count):
            others = [ink for ink in range(len(INK_NAMES)) if ink not in face]
            foreign = _sent(table, inks_of_face(face))[:, others].max(axis=1)
            if foreign.max() <= pure:
                words.append(" with ".join(INK_NAMES[ink] for ink in face) or "bare paper")
            elif count == 1 and foreign[-1] <= pure:
                words.append(f"full {INK_NAMES[face[0]]}")
    return words
