"""What a mail address looks like in a text: the only place that says so."""

from __future__ import annotations

import re
from typing import Final

MAIL_ADDRESS: Final = re.compile(r"[\w.+%-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,8}")
