"""From a device model to tables to a whole output profile."""
