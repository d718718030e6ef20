"""What was tried on the model of inks: Yule-Nielsen Neugebauer means, means of two models, lattice terms and rough processes.

    python benchmarks/ink_means.py [PRINT …]     raw, second or FOGRA51; all where none is named

Each mean is fitted to the patches that are read, by least squares of the roots of reflectances, and stands among the terms of
the mean of the product's own process; patches left out are predicted. The figures stand in benchmarks/inks.md. Nothing here is
part of the program. Data: SPECTRO_CHECK_DATA, or ../shared/data beside the checkout.
"""

import sys
from itertools import product

import numpy as np
from inks import DATA, PUBLISHED, RAW, difference, said
from scipy.interpolate import PchipInterpolator
from scipy.linalg import cho_solve
from scipy.optimize import least_squares

from spectro.colour.tristimulus import spectra_to_lab
from spectro.maths.spread import farthest_points
from spectro.model import ink_likelihood
from spectro.model.ink_likelihood import InkSearch, find_ink_hyperparameters
from spectro.model.likelihood import mean_terms
from spectro.readings.load import load_readings
from spectro.readings.repeats import average_repeats
from spectro.records.reading_options import ReadingOptions

SECOND = ("cgats-quirks/measured_only_join_by_id_crlf.txt", "cgats-quirks/device_only_join_by_id_crlf.txt")
KNOTS = np.array([0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0])
EVEN = np.log(np.diff(KNOTS))
BANDS = ((0, 495), (495, 585), (585, 2000))  # nm, of curves by wavelength
CELLS = ((0.0, 0.4, 1.0),) * 4
RIDGE, PULL, ERROR = 1e-4, 1.0, 0.01  # of primaries towards products of full inks; of cells towards no cells; of a root
NODES = (5, 9, 17, 33)


def curve(logarithms, device):
    """A rising curve over one ink, by the logarithms of its steps between the knots."""
    steps = np.exp(logarithms - logarithms.max())
    return PchipInterpolator(KNOTS, np.concatenate([[0], np.cumsum(steps) / steps.sum()]))(np.clip(device, 0, 1))


def hats(places, nodes):
    """Shares (n, k) of the nodes around places (n,)."""
    nodes = np.asarray(nodes, dtype=float)
    below = np.clip(np.searchsorted(nodes, places, side="right") - 1, 0, len(nodes) - 2)
    part = np.clip((places - nodes[below]) / (nodes[below + 1] - nodes[below]), 0, 1)
    found, rows = np.zeros((len(places), len(nodes))), np.arange(len(places))
    found[rows, below], found[rows, below + 1] = 1 - part, part
    return found


def together(shares):
    """Shares of all combinations of nodes."""
    found = np.ones((len(shares[0]), 1))
    for one in shares:
        found = (found[:, :, None] * one[:, None, :]).reshape(len(one), -1)
    return found


