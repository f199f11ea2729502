"""The press: the one file that knows MkDocs. It hands pages over, and says how a site is built and previewed.

build(config_file, casebook)                      the site, once
serve(config_file, address, watched, fresh)       a preview that builds itself anew
WitnessPlugin                                     MkDocs' events, translated
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")  # The theme's notice would stand in front of our own words.

from mkdocs.commands import build as building
from mkdocs.commands import serve as serving
from mkdocs.config import config_options, load_config
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException, PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel

from ledger.calculators.register import REGISTER
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.errors import FaultsFound, WitnessError
from ledger.publishing import editions, navigation, pages
from ledger.publishing.building import assets as of_the_sheet
from ledger.publishing.exchanging import exchanged
from ledger.publishing.live.policy import guarded
from ledger.publishing.live.section import assets as of_live_numbers
from ledger.publishing.picturing import of_the_site, reprints
from ledger.publishing.replying.section import assets as of_replies
from ledger.publishing.replying.settings import destination

THEME = Path(__file__).parent / "publishing" / "theme"
STYLE = f"{pages.ASSETS}/witness.css"
MAP = "sitemap.xml"
MARK = f"{pages.ASSETS}/mark.svg"

_fresh: ContextVar[Callable[[], Casebook] | None] = ContextVar("fresh", default=None)
_watched: ContextVar[Path | None] = ContextVar("watched", default=None)


class Replies(Config):  # type: ignore[no-untyped-call]  # MkDocs annotates no __init_subclass__
    """Where readers' replies go: the address of an intake, a mail address, both or neither."""

    intake = config_options.Optional(config_options.Type(str))
    mail = config_options.Optional(config_options.Type(str))


class Options(Config):  # type: ignore[no-untyped-call]  # as above
    """The plugin's options in `mkdocs.yml`.

    ledger   the ledger file, seen from the folder of `mkdocs.yml`
    replies  where readers' replies go
    """

    ledger = config_options.File(default="../witness.sqlite")
    replies = config_options.SubConfig(Replies)


class WitnessPlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]  # as above
    """Translates events: which files there are, what stands in the navigation, what the preview watches."""

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Set what the pages rely on: addresses that work from a file, our looks, and nothing that tells the time."""
        try:
            self.replies = destination(self.config.replies.intake, self.config.replies.mail)
        except FaultsFound as error:
            raise PluginError(str(error)) from error
        config.use_directory_urls = False
        if STYLE not in config.extra_css:
            config.extra_css.insert(0, STYLE)
        if str(THEME) not in config.theme.dirs:
            config.theme.dirs.insert(1 if config.theme.custom_dir else 0, str(THEME))
        if config.theme.get("logo") is None:
            config.theme["logo"] = MARK
            config.theme["favicon"] = MARK
        # The site's map carries the day of the build; the page for lost readers needs to know the site's address.
        config.theme.static_templates.discard(MAP)
        if not config.site_url:
            config.theme.static_templates.discard("404.html")
        return config

    def on_files(self, files: Files, config: MkDocsConfig) -> Files:
        """Add the generated pages and assets, and the navigation; pages of one's own come after."""
        casebook, root = self._casebook(), Path(self.config.ledger).parent
        if unwanted := files.get_file_from_path(MAP):
            files.remove(unwanted)
        _without_metadata(files, config)
        own = [file.src_uri for file in files if file.src_dir == config.docs_dir]
        config.extra["witness_invented"] = casebook.investigation.invented
        made = pages.make(casebook, REGISTER, frozenset(own), root, config.site_url or "", self.replies)
        assets = {**pages.assets(), **reprints(casebook, root), **of_the_sheet(casebook), **of_live_numbers(REGISTER)}
        assets |= of_replies()
        if config.site_url:
            assets[editions.FEED] = editions.feed(casebook, config.site_url)
        for taken in sorted({*made, *assets} & set(own)):
            raise PluginError(
                f"{Path(config.docs_dir).name}/{taken} stands where the ledger puts a page of its own: rename it."
            )
        nav = navigation.nav(casebook, REGISTER)
        listed = set(navigation.paths(nav))
        for path, text in made.items():
            inclusion = InclusionLevel.INCLUDED if path in listed else InclusionLevel.NOT_IN_NAV
            files.append(File.generated(config, path, content=text, inclusion=inclusion))
        for path, content in assets.items():
            files.append(File.generated(config, path, content=content))
        if not config.nav:
            own_pages = [file.src_uri for file in files.documentation_pages() if file.src_uri in own]
            config.nav = [*nav, *sorted(own_pages)]
        return files

    @event_priority(-100)
    def on_post_page(self, output: str, **_given: object) -> str:
        """Put the content security policy into each page as it is finally written."""
        return guarded(output, self.replies.origin)

    @event_priority(-100)
    def on_post_template(self, output_content: str, *, template_name: str, **_given: object) -> str:
        """Put it into what is a page without being in the site's tree, such as the one for lost readers."""
        return guarded(output_content, self.replies.origin) if template_name.endswith(".html") else output_content

    @event_priority(-100)
    def on_post_build(self, config: MkDocsConfig) -> None:
        """Lay the search index beside itself as a script: a page opened from a file may read a script, but no data."""
        index = Path(config.site_dir) / "search" / "search_index.json"
        if index.is_file():
            index.with_suffix(".js").write_text(f"var __index = {index.read_text(encoding='utf-8')}", encoding="utf-8")

    def on_serve(
        self, server: LiveReloadServer, config: MkDocsConfig, builder: Callable[..., None]
    ) -> LiveReloadServer:
        """Have the preview watch the entry files."""
        watched = _watched.get()
        if watched is not None:
            server.watch(str(watched))
        return server

    def _casebook(self) -> Casebook:
        fresh = _fresh.get()
        store = Path(self.config.ledger)
        try:
            return fresh() if fresh is not None else open_casebook(store.parent, store)
        except WitnessError as error:
            raise PluginError(str(error)) from error


