"""Editions of a content folder: what each one said, and what is new from one to the next.

`summary` keeps what a reader can see of an edition, ``editions/NUMBER.json`` in the content folder; `history` finds an
edition in the folder's own version control; `changes` compares two; `listing` says it at the command line.
"""
