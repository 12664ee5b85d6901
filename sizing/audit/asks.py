"""What the entry may leave unsaid that several checks need, each said in one way."""

from __future__ import annotations

from typing import Final

from sizing.model import Ask

CONES: Final = Ask("how many cones [her] drogue has", "count the cones")
MOUTH: Final = Ask("how wide the mouths of [her] cones are", "measure the mouth of one cone")
FROM: Final = Ask("whether [her] drogue is set from the stern or the bow", "say from which end it is set")
KIND: Final = Ask("what kind of drogue is aboard", "say what kind of drogue it is")
ACROSS: Final = Ask("how wide [her] drogue is", "measure across its mouth")
LINE_SIZE: Final = Ask("how thick the lead line is", "measure the diameter of the lead line")
LINE_FIBRE: Final = Ask("what the line is made of", "say what fibre and make the line is")
LINE_ENDS: Final = Ask(
    "whether the ends are spliced or knotted", "look at every eye and say whether it is spliced or knotted"
)
LINE_STATE: Final = Ask("what state the line is in", "look along the whole line and say its state")
LINE_YEAR: Final = Ask("what year the line was made", "say what year the line was made")
SECTIONS: Final = Ask(
    "how thick each length of the cone line is", "measure each length of it, from the boat outward"
)
BRIDLE_SIZE: Final = Ask("how thick the bridle is", "measure the diameter of the bridle's rope")
BRIDLE_FIBRE: Final = Ask("what the bridle is made of", "say what fibre and make the bridle is")
BRIDLE_STATE: Final = Ask("what state the bridle is in", "look along both legs and say their state")
BRIDLE_YEAR: Final = Ask("what year the bridle was made", "say what year the bridle was made")
WIDTH: Final = Ask(
    "how wide [her] transom is, between the strong points",
    "measure between the two places aft where the bridle is made fast",
)
LEG: Final = Ask("how long the legs of [her] bridle are", "measure one finished leg")

NO_CONES: Final = "By the entry there is no line of cones aboard."
NO_STRONG_POINTS: Final = "[She] has no strong points aft to judge."
