"""Build time: reads and checks content/, makes the pages, and runs the verbs of handbook.py."""
