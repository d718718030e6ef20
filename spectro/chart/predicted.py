"""Predicted colours of a chart's patches, whatever its channels are."""

import numpy as np

from spectro.chart.channels import GREY, RGB, channel_names
from spectro.chart.generic_printer import predict_lab
from spectro.chart.ink_printer import predict_ink_lab
from spectro.records.arrays import FloatArray
from spectro.records.chart import ChartRecipe


def predicted_lab(recipe: ChartRecipe, device: FloatArray) -> FloatArray:
    """Return Lab (n, 3), D50, that device values (n, channels), 0 to 1, will roughly give on a generic printer."""
    channels = channel_names(recipe)
    if channels == RGB:
        return predict_lab(device)
    if channels == GREY:
        return predict_lab(np.repeat(device, 3, axis=-1))
    return predict_ink_lab(device, channels, recipe.ink_colours)
