"""The chase to departure: who has still to do what for which boat, and by when.

Read `actions` first. `dates` says how milestones become last days, `jobs` whose each action is,
`chase_table` is the officer's list, `calls` whom the office calls first, `messages` what each skipper
is told.
"""

from sizing.chase.actions import Action, boat_actions, chase_actions
from sizing.chase.calls import MOST_TODAY, Call, calls_csv, calls_of, holding_up
from sizing.chase.chase_table import chase_csv
from sizing.chase.dates import Due, Stage, due_for
from sizing.chase.jobs import OWNERS, first_due, last_days
from sizing.chase.messages import messages_for, write_messages

__all__ = [
    "MOST_TODAY",
    "OWNERS",
    "Action",
    "Call",
    "Due",
    "Stage",
    "boat_actions",
    "calls_csv",
    "calls_of",
    "chase_actions",
    "chase_csv",
    "due_for",
    "first_due",
    "holding_up",
    "last_days",
    "messages_for",
    "write_messages",
]
