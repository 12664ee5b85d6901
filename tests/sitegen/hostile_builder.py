"""A run in which every word that people write is hostile: markup, templates, addresses, directions."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sizing.model import Order, OrderProblem
from sizing.policy import Waiver
from sizing.revision import ChangeReport
from tests.sitegen.result_builder import PLAIN, Run, changes_between, make_run, rally_policy

SCRIPT = "<script>window.owned=1</script><img src=x onerror='window.owned=1'>"
NAMES = (
    SCRIPT,
    "{{ 7*7 }} {% raw %} ${7*7} #{7*7} <% 7 %>",
    "</title></head><body onload=window.owned=1>",
    '"><svg onload=window.owned=1>',
    "--><h1>taken</h1><!--body-->",
    "Plain\u202eevil\u2066rtl",
    "שלום העולם",
    "🌊⛵ storm & calm",
    "N" * 300,
    "../../../etc/passwd",
    "con",
    "index",
    '[link](javascript:window.owned=1) ![x](http://outside.example/x.png) --8<-- "x" {: onclick=alert(1) }',
    '=HYPERLINK("http://outside.example")',
    "`code` *star* _under_ # head",
    "Grey Plover",
    "Grey Plover",
    "'+window.owned+'",
    "\\u003cscript\\u003e window.drogueMusterIndex=[];",
)


# What somebody may paste into a page of the rally, beside boats whose names are no better.
PAGE = f"""---
title: "{SCRIPT}"
---

# {SCRIPT} rules

{SCRIPT}

<script>
window.owned = 1
</script>

<iframe src="http://outside.example/"></iframe>
<style>body {{ display: none }}</style>

Text that looks like markup: onerror="window.owned=1" style="color: red" <!--body--> href="http://outside.example/"

[run](javascript:window.owned=1) [run](JAVASCRIPT:window.owned=1) [data](data:text/html,x) [file](file:///etc/passwd)
[root](/etc/passwd) [other](//outside.example/x) [out](https://outside.example/a?b=1&c="2")
[mail](mailto:race@rally.example) private1@person.example
<office@rally.example> <http://outside.example/> [a boat](boat:1) [another](boat:no-such)

![picture](http://outside.example/x.png "a title") ![inline](data:image/png;base64,AAAA) ![gone][gone]
![half](http://[) [half](http://[) [TOC]

[gone]: //outside.example/y.png

| {SCRIPT} | Number |
|---|---:|
| {{{{ 7*7 }}}} | 1 |

{{{{ 7*7 }}}} {{% raw %}} `<script>` &lt;b&gt; {{: onclick="window.owned=1" }}

!!! danger "{SCRIPT.replace('"', "'")}"
    ```html
    <script>window.owned=1</script> <a href="http://outside.example">x</a>
    ```
"""


def hostile_boats() -> list[dict[str, str]]:
    boats = []
    for number, name in enumerate(NAMES, start=1):
        boat = dict(PLAIN) | {
            "entry_no": f"{number}",
            "boat_name": name,
            "design": name[:80],
            "berth": name[:20],
            "sail_no": name[:30],
            "notes": name,
            "skipper": f"Private Person {number}",
            "email": f"private{number}@person.example",
            "phone": f"+00 7700 90{number:04d}",
        }
        boats.append(boat)
    boats.append(
        {
            "entry_no": SCRIPT,
            "boat_name": "Entry with markup",
            "boat_type": "sailing monohull",
            "loa": "9 m",
            "transom_width": "2 m",
            "displacement": "5 t",
        }
    )
    boats.append(
        {
            "entry_no": "99",
            "boat_name": SCRIPT,
            "boat_type": SCRIPT,
            "loa": SCRIPT,
            "transom_width": "2 m",
            "displacement": "5 t",
            "email": "hidden@person.example",
        }
    )
    return boats


def hostile_run() -> Run:
    policy = rally_policy()
    milestone = policy.rally.milestones[0].model_copy(update={"name": SCRIPT})
    rally = policy.rally.model_copy(
        update={"name": f"Rally {SCRIPT}", "officer": SCRIPT, "contact": SCRIPT, "milestones": (milestone,)}
    )
    waiver = Waiver(
        entry_no="1", check="end-weight.mass", reason=SCRIPT, officer=SCRIPT, until=date(2027, 6, 1)
    )
    run = make_run(hostile_boats(), policy.model_copy(update={"rally": rally, "waivers": (waiver,)}))
    return replace(run, result=replace(run.result, order=hostile_order(run.result.order)))


def hostile_order(order: Order) -> Order:
    """The order with what a price book can say in words: shop, description, note and problems."""
    line = replace(order.lines[0], supplier=SCRIPT, description=SCRIPT, note=SCRIPT)
    return replace(order, lines=(line, *order.lines[1:]), problems=(OrderProblem(0, SCRIPT, SCRIPT),))


def hostile_changes(run: Run) -> ChangeReport:
    """What changed since a list whose words were no better."""
    return changes_between(
        make_run([boat | {"notes": SCRIPT[::-1], "design": SCRIPT} for boat in hostile_boats()[2:]]), run
    )
