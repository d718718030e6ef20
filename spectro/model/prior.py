"""What is believed of a printer before its readings are looked at: how its colours at two device values belong together.

Many print paths read a table of their own, 17 grid points per axis for instance, by tetrahedra. Their colours are then straight
between its nodes, which no smooth process is, and what looks like noise comes back on every print. Such a path is a sum of
three processes: one smooth, one smooth but read through the table, and errors of the nodes, each independent. With k the
correlation of `kernel.py`, w(x) the weights of the nodes N around x, s the table's share and v the variance of a node's
error over that of the signal, the covariance over that of the signal is

    (1 - s) k(x, x') + s w(x)' k(N, N) w(x') + v w(x)' w(x').

Ours, benchmarks/accuracy.md.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from spectro.maths.lattice import tetrahedral
from spectro.maths.row_blocks import in_blocks, together
from spectro.maths.tetrahedra import tetrahedral_weights
from spectro.model.ink_kernel import InkHyperparameters
from spectro.model.kernel import Hyperparameters, matern, matern_times, matern_with_slopes
from spectro.model.likelihood import mean_terms
from spectro.records.arrays import FloatArray, IntArray, frozen_floats, keep_floats

_BLOCK_CELLS = 400_000  # kernels between nodes computed at a time


@dataclass(frozen=True, slots=True)
class Lattice:
    """The nodes of a table over the device cube, read by tetrahedra that share each cell's diagonal along grey."""

    nodes: int  # an axis
    step: float  # device values from node to node

    @property
    def grid(self) -> tuple[int, int, int]:
        """Nodes of the three axes."""
        return (self.nodes, self.nodes, self.nodes)

    @property
    def even(self) -> bool:
        """Whether the last node lies at 1."""
        return abs(self.step * (self.nodes - 1) - 1) < 1e-9

    def weights(self, device: FloatArray) -> tuple[Any, IntArray]:
        """Return the sparse weights (n, used) of the nodes around device values (n, 3), and their flat indices (used,)."""
        indices, weights = tetrahedral_weights(self.grid, device / self.step)
        starts = np.arange(0, indices.size + 1, indices.shape[1])
        matrix = sparse.csr_array((weights.ravel(), indices.ravel(), starts), shape=(len(device), self.nodes**3))
        matrix.eliminate_zeros()
        used, columns = np.unique(matrix.indices, return_inverse=True)
        return sparse.csr_array((matrix.data, columns.ravel(), matrix.indptr), shape=(len(device), len(used))), used

    def device(self, indices: IntArray) -> FloatArray:
        """Return the device values (n, 3) of nodes by their flat indices (n,); the last node may lie just above 1."""
        return np.stack(np.unravel_index(indices, self.grid), axis=1).astype(np.float64) * self.step


@dataclass(frozen=True, slots=True, kw_only=True)
class PathTable:
    """A print path's own table and what of the printer's colours goes through it."""

    lattice: Lattice
    share: float  # s, of the signal
    node_errors: float  # v, over the variance of the signal


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prior:
    """The covariance of a printer's colours over their signal variance, and the noise of readings."""

    hyperparameters: Hyperparameters | InkHyperparameters
    table: PathTable | None = None
    gain: float = 0.0  # logarithm of the likelihood with the best table found over that without one

    def between(self, first: FloatArray, second: FloatArray) -> FloatArray:
        """Return the covariance (n, m) of colours at device values (n, channels) and (m, channels)."""
        place = self.hyperparameters.place
        there = place(second)
        smooth = in_blocks(lambda rows: self.hyperparameters.correlation(rows, there), place(first), max(len(second), 1))
        if self.table is None:
            return smooth
        return self.with_table(smooth, *self.table_parts(self.table.lattice, first, second))

    def with_table(self, smooth: FloatArray, read: FloatArray, shared: Any) -> FloatArray:
        """Join the parts of the covariance; smooth: k (n, m); the others as from `table_parts`, shared sparse."""
        if self.table is None:
            return smooth
        covariance = (1 - self.table.share) * smooth
        covariance += self.table.share * read
        nodes = shared.tocoo()
        covariance[nodes.row, nodes.col] += self.table.node_errors * nodes.data
        return covariance

    def table_parts(
        self, lattice: Lattice, first: FloatArray, second: FloatArray, *, single: bool = False
    ) -> tuple[FloatArray, Any]:
        """Return k as read through a lattice, w' k(N, N) w (n, m), and of shared nodes w' w (n, m), sparse.

        single: in single precision where first is second, enough to tell tables apart by their likelihood.
        """
        place = self.hyperparameters.place
        left, left_nodes = lattice.weights(first)
        here = place(lattice.device(left_nodes))
        if second is first:
            kind = np.float32 if single else np.float64
            return _read_square(left.astype(kind), here.astype(kind)), left @ left.T
        right, right_nodes = lattice.weights(second)
        there = place(lattice.device(right_nodes))
        from_nodes = in_blocks(lambda rows: np.ascontiguousarray((right @ matern(there, rows)).T), here, len(there))
        common = _all_columns(left, left_nodes, lattice) @ _all_columns(right, right_nodes, lattice).T
        return np.asarray(left @ from_nodes), common

    def variance(self, device: FloatArray) -> FloatArray:
        """Return the variance (n,) of colours at device values (n, channels), over that of the signal.

        Without a table it is 1 for RGB, and for inks what they leave of it.
        """
        if self.table is None:
            return self.hyperparameters.variance(device)
        lattice = self.table.lattice
        indices, weights = tetrahedral_weights(lattice.grid, device / lattice.step)
        around = self.hyperparameters.place(lattice.device(indices.ravel())).reshape(*indices.shape, -1)
        squared = 5 * ((around[:, :, None] - around[:, None]) ** 2).sum(axis=-1)
        matern_with_slopes(squared)
        read = np.einsum("na,nab,nb->n", weights, squared, weights)
        return np.asarray((1 - self.table.share) + self.table.share * read + self.table.node_errors * (weights**2).sum(axis=1))


