"""The content's model -> pages: one module a page kind, with its Jinja template in `templates/`."""
