"""What a notebook uses: five-line ways to do what the commands do. The functions are found as `spectro.NAME`.

Every function takes paths as `str` or `Path` and readings already loaded where it takes files of them. It returns an answer:
a record with a verdict, plain numbers, a report that is written when asked for, and tables as pandas frames.
"""
