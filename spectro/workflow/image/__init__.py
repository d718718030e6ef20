"""What is done to pictures: converted to a printer, looked at before, judged."""
