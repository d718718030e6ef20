"""The desk: the commands in a browser window on this machine, entered by question. Nothing is computed or judged here.

A page is a form made of a command's own arguments; a piece of work is one run of that command in a process of its own, whose
document is shown as the report it is. What people read of the desk itself stands in `jobs.toml` and the templates.
"""
