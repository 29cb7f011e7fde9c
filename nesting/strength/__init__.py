"""What wood and screws carry: published formulas and tables, without any project, plan or solver.

Plain floats in the units each docstring names: pounds (force), inches and pounds a square inch, as the publications
print them; :mod:`nesting.strength.units` converts at the edge with exact factors. The publications, by the names
used throughout:

NDS: ANSI/AWC National Design Specification for Wood Construction, 2018. *Wood Handbook*: USDA Forest Products
Laboratory, FPL-GTR-282. PS 1: Voluntary Product Standard PS 1-19. Panel manual: ASD/LRFD Manual for Engineered Wood
Construction, panels. ASME B18.6.1: wood screws. NEC: National Electrical Code, 300.4.

Each table says how its figures came here: *read* in the publication itself, *transcribed* (read in a page-cited
transcription of the standard), *from memory*, or *derived* here. None of this is an engineered rating.
"""