def _read_square(weights: Any, nodes: FloatArray) -> FloatArray:
    """Return w' k(N, N) w (n, n) of sparse weights (n, k) of nodes (k, m), from the kernels on one side of the diagonal."""
    columns = weights.tocsc()
    step = max(1, _BLOCK_CELLS // len(nodes))

    def half(start: int) -> FloatArray:
        ahead = matern(nodes[start : start + step], nodes[start:])
        square = ahead[:, : len(ahead)]
        square[:] = np.triu(square)
        square[np.diag_indices(len(ahead))] *= 0.5
        return np.ascontiguousarray((columns[:, start:] @ ahead.T).T)

    read = weights @ np.concatenate(together(half, range(0, len(nodes), step)))
    return np.asarray(read + read.T)


def _all_columns(weights: Any, used: IntArray, lattice: Lattice) -> Any:
    """Return sparse weights (n, used) as (n, all nodes)."""
    return sparse.csr_array((weights.data, used[weights.indices], weights.indptr), shape=(weights.shape[0], lattice.nodes**3))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedColours:
    """The colours a fitted model predicts: its mean, kernels around patches, and the nodes of the path's table."""

    prior: Prior
    placed: FloatArray  # (n, m), where the patches lie between which the kernel correlates
    coefficients: FloatArray  # (n, 3), of the patches' covariances
    mean: FloatArray  # (terms, 3), of the mean's terms
    field: FloatArray | None = None  # (g, g, g, 3), what the table adds at its nodes

    def __post_init__(self) -> None:
        """Keep read-only copies."""
        keep_floats(self, "placed", "coefficients", "mean")

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""
        device = np.asarray(device, dtype=np.float64)

        def block(rows: FloatArray) -> FloatArray:
            mean: FloatArray = mean_terms(rows, self.prior.hyperparameters.degree) @ self.mean
            correlate = self.prior.hyperparameters
            return mean + correlate.correlation_times(correlate.place(rows), self.placed, self.coefficients)

        smooth = in_blocks(block, device, len(self.placed))
        if self.field is None or self.prior.table is None:
            return smooth
        return smooth + tetrahedral(self.field, device / self.prior.table.lattice.step)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SolvedModel:
    """What a `DeviceModel` holds, however many of its patches carry kernels."""

    prior: Prior
    colours: FittedColours
    variance: FloatArray  # (3,), signal variance of L*, a*, b*
    left_out: FloatArray  # (n, 3), leave-one-out predictions of the fitted rows, hyperparameters held
    left_out_spread: FloatArray  # (n, 3), their standard deviations, noise of the reading included

    def predict(self, device: FloatArray) -> FloatArray:
        """Return Lab (n, 3) of device values (n, channels), 0 to 1."""
        return self.colours.predict(device)

    def noise(self) -> FloatArray:
        """Return the standard deviation (3,) of one reading of L*, a*, b*, as the likelihood sees it."""
        return np.sqrt(self.prior.hyperparameters.noise_ratio * self.variance)


def fitted_colours(prior: Prior, device: FloatArray, weights: FloatArray, mean: FloatArray) -> FittedColours:
    """Return the colours mean terms plus covariances with device (n, channels) times weights (n, 3); mean: (terms, 3).

    What goes through the table, s k(N, N) a + v a with a the weights as the nodes share them, is summed up at all nodes once.
    """
    placed = prior.hyperparameters.place(device)
    if prior.table is None:
        return FittedColours(prior=prior, placed=placed, coefficients=weights, mean=mean)
    lattice, share = prior.table.lattice, prior.table.share
    shares, used = lattice.weights(device)
    at_nodes = np.asarray(shares.T @ weights)
    there = prior.hyperparameters.place(lattice.device(used))
    nodes = prior.hyperparameters.place(lattice.device(np.arange(lattice.nodes**3)))
    field = share * in_blocks(lambda rows: matern_times(rows, there, at_nodes), nodes, len(used))
    field[used] += prior.table.node_errors * at_nodes
    return FittedColours(
        prior=prior,
        placed=placed,
        coefficients=(1 - share) * weights,
        mean=mean,
        field=frozen_floats(field.reshape(*lattice.grid, -1)),
    )
