"""The catalog: a folder of designs becomes films, thumbnails, figures and one searchable page.

``task`` finds designs and says what each result depends on, ``work`` makes one design's results,
``workers`` and ``cluster`` spread that over processes and machines, ``store`` keeps results on
disk, ``index`` writes what a person or a script reads, and ``run`` ties them together.
"""