class Mean:
    """A Yule-Nielsen Neugebauer mean; cells: levels an ink, None for full tones alone; smooth: pull of curves to a line."""

    def __init__(self, device, spectra, wavelengths, *, n, smooth, cells=None, by_band=False):
        self.n, roots, inks = n, np.clip(spectra, 1e-4, None) ** (1 / n), device.shape[1]
        groups = [np.flatnonzero((wavelengths >= low) & (wavelengths < high)) for low, high in BANDS]
        self.groups = groups if by_band else [np.arange(len(wavelengths))]
        paper = roots[device.sum(axis=1).argmin()]
        alone = [np.abs(device - np.eye(inks)[ink]).sum(axis=1).argmin() for ink in range(inks)]
        usual = np.array([np.prod([roots[alone[i]] / paper for i in range(inks) if on[i]], axis=0) * paper
                          for on in product((0, 1), repeat=inks)])  # fmt: skip
        self.parts = [self._fitted(device, roots[:, bands], usual[:, bands], smooth, cells) for bands in self.groups]

    def _fitted(self, device, roots, usual, smooth, cells):
        inks, weight = device.shape[1], RIDGE * len(device)

        def primaries(logarithms):
            shares = together([hats(curve(one, device[:, ink]), [0, 1]) for ink, one in enumerate(logarithms)])
            normal = shares.T @ shares + weight * np.eye(shares.shape[1])
            return shares, np.linalg.solve(normal, shares.T @ roots + weight * usual)

        def residuals(flat):
            logarithms = flat.reshape(inks, -1)
            shares, found = primaries(logarithms)
            error = (shares @ found - roots) / (ERROR * np.sqrt(roots.size))
            pull = np.sqrt(RIDGE) * (found - usual) / (ERROR * np.sqrt(roots.shape[1]))
            return np.concatenate([error.ravel(), smooth * (logarithms - EVEN).ravel(), pull.ravel()])

        logarithms = least_squares(residuals, np.tile(EVEN, inks), max_nfev=12).x.reshape(inks, -1)
        found, nodes = primaries(logarithms)[1], [np.array([0.0, 1.0])] * inks
        if cells:
            nodes = [curve(one, np.array(levels)) for one, levels in zip(logarithms, cells, strict=True)]
            corners = np.array(list(product(*nodes)))
            plain = together([hats(corners[:, ink], [0, 1]) for ink in range(inks)]) @ found
            shares = together([hats(curve(one, device[:, ink]), nodes[ink]) for ink, one in enumerate(logarithms)])
            normal = shares.T @ shares + PULL * np.eye(shares.shape[1])
            found = plain + np.linalg.solve(normal, shares.T @ (roots - shares @ plain))
        return logarithms, nodes, found

    def spectra(self, device):
        found = np.empty((len(device), sum(len(bands) for bands in self.groups)))
        for bands, (logarithms, nodes, primaries) in zip(self.groups, self.parts, strict=True):
            shares = [hats(curve(one, device[:, ink]), nodes[ink]) for ink, one in enumerate(logarithms)]
            found[:, bands] = together(shares) @ primaries
        return np.clip(found, 1e-6, None) ** self.n


class Process:
    """The product's process of one print, with further terms of the mean (n, t), or none."""

    def __init__(self, device, lab, terms=None, **parts):
        self.device, spread, own = device, farthest_points(device, 400), ink_likelihood.mean_terms
        self.terms = mean_terms(device, 1) if terms is None else np.column_stack([mean_terms(device, 1), terms])
        point = None
        try:
            for count, steps in ((200, 100), (400, 15)):
                rows = spread[:count]
                search = InkSearch(device=device[rows], lab=lab[rows], counts=np.ones(len(rows)), **parts)
                ink_likelihood.mean_terms = lambda _device, _degree, rows=rows: self.terms[rows]
                point, _ = find_ink_hyperparameters(search, search.start() if point is None else point, steps)
        finally:
            ink_likelihood.mean_terms = own
        self.found, self.lab = search.hyperparameters(point), lab
        self.placed = self.found.place(device)
        self.smooth = self.found.correlation(self.placed, self.placed)

    def solve(self, more=0.0):
        """Negative log likelihood with a further covariance (n, n); what `predict` needs is kept."""
        covariance = self.smooth + more
        covariance[np.diag_indices(len(covariance))] += self.found.noise_ratio
        factor = np.linalg.cholesky(covariance)
        solved = cho_solve((factor, True), np.column_stack([self.terms, self.lab]))
        t = self.terms.shape[1]
        self.mean = np.linalg.solve(self.terms.T @ solved[:, :t], self.terms.T @ solved[:, t:])
        self.weights = cho_solve((factor, True), self.lab - self.terms @ self.mean)
        variance = ((self.lab - self.terms @ self.mean) * self.weights).mean(axis=0)
        return 0.5 * len(self.lab) * np.log(variance).sum() + 3 * np.log(np.diag(factor)).sum()

    def predict(self, device, terms=None, more=0.0):
        own = mean_terms(device, 1) if terms is None else np.column_stack([mean_terms(device, 1), terms])
        return own @ self.mean + (self.found.correlation(self.found.place(device), self.placed) + more) @ self.weights


