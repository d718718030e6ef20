"""Commands of the shelf of printing conditions."""
