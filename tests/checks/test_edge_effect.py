"""What tables do at the edge of the gamut and near black: our own keep the limits, worse ones are told with the place."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from spectro.checks.edge_effect import RAMPS, edge_effect
from spectro.icc.numbers import decode_lab
from spectro.icc.profile_file import read_profile
from spectro.profile.device_table import DeviceTable
from spectro.profile.inversion import invert, prepare_inverse
from spectro.profile.pcs_table import encode_nodes, fitted_spacing, output_curve
from spectro.profile.tags import pcs_to_device_tag
from spectro.records.profile_settings import ProfileSettings
from spectro.standards.limits import shipped_limits
from spectro.words.profile import edge_facts, edge_findings
from spectro.workflow import profile_build

DEMO = Path(__file__).resolve().parents[2] / "demo_measurements" / "demo-readings-m1.txt"
GRID = 17


@pytest.fixture(scope="module", params=[2, 4])
def built(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("edges") / "demo.icc"
    profile_build([DEMO], path, settings=ProfileSettings(grid=GRID, icc_version=request.param))
    return read_profile(path)


def findings(profile):
    return [(one.place, one.text) for one in edge_findings(edge_effect(profile), shipped_limits("profile"))]


def with_lattice(profile, table, change):
    """The profile with entries of a table from the PCS changed."""
    tag = profile.tags[table]
    return replace(profile, tags={**profile.tags, table: replace(tag, lattice=change(tag.lattice))})


def test_our_own_tables_keep_the_limits_and_reach_black(built):
    edges = edge_effect(built)
    assert findings(built) == []
    assert [one.table for one in edges.intents] == ["B2A0", "B2A1", "B2A2"]
    most = 0.25 if built.header.version[0] == 2 else 0.4  # of 17 nodes: the black of the reference medium lies between two
    assert all(abs(one.above) < most and abs(one.stops) < 0.06 for one in edges.intents)
    assert edges.ramps == RAMPS
    assert 0 < edges.rule.mean < edges.rule.p95 < edges.rule.largest
    assert set(edge_facts(edges)) == {"edge B2A0", "edge B2A1", "edge B2A2", "outside"}


def test_a_lifted_black_is_told_with_its_cost(built):
    """Device values at least 0.2: entries stand for -1 to 2."""
    least = round((0.2 + 1) / 3 * 65535)
    lifted = with_lattice(built, "B2A0", lambda lattice: np.maximum(lattice, least).astype(lattice.dtype))
    perceptual = edge_effect(lifted).intents[0]
    assert perceptual.above > 2
    assert perceptual.stops > 0.2
    assert [place for place, text in findings(lifted) if "stops of range are lost" in text] == ["B2A0"]


def test_a_turn_of_hue_is_told(built):
    turned = with_lattice(built, "B2A2", lambda lattice: np.stack([lattice[..., one] for one in (1, 0, 2)], axis=-1))
    assert any(place == "B2A2" and "hue turns" in text and "Lab" in text for place, text in findings(turned))


def test_a_fall_of_lightness_is_told(built):
    """Device values lower by 0.3 in one layer of nodes at a middle L*."""

    def darker(lattice):
        layer = lattice.astype(np.int64)
        layer[GRID // 2] -= round(0.3 / 3 * 65535)
        return np.clip(layer, 0, 65535).astype(lattice.dtype)

    fallen = with_lattice(built, "B2A1", darker)
    edges = edge_effect(fallen)
    assert edges.intents[1].fall > 3
    assert edges.intents[1].falling > RAMPS / 2
    assert any(place == "B2A1" and "worst from black to sRGB" in text for place, text in findings(fallen))


def test_clipped_nodes_leave_the_rule(built):
    """Nodes that hold the nearest printable colours, clipped: what the fit to the rule is there to avoid."""
    legacy = built.header.version[0] == 2
    entries = built.tags["A2B1"].lattice
    table = DeviceTable(
        white_xyz=np.array([96.42, 100.0, 82.49]), entries=entries, lab=decode_lab(entries / 65535, legacy=legacy)
    )
    inverse = prepare_inverse(table)
    spacing = fitted_spacing(inverse, GRID)
    nodes = invert(inverse, spacing.node_lab())[0].reshape(GRID, GRID, GRID, 3)
    tag = pcs_to_device_tag(spacing, encode_nodes(nodes), output_curve(), built.header.version[0])
    clipped = replace(built, tags={**built.tags, "B2A1": tag})
    texts = [text for place, text in findings(clipped) if place == "B2A1"]
    assert any("off a smooth rule" in text for text in texts)


def test_a_table_without_range_is_left_alone(built):
    flat = with_lattice(built, "A2B1", lambda lattice: np.full_like(lattice, 30000))
    assert edge_effect(flat) is None
