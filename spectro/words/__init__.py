"""Sentences of verdicts, causes and advice: one place, whoever shows them. `checks` gives numbers; nothing is computed here."""
