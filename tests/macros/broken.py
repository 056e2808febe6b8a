"""Broken samples of content: one change to a sound folder, and the problems that it must give.

For each kind of problem there is one that raises it and nothing else; the author's guide shows the first such.
"""

from .broken_content import CONTENT
from .broken_files import FILES as FILES
from .broken_procedures import PROCEDURES, SAFE as SAFE, SURVEY as SURVEY

#: file, what is replaced, by what, and the problems: (file, line, rule, words that it must hold).
BROKEN = [*PROCEDURES, *CONTENT]
