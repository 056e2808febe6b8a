"""The examinations: each hides faults in the rig's machines, follows the advice, and marks it.

A module of this folder has ``examine(machine, count, seed, shuffled=False) -> list[Mark]``: `count` machines of the
make of `machine`, drawn from `seed`, each with its own hidden faults. `shuffled` hands every technician the readings of
another machine than the one that is judged: then no bound may be reached. The names of the marks stand in
`macros/pages/trust.py`, which says them to a reader.
"""
