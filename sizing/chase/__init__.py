"""The chase to departure: who has still to do what for which boat, and by when.

Read `actions` first. `dates` says how milestones become last days, `owners` and `plan_actions` whose each
action is, `chase_table` the officer's list, `messages` what each skipper is told.
"""

from sizing.chase.actions import Action, boat_actions, chase_actions
from sizing.chase.chase_table import chase_csv
from sizing.chase.dates import Due, Stage, due_for
from sizing.chase.last_days import first_due, last_days
from sizing.chase.messages import messages_for, write_messages
from sizing.chase.owners import OWNERS, Owner

__all__ = [
    "OWNERS",
    "Action",
    "Due",
    "Owner",
    "Stage",
    "boat_actions",
    "chase_actions",
    "chase_csv",
    "due_for",
    "first_due",
    "last_days",
    "messages_for",
    "write_messages",
]
