"""The pictures of the answers: one module a calculator, drawn with `figure.Drawing`."""
