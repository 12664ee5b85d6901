"""The chase to departure: who has still to do what for which boat, and by when.

Read `actions` first. `dates` says how milestones become last days, `jobs` whose each action is,
`chase_table` is the officer's list, `calls` whom the office calls first, `messages` what each skipper
is told. `tasks` merges a boat's findings into the few jobs of her page, `questions` asks each thing once,
`form` is what her skipper fills in.
"""

from sizing.chase.actions import Action, boat_actions, chase_actions
from sizing.chase.calls import MOST_TODAY, Call, calls_csv, calls_of, holding_up
from sizing.chase.chase_table import chase_csv
from sizing.chase.dates import Due, Stage, due_for
from sizing.chase.form import FOLLOWED, Asked, form_of
from sizing.chase.getting import Getting, getting_of
from sizing.chase.jobs import OWNERS, last_days, practised
from sizing.chase.messages import messages_for, write_messages
from sizing.chase.questions import Question, by_gear, questions_of
from sizing.chase.tasks import MOST_SHOWN, Task, asked_in, tasks_of

__all__ = [
    "FOLLOWED",
    "MOST_SHOWN",
    "MOST_TODAY",
    "OWNERS",
    "Action",
    "Asked",
    "Call",
    "Due",
    "Getting",
    "Question",
    "Stage",
    "Task",
    "asked_in",
    "boat_actions",
    "by_gear",
    "calls_csv",
    "calls_of",
    "chase_actions",
    "chase_csv",
    "due_for",
    "form_of",
    "getting_of",
    "holding_up",
    "last_days",
    "messages_for",
    "practised",
    "questions_of",
    "tasks_of",
    "write_messages",
]
