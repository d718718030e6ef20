"""Text file formats of charts and measurements, read strictly and written canonically."""