def near(first, second, length):
    """Matérn 5/2 of device values (n,) and (m,)."""
    distance = np.sqrt(5) * np.abs(first[:, None] - second) / length
    return (1 + distance + distance**2 / 3) * np.exp(-distance)


def covariances(first, second):
    """Further processes over device values: of shared nodes of tables, of ramps alone, and of overprints within a step."""
    inks = range(first.shape[1])
    found = {}
    for nodes in NODES:
        level = np.linspace(0, 1, nodes)
        shared = [hats(first[:, ink], level) @ hats(second[:, ink], level).T for ink in inks]
        found[f"errors of {nodes} nodes an ink"] = np.prod(shared, axis=0)
        found[f"curves of {nodes} nodes an ink"] = np.sum(shared, axis=0)
    found["curves, length .1"] = sum(near(first[:, ink], second[:, ink], 0.1) for ink in inks)
    for length in (0.2, 0.3):
        found[f"overprints, length {length}"] = np.prod([near(first[:, ink], second[:, ink], length) for ink in inks], axis=0)
    return found


def recipes(name):
    """Device values, reflectances, wavelengths and Lab of a print."""
    if name == "second":
        read = load_readings([DATA / SECOND[0]], ReadingOptions(chart=DATA / SECOND[1]))
    else:
        read = load_readings([DATA / {"raw": RAW, "FOGRA51": PUBLISHED}[name]], ReadingOptions())
    found = average_repeats(read)
    return found.device, found.reflectance, read.wavelengths, spectra_to_lab(found.reflectance, read.wavelengths)


def tried(name, count):
    """One print from so many patches; 0: all but a tenth, drawn."""
    device, spectra, wavelengths, lab = recipes(name)
    if count:
        rows = farthest_points(device, count)
        out = np.setdiff1d(np.arange(len(device)), rows)
    else:
        order = np.unique(device, axis=0, return_index=True)[1]
        drawn = np.random.default_rng(0).permutation(len(order))
        out, rows = order[drawn[:158]], order[drawn[158:]]

    def show(what, predicted):
        print(f"{name} {count or 'all'}, {what}: {said(difference(predicted, lab[out]))}", flush=True)

    own = Process(device[rows], lab[rows])
    before = own.solve()
    present = own.predict(device[out])
    show("product of one-ink kernels", present)
    still = Process(device[rows], lab[rows], fading=False)
    still.solve()
    show("mean of two, with fades and without", (present + still.predict(device[out])) / 2)
    ways = {f"n {n}, pull {smooth:g}": {"n": n, "smooth": smooth} for n, smooth in ((2, 0.1), (5, 0.1), (5, 0.5), (10, 2.0))}
    ways |= {"n 5, pull .5, curves by wavelength": {"n": 5, "smooth": 0.5, "by_band": True}}
    ways |= {"n 5, pull .1, cells of three levels": {"n": 5, "smooth": 0.1, "cells": CELLS}}
    for what, settings in ways.items():
        mean = Mean(device[rows], spectra[rows], wavelengths, **settings)
        terms = [spectra_to_lab(mean.spectra(device[some]), wavelengths) for some in (rows, out)]
        process = Process(device[rows], lab[rows], terms[0])
        gain = before - process.solve()
        found = process.predict(device[out], terms[1])
        show(f"Neugebauer, {what} alone", terms[1])
        show(f"Neugebauer, {what}, log likelihood {gain:+.0f}", found)
        show(f"Neugebauer, {what}, mean with the first", (present + found) / 2)
    noise, further = own.found.noise_ratio, covariances(device[rows], device[rows])
    there = covariances(device[out], device[rows])
    for what, covariance in further.items():
        share = min((0.1, 0.3, 1, 3, 10), key=lambda one: own.solve(one * noise * covariance))
        gain = before - own.solve(share * noise * covariance)
        show(
            f"{what}, {share} of noise, log likelihood {gain:+.0f}", own.predict(device[out], more=share * noise * there[what])
        )


if __name__ == "__main__":
    for name in sys.argv[1:] or ("raw", "second", "FOGRA51"):
        for count in (0,) if name == "FOGRA51" else (300, 600, 900):
            tried(name, count)
