"""A content file as an editor sees it: values by YAML 1.2's core schema; and trees that can be written and changed."""

import json
import math
import re
from dataclasses import dataclass
from typing import Any

import yaml

_INT = re.compile(r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_PLAIN = re.compile(r"[0-9A-Za-z.+~][0-9A-Za-z.+~/%:_-]*( [0-9A-Za-z.+~/%_-]+)*")


def core(text: str) -> Any:
    """The value of a scalar without quotes (YAML 1.2.2, 10.3.2)."""
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if _INT.fullmatch(text):
        return int(text, 0) if text[:2] in ("0x", "0o") else int(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    if re.fullmatch(r"[-+]?\.(inf|Inf|INF)", text):
        return -math.inf if text.startswith("-") else math.inf
    return math.nan if text in (".nan", ".NaN", ".NAN") else text


def seen(text: str) -> Any:
    """The document in `text`, its scalars read by the core schema; keys as they are written."""
    return _value(yaml.compose(text, Loader=yaml.CSafeLoader))


def _value(node: yaml.Node) -> Any:
    if isinstance(node, yaml.MappingNode):
        return {key.value: _value(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_value(item) for item in node.value]
    return core(node.value) if node.style in (None, "") else node.value


@dataclass(frozen=True)
class Scalar:
    """A scalar to be written, with quotes or without."""

    text: str
    quoted: bool = False

    def written(self) -> str:
        plain = not self.quoted and (not self.text or _PLAIN.fullmatch(self.text)) and ": " not in self.text + " "
        return self.text if plain else json.dumps(self.text)

    def canonical(self) -> "Scalar":
        """The same value in its shortest spelling; what is no number for a page (``.nan``) as a text."""
        value = core(self.text) if self.written() == self.text else self.text
        if isinstance(value, bool):
            return Scalar("true" if value else "false")
        if isinstance(value, float) and not math.isfinite(value):
            return Scalar(self.text, True)
        if isinstance(value, float):
            return Scalar(str(int(value)) if value.is_integer() and abs(value) < 1e15 else format(value, ".15g"))
        return Scalar(str(value)) if isinstance(value, int) else self


def tree(plain: Any) -> Any:
    """Plain Python (text, list, dict) as a tree of scalars without quotes where that is possible."""
    if isinstance(plain, dict):
        return {key: tree(value) for key, value in plain.items()}
    return [tree(item) for item in plain] if isinstance(plain, list) else Scalar(plain)


def written(one: Any) -> str:
    """A tree as YAML, in flow style."""
    if isinstance(one, dict):
        entries = [(Scalar(key, not key).written(), written(value)) for key, value in one.items()]
        return "{" + ", ".join(f"{key}: {value}" for key, value in entries) + "}"
    # An item that is nothing has to be written in flow style.
    return "[" + ", ".join(written(item) or "~" for item in one) + "]" if isinstance(one, list) else one.written()


def canonical(one: Any) -> Any:
    """A tree with every scalar in its shortest spelling."""
    if isinstance(one, dict):
        return {key: canonical(value) for key, value in one.items()}
    return [canonical(item) for item in one] if isinstance(one, list) else one.canonical()
