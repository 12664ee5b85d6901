"""What can be put into a page of Markdown: `{{ name }}` as a paragraph stands for the block of that name.

A block is made by a template from data, after the Markdown was read: text of data is never read as markup.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from sitegen.pages.checks import ChecksBlock, StandingsBlock, checks_block, standings_block
from sitegen.pages.frame import Block
from sitegen.pages.method import (
    CatalogueBlock,
    PolicyBlock,
    PublishedBlock,
    RunBlock,
    SourcesBlock,
    StrikeBlock,
    catalogue_block,
    policy_block,
    published_block,
    run_block,
)
from sitegen.pages.seamanship import SeamanshipBlock, seamanship_block
from sitegen.pages.standing_texts import (
    CautionsBlock,
    GlossaryBlock,
    HeadlineBlock,
)
from sitegen.pages.strike_method import strike_method
from sitegen.texts import Texts
from sizing.catalogue import Catalogue
from sizing.model import MusterResult
from sizing.policy import Policy
from sizing.words import glossary

BLOCKS: Final[Mapping[str, type[Block]]] = {
    kind.name: kind
    for kind in (
        CatalogueBlock, CautionsBlock, ChecksBlock, GlossaryBlock, HeadlineBlock, PolicyBlock, PublishedBlock,
        RunBlock, SeamanshipBlock, SourcesBlock, StandingsBlock, StrikeBlock,
    )
}  # fmt: skip


def blocks_of(
    result: MusterResult,
    policy: Policy,
    catalogue: Catalogue,
    texts: Texts,
    private: Sequence[str],
    hidden: Collection[str] = (),
) -> dict[str, Block]:
    """Return every block by its name.

    `private` are contact details that may not stand in one, `hidden` the entry numbers of private boats.
    """
    made: list[Block] = [
        catalogue_block(catalogue),
        CautionsBlock(texts.cautions),
        checks_block(result),
        GlossaryBlock(glossary()),
        HeadlineBlock(texts.headline_caution),
        policy_block(policy, private, hidden),
        published_block(texts.tested),
        run_block(result),
        seamanship_block(),
        SourcesBlock(texts.sources),
        standings_block(),
        StrikeBlock(strike_method()),
    ]
    return {block.name: block for block in made}
