"""Reading a policy file, and writing a blank one that documents every key.

Messages name the file, the line and the key. TOML itself is read by the standard library; the line of a key
is found again in the text, since the parser does not keep it.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from pathlib import Path

from pydantic import ValidationError

from sizing.errors import PolicyError
from sizing.fields import CHOICES
from sizing.policy import Policy, Rule, rules
from sizing.policy_words import in_words, place_in_words

MOST_PROBLEMS_SHOWN = 12
MOST_BYTES = 1_000_000


def load_policy(path: Path | None) -> tuple[Policy, str]:
    """Read and validate a policy file; None gives the defaults of the basis.

    Returns
    -------
    The policy and the SHA-256 of its bytes (of nothing, for the defaults).

    Raises
    ------
    PolicyError
        unreadable, not TOML, unknown key, impossible limit, a loosened rule without reason
    """
    if path is None:
        return Policy(), hashlib.sha256(b"").hexdigest()
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as problem:
        raise PolicyError(
            f"policy file {path.name}", f"it cannot be read ({problem.strerror})", "a readable TOML file",
            "check the path and the permissions of the file",
        ) from problem  # fmt: skip
    if size > MOST_BYTES:
        raise PolicyError(
            f"policy file {path.name}", f"it is {size:,} bytes long", "a policy of a few kilobytes",
            "give the rally's policy file, not the fleet file",
        )  # fmt: skip
    return parse_policy(data, path.name), hashlib.sha256(data).hexdigest()


def parse_policy(data: bytes, name: str) -> Policy:
    """Parse and validate the bytes of a policy file called `name`; raises PolicyError."""
    where = f"policy file {name}"
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise PolicyError(
            where, f"byte {problem.start} is not UTF-8 text", "a TOML file saved as UTF-8",
            "save it again as UTF-8 from a text editor",
        ) from problem  # fmt: skip
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise PolicyError(
            where, f"it is not valid TOML: {problem}", 'lines such as: strength_use = 0.60',
            "correct that line; `drogue-muster template --policy` writes a correct file to start from",
        ) from problem  # fmt: skip
    try:
        return Policy.model_validate(table)
    except ValidationError as problem:
        raise _explained(problem, text, where) from problem


def _explained(problem: ValidationError, text: str, where: str) -> PolicyError:
    sentences = []
    errors = problem.errors(include_url=False)
    for error in errors[:MOST_PROBLEMS_SHOWN]:
        path = [str(part) for part in error["loc"]]
        message = in_words(error)
        if not path:
            path = message.split(":", 1)[0].split(".")
            message = message.split(":", 1)[-1].strip()
        line = line_of(text, path)
        at = f"line {line}, " if line else ""
        sentences.append(f"{at}key {place_in_words(path)}: {message}")
    if len(errors) > MOST_PROBLEMS_SHOWN:
        sentences.append(f"and {len(errors) - MOST_PROBLEMS_SHOWN} more")
    return PolicyError(
        where, "; ".join(sentences), "keys and limits as documented",
        "correct these lines; `drogue-muster template --policy` documents every key",
    )  # fmt: skip


def line_of(text: str, path: list[str]) -> int | None:
    """Line number (from 1) of a dotted key in TOML text, or of its table, or None.

    >>> line_of("[sizing]\\nstrength_use = 2\\n", ["sizing", "strength_use"])
    2
    """
    lines = text.splitlines()
    place: int | None = None
    start, table = 0, ""
    for depth in range(len(path), 0, -1):
        header = re.compile(r"^\s*\[+\s*" + re.escape(".".join(path[:depth])) + r"\s*\]+")
        for number, line in enumerate(lines):
            if header.match(line):
                start, table, place = number + 1, ".".join(path[:depth]), number + 1
                break
        if place:
            break
    rest = path[len(table.split(".")) if table else 0 :]
    for key in (part for part in rest if not part.isdigit()):
        pattern = re.compile(r'^\s*"?' + re.escape(key) + r'"?\s*=')
        for number in range(start, len(lines)):
            if table and re.match(r"^\s*\[", lines[number]):
                break
            if pattern.match(lines[number]):
                return number + 1
    return place


def policy_template() -> str:
    """A whole policy file with every key, its default, meaning, bounds and source, all commented out."""
    lines = [
        "# Rally policy. Every line shows a default of the engineering basis: take the # away to change it.",
        '# Quantities are text with a unit, such as "75 ft" or "23 m"; bare numbers are ratios or counts.',
        "# A value looser than the basis needs a line in [reasons]; the site shows that reason.",
        "",
        "[rally]",
        '# name = "Name shown on every page"',
        '# officer = "Safety office"',
        "# contact is shown on every page and in every message. A mail address in any other text is refused.",
        '# contact = "safety@rally.example"  # or a telephone number or web address',
        "# With true every boat's page has an address that cannot be guessed, and no list names her.",
        "# private_pages = false",
        "# departure = 2027-05-22",
        "# milestones = [",
        "#   # closes is orders, work or inspection, or is left out",
        '#   { name = "gear aboard", due = 2027-05-01, closes = "work" },',
        "# ]",
        "",
        "[purchase]",
        "# What stands on the order and on the papers for suppliers. None of it is on the site.",
        '# buyer = "Who buys and pays, as invoices name it"',
        '# delivery = "Where goods are to be delivered: street, place, country, hours"',
        "# Prices are asked for without value added tax. Its rate, in per cent, gives the sums with it.",
        "# vat_percent = 20",
    ]
    table = ""
    for rule in rules(Policy()):
        name = rule.key.split(".")[0]
        if name != table:
            table = name
            lines += ["", f"[{table}]"]
            if table == "audit":
                lines += [
                    '# accepted_devices = ["series drogue", "cone drogue"]'
                    "  # others known: " + ", ".join(w for w in CHOICES["device_type"][2:4]),
                    '# accepted_evidence = ["certificate", "measured by scrutineer", "photo"]',
                ]
            if table == "order":
                lines += [
                    "# Nothing is bought for a boat whose gear_supply does not say rally order. With false",
                    "# the rally orders without asking, for every boat that has not said something else.",
                    "# ask_first = true",
                    "# What drogues are hauled in with: winch or tackle. Kits, steps and drawings follow it.",
                    f'# recovery_sailing = "{Policy().order.recovery_sailing}"',
                    f'# recovery_motor = "{Policy().order.recovery_motor}"',
                    "# How a cone is closed: open, both allowances turned to one side, or lapped, one",
                    "# edge laid flat over the other, line on line. Common practice, no source.",
                    f'# seam = "{Policy().order.seam}"',
                ]
            if table == "workshop":
                lines += [
                    "# People who can do some of the work alone: cut, baste, sew, turn, splice, fit, check.",
                    "# All others can do everything.",
                    '# crews = [{ people = 4, can = ["cut", "baste", "turn"] }]',
                ]
        lines += [f"# {rule.meaning} {rule.source}; stricter: {_stricter(rule)}", f"# {_assignment(rule)}"]
    lines += [
        "",
        "[checks]",
        "# Which checks the rally requires and which it only advises, where it differs from the checks page.",
        '# In this file "shall" stands for required and "should" for advised.',
        '# "hardware.mousing" = "shall"',
        "",
        "# One block for each finding set aside. It never changes a number, and ends on its date.",
        "# [[waivers]]",
        '# entry_no = "017"',
        '# check = "line.lead-length"',
        '# reason = "why"',
        '# officer = "who"',
        "# until = 2027-05-01",
        "",
        "[reasons]",
        '# "sizing.strength_use" = "why this value is looser than the basis"',
        "",
    ]
    return "\n".join(lines)


def _stricter(rule: Rule) -> str:
    return {"higher": "a larger value", "lower": "a smaller value", "either": "neither way"}[rule.tighter]


def _assignment(rule: Rule) -> str:
    name = rule.key.split(".")[1]
    if rule.unit in {"m", "kg", "m/s"}:
        return f'{name} = "{rule.default:.6g} {rule.unit}"'
    number = f"{rule.default:g}"
    return f"{name} = {number}"
