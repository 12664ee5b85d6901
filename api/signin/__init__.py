"""Signing in with bearer tokens: made, hashed, scoped, limited, revoked."""

from api.signin.guesses import Guesses
from api.signin.rate_limit import LockedOut, RateLimit, TooManyRequests
from api.signin.roles import ROLES, Role, Token
from api.signin.tokens import Tokens

__all__ = [
    "ROLES",
    "Guesses",
    "LockedOut",
    "RateLimit",
    "Role",
    "Token",
    "Tokens",
    "TooManyRequests",
]  # fmt: skip