def build(config_file: Path, casebook: Casebook | None = None) -> Path:
    """Build the site and return its folder. Without a casebook the one of the configured ledger is opened.

    The site that stands there stays as it is until the new one is whole.

    WitnessError with everything the build complained of when it does not pass.
    """
    supply = None if casebook is None else lambda: casebook
    complaints = _Complaints()
    with _supplied(supply), _heard_by(complaints, logging.WARNING):
        try:
            config = load_config(str(config_file))
            place = Path(config.site_dir)
            with exchanged(place) as fresh:
                config.site_dir = str(fresh)
                config.plugins.on_startup(command="build", dirty=False)
                try:
                    building.build(config)
                finally:
                    config.plugins.on_shutdown()
        except (MkDocsException, Abort) as error:
            raise WitnessError("\n".join(["The pages were not built.", *(complaints.kept or [str(error)])])) from error
    return place


def serve(
    config_file: Path, address: str, watched: Path | None = None, fresh: Callable[[], Casebook] | None = None
) -> None:
    """Serve a preview at `host:port` until interrupted; it is built anew when pages or anything `watched` change.

    fresh  gives the casebook for each build; without it the configured ledger is opened
    """
    spoken = logging.StreamHandler()
    spoken.setFormatter(logging.Formatter("%(message)s"))
    with _supplied(fresh, watched), _heard_by(spoken, logging.INFO):
        try:
            serving.serve(str(config_file), dev_addr=address)
        except (MkDocsException, Abort) as error:
            raise WitnessError(f"The preview has stopped. {error}") from error
        except OSError as error:
            raise WitnessError(
                f"The preview cannot be served at {address}: {error.strerror}. Choose another address."
            ) from error


@contextmanager
def _supplied(fresh: Callable[[], Casebook] | None, watched: Path | None = None) -> Iterator[None]:
    tokens = _fresh.set(fresh), _watched.set(watched)
    try:
        yield
    finally:
        _fresh.reset(tokens[0])
        _watched.reset(tokens[1])


def _without_metadata(files: Files, config: MkDocsConfig) -> None:
    """Have pictures among one's own files published from their pixels alone."""
    for file in files:
        if file.src_dir == config.docs_dir and file.abs_src_path is not None:
            try:
                content = of_the_site(Path(file.abs_src_path), file.src_uri)
            except WitnessError as error:
                raise PluginError(str(error)) from error
            if content is not None:
                file.content_bytes = content


class _Complaints(logging.Handler):
    """Keeps warnings and errors of the build, each once."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.kept: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep one."""
        text = record.getMessage()
        if text not in self.kept:
            self.kept.append(text)


@contextmanager
def _heard_by(handler: logging.Handler, level: int) -> Iterator[None]:
    logger = logging.getLogger("mkdocs")
    before = logger.level
    logger.addHandler(handler)
    logger.setLevel(level)
    try:
        yield
    finally:
        logger.removeHandler(handler)
        logger.setLevel(before)
