"""Signing in with bearer tokens: made, hashed, scoped, limited, revoked."""

from api.signin.guard import Guard, LockedOut, TooManyRequests
from api.signin.guesses import Guesses
from api.signin.roles import ROLES, Role, Token
from api.signin.tokens import Tokens, make_token, revoke_token

__all__ = [
    "ROLES", "Guard", "Guesses", "LockedOut", "Role", "Token", "Tokens", "TooManyRequests", "make_token",
    "revoke_token",
]  # fmt: skip
