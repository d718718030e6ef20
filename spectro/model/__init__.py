"""The device model: device values to Lab, with its uncertainty."""
