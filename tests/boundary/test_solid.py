"""A gamut as a solid: volumes of known bodies, cells, reach, and four channels."""

import numpy as np
import pytest

from spectro.boundary.cube_surface import cube_triangles, outer_faces
from spectro.boundary.solid import CHROMATIC, HUES, LIGHTNESS, STEP_AB, STEP_L, gamut_solid
from spectro.errors import InputError


def box(device):
    """Lab of a box: L* 20 to 80, a* -40 to 40, b* -30 to 50."""
    return np.column_stack([20 + 60 * device[:, 0], -40 + 80 * device[:, 1], -30 + 80 * device[:, 2]])


def test_a_box_has_its_volume_cells_and_reach():
    solid = gamut_solid(box, 3)
    assert solid.volume == pytest.approx(60 * 80 * 80)
    assert solid.filled.sum() * STEP_L * STEP_AB**2 == pytest.approx(60 * 80 * 80)
    middle = int(np.argmin(np.abs(LIGHTNESS - 50.5)))
    assert solid.reach[middle, HUES.tolist().index(0.0)] == pytest.approx(40)
    assert solid.reach[middle, HUES.tolist().index(90.0)] == pytest.approx(50)
    assert solid.reach[middle, HUES.tolist().index(270.0)] == pytest.approx(30)
    assert solid.reach[middle, HUES.tolist().index(45.0)] == pytest.approx(40 * np.sqrt(2))
    assert not solid.reach[LIGHTNESS < 19].any()
    a, b = np.meshgrid(CHROMATIC, CHROMATIC, indexing="ij")
    np.testing.assert_array_equal(solid.filled[middle], (np.abs(a) < 40) & (np.abs(b - 10) < 40))


def test_handedness_does_not_matter():
    """A device space that turns the other way round encloses the same colours."""
    assert gamut_solid(lambda device: box(device[:, [1, 0, 2]]), 3).volume == pytest.approx(60 * 80 * 80)
    mirrored = gamut_solid(lambda device: box(1 - device), 3)
    assert mirrored.filled.sum() * STEP_L * STEP_AB**2 == pytest.approx(60 * 80 * 80)


def test_a_ball_in_slices():
    """The cells of a curved body have its volume to a part in a hundred."""

    def ball(device):
        offset = 2 * device - 1
        largest = np.abs(offset).max(axis=1, keepdims=True)
        length = np.linalg.norm(offset, axis=1, keepdims=True)
        return np.array([50.0, 5.0, -7.0]) + 40 * offset * largest / np.maximum(length, 1e-12)

    solid = gamut_solid(ball, 3)
    exact = 4 / 3 * np.pi * 40**3
    assert solid.volume == pytest.approx(exact, rel=0.01)
    assert solid.filled.sum() * STEP_L * STEP_AB**2 == pytest.approx(exact, rel=0.01)


def test_a_fourth_channel_adds_what_it_reaches():
    """Black takes the box down to L* 5: the colours of every cube together, none counted twice."""

    def four(device):
        lab = box(device[:, :3])
        lab[:, 0] -= 15 * device[:, 3]
        return lab

    solid = gamut_solid(four, 4)
    assert solid.volume == pytest.approx(75 * 80 * 80, rel=0.01)
    assert solid.faces.shape[0] == 9


@pytest.mark.parametrize("channels", [1, 2, 5])
def test_other_channels_are_refused(channels):
    with pytest.raises(InputError, match="channels"):
        gamut_solid(box, channels)


def test_faces_hold_the_corners():
    points, _ = cube_triangles(3)
    assert len(np.unique(np.round(points, 9), axis=0)) == 26
    assert outer_faces(3, 3).shape == (6, 3, 3, 3)
    four = outer_faces(4, 3)
    assert four.shape == (9, 3, 3, 4)
    assert {tuple(row) for row in four.reshape(-1, 4)} >= {(0, 0, 0, 0), (1, 0, 0, 0), (1, 1, 0, 1), (0, 0, 1, 0)}
    with pytest.raises(InputError, match="5 channels"):
        outer_faces(5, 3)
