"""What several commands do on their way, such as checking the names of their reports."""
