"""The static site of a run: pages, drawings, plots, publishing."""

from sitegen.build import SiteReport, build_site
from sitegen.publish import rollback

__all__ = ["SiteReport", "build_site", "rollback"]
