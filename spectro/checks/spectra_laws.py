"""Laws that spectra of prints obey, whatever was printed: smooth from band to band, not cut off, not coarse, on a paper.

Real prints, in steps of 10 nm, published and measured: second differences have 0.07 to 0.12 of the spread of reflectance over
all bands, up to 0.37 at one band and 0.57 at a noisy first one; columns moved by one, or one band wrong by half, 1.3 to 1.6.
"""

import numpy as np

from spectro.colour.lab import lab_to_xyz
from spectro.records.arrays import FloatArray
from spectro.records.gate import BrokenLaw, Law
from spectro.records.limits import Limits

_DARKEST = 5  # patches, the middle one of which stands for black
_NO_LIGHT = 1e-6  # Y

Judged = tuple[Law | None, BrokenLaw | None]


def smooth_spectra(
    spectra: FloatArray | None, wavelengths: FloatArray | None, limits: Limits, bare: FloatArray | None = None
) -> Judged:
    """Second differences against the spread of all values: columns in a wrong order, or noise, jump from band to band.

    spectra: (n, bands). At a single band, a column that is not where it belongs; told of many patches and narrow bands only.
    bare: (k, bands), those of the bare paper. A chart may span little light, beside which the first band and the last one, the
    least true of many instruments, jump as a wrong column does: they are held against what a whole chart spans on that paper,
    and without readings of it not judged.
    """
    if spectra is None or spectra.shape[1] < limits["spectrum_bands"] or len(spectra) < 2:
        return None, None
    spread = float(spectra.std())
    if spread == 0:
        return None, None
    squares = (np.diff(spectra, 2, axis=1) ** 2).mean(axis=0) / spread**2
    usual = limits["usual_spread"] * float(bare.mean()) if bare is not None and len(bare) else np.inf
    ends = max(1.0, usual / spread)
    rough, most = float(np.sqrt(squares.mean())), limits["rough_spectra"]
    band, where = _one_band(squares, wavelengths, limits, ends) if len(spectra) >= limits["patches"] else (0.0, "")
    if rough <= most and not where:
        return Law.SMOOTH_SPECTRA, None
    found, limit = (rough, most) if rough > most else (band, limits["rough_band"])
    return Law.SMOOTH_SPECTRA, BrokenLaw(law=Law.SMOOTH_SPECTRA, found=found, limit=limit, weight=1.0, detail=where)


def _one_band(squares: FloatArray, wavelengths: FloatArray | None, limits: Limits, ends: float) -> tuple[float, str]:
    """Return the roughness at the one band that holds most of it, and where that is; "" where none is beyond its limit.

    ends: what the limits of the first and the last band are multiplied by.
    """
    if wavelengths is None or float(np.diff(wavelengths).max()) > limits["narrow_band"]:
        return 0.0, ""
    most = np.full(len(squares), limits["rough_band"])
    most[[0, -1]] = limits["rough_end_band"] * ends
    band = int((squares / most**2).argmax())
    alone = squares[max(band - 2, 0) : band + 3].sum() > squares.sum() / 2
    found = float(np.sqrt(squares[band]))
    return found, f"{wavelengths[band]:g} to {wavelengths[band + 2]:g} nm" if alone and found > most[band] else ""


def whole_values(spectra: FloatArray | None, limits: Limits) -> Judged:
    """Values that stand at the very largest or smallest one, as where something cut them off; (None, None) for few patches."""
    if spectra is None or len(spectra) < limits["cut_patches"]:
        return None, None
    for end, words in ((spectra.max(), "largest"), (spectra.min(), "smallest")):
        share = float((spectra == end).mean())
        if share > limits["cut_share"]:
            return Law.NOT_CUT_OFF, BrokenLaw(
                law=Law.NOT_CUT_OFF, found=share, limit=limits["cut_share"], weight=0.0, detail=f"{words} one, {end:.4g}"
            )
    return Law.NOT_CUT_OFF, None


def fine_values(spectra: FloatArray | None, limits: Limits) -> Judged:
    """Values that all are whole hundredths: of a black that reflects 0.02 they tell a quarter at best."""
    if spectra is None or len(spectra) < limits["cut_patches"]:
        return None, None
    step = limits["coarse_step"]
    if np.abs(spectra / step - np.round(spectra / step)).max() > 1e-6:
        return Law.FINE_VALUES, None
    return Law.FINE_VALUES, BrokenLaw(law=Law.FINE_VALUES, found=step, limit=step, weight=0.0)


def paper_absorbs(bare: FloatArray | None, limits: Limits) -> Judged:
    """No paper reflects as the perfect white does at every wavelength. bare: (n, bands), readings of the bare paper."""
    if bare is None or not len(bare) or bare.shape[1] < limits["spectrum_bands"]:
        return None, None
    away = float(np.abs(np.median(bare, axis=0) - 1.0).max())
    if away > limits["perfect_white"]:
        return Law.PAPER_ABSORBS, None
    return Law.PAPER_ABSORBS, BrokenLaw(law=Law.PAPER_ABSORBS, found=away, limit=limits["perfect_white"], weight=0.5)


def deepest_black(lab: FloatArray, limits: Limits) -> Judged:
    """Ink over paper still mirrors light from its surface: squared spectra are darker than that. lab: (n, 3), from spectra."""
    light = np.sort(lab_to_xyz(lab)[:, 1])
    depth = float(np.log10(light[-1] / max(float(np.median(light[:_DARKEST])), _NO_LIGHT)))
    if depth <= limits["deepest"]:
        return Law.NOT_TOO_DEEP, None
    return Law.NOT_TOO_DEEP, BrokenLaw(law=Law.NOT_TOO_DEEP, found=depth, limit=limits["deepest"], weight=1.0)
