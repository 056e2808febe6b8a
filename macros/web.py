"""What any server of the handbook sends: types, headers and caching, said once.

`serve` sends them, the settings for other servers are made from them (`settings`), and `doctor` asks for them.
"""

from macros import naming

CSP = (
    "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self' blob:; style-src 'self'; "
    "img-src 'self' data: blob:; object-src 'none'; base-uri 'self'; frame-ancestors 'none'; "
    "form-action 'self'"
)

HEADERS = {
    "Content-Security-Policy": CSP,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""Sent with every answer."""

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
    ".whl": "application/zip",
    ".zip": "application/zip",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".webp": "image/webp",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
    ".woff": "font/woff",
    ".txt": "text/plain; charset=utf-8",
    ".xml": "application/xml",
    ".pdf": "application/pdf",
}
"""Type by ending. Not taken from the machine's registry, which on some machines is wrong for scripts."""

FOREVER = "public, max-age=31536000, immutable"
ASK = "no-cache"
"""Kept, but asked about before each use."""


def caching(url: str) -> str:
    """Cache-Control for an address relative to home: only what stands under a hash is kept without asking again."""
    return FOREVER if naming.is_named(url) else ASK
