"""The press: the one file that knows MkDocs. It hands pages over, and says how a site is built and previewed.

build(config_file, casebook)                      the site, once
serve(config_file, address, watched, fresh)       a preview whose pages are made as they are looked at
WitnessPlugin                                     MkDocs' events, translated
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

os.environ.setdefault("NO_MKDOCS_2_WARNING", "1")  # The theme's notice would stand in front of our own words.

from mkdocs.commands import build as building
from mkdocs.config import config_options, load_config
from mkdocs.config.base import Config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort, MkDocsException, PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files, InclusionLevel, get_files, set_exclusions
from mkdocs.structure.nav import get_navigation
from mkdocs.structure.pages import Page

from ledger.calculators.register import REGISTER
from ledger.casebook.opening import open_casebook
from ledger.casebook.values import Casebook
from ledger.errors import FaultsFound, WitnessError
from ledger.publishing import editions, navigation, pages, previewing
from ledger.publishing.building import assets as of_the_sheet
from ledger.publishing.downloads import Downloads
from ledger.publishing.exchanging import exchanged
from ledger.publishing.live.policy import guarded
from ledger.publishing.live.section import assets as of_live_numbers
from ledger.publishing.media.own_files import left_out
from ledger.publishing.media.picturing import of_the_site, reprints
from ledger.publishing.media.sounding import sounds
from ledger.publishing.media.thumbs import pieces
from ledger.publishing.mending import mended
from ledger.publishing.rendering import lifted, put_back
from ledger.publishing.replying.section import assets as of_replies
from ledger.publishing.replying.settings import destination

THEME = Path(__file__).parent / "publishing" / "theme"
STYLES = tuple(f"{pages.ASSETS}/{name}.css" for name in ("witness", "comparison", "pictures"))
MAP = "sitemap.xml"
MARK = f"{pages.ASSETS}/mark.svg"

_fresh: ContextVar[Callable[[], Casebook] | None] = ContextVar("fresh", default=None)
_previewing: ContextVar[bool] = ContextVar("previewing", default=False)


class Replies(Config):  # type: ignore[no-untyped-call]  # MkDocs annotates no __init_subclass__
    """Where readers' replies go: the address of an intake, a mail address, both or neither."""

    intake = config_options.Optional(config_options.Type(str))
    mail = config_options.Optional(config_options.Type(str))


class Options(Config):  # type: ignore[no-untyped-call]  # MkDocs annotates no __init_subclass__
    """The plugin's options in `mkdocs.yml`.

    ledger   the ledger file, seen from the folder of `mkdocs.yml`
    replies  where readers' replies go
    """

    ledger = config_options.File(default="../witness.sqlite")
    replies = config_options.SubConfig(Replies)


class WitnessPlugin(BasePlugin[Options]):  # type: ignore[no-untyped-call]  # nor does its plugin
    """Translates events: which files there are, and what stands in the navigation."""

    makers: dict[str, Callable[[], str]]
    blocks: dict[str, list[str]]
    asset_makers: tuple[Callable[[], Mapping[str, bytes]], ...]

    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Set what the pages rely on: addresses that work from a file, our looks, and nothing that tells the time."""
        try:
            self.replies = destination(self.config.replies.intake, self.config.replies.mail)
        except FaultsFound as error:
            raise PluginError(str(error)) from error
        config.use_directory_urls = False
        config.extra_css[:0] = [style for style in STYLES if style not in config.extra_css]
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
        _left_out(files, config, casebook, root)
        _without_metadata(files, config)
        own = [file.src_uri for file in files if file.src_dir == config.docs_dir]
        config.extra["witness_invented"] = casebook.investigation.invented
        data = Downloads(casebook)
        self.blocks = {}
        self.makers = pages.makers(casebook, REGISTER, frozenset(own), root, config.site_url or "", self.replies, data)
        self.asset_makers = (
            pages.assets,
            of_replies,
            cache(lambda: of_live_numbers(REGISTER)),
            cache(lambda: reprints(casebook, root)),
            cache(lambda: pieces(casebook, root)),
            cache(lambda: sounds(casebook, root)),
            cache(lambda: of_the_sheet(casebook)),
            data.files,
            lambda: {editions.FEED: editions.feed(casebook, config.site_url)} if config.site_url else {},
        )
        assets: dict[str, bytes] = {}
        for maker in () if _previewing.get() else self.asset_makers:
            assets |= maker()
        for taken in sorted({*self.makers, *assets} & set(own)):
            raise PluginError(
                f"{Path(config.docs_dir).name}/{taken} stands where the ledger puts a page of its own: rename it."
            )
        nav = navigation.nav(casebook, REGISTER)
        listed = set(navigation.paths(nav))
        for path, make in self.makers.items():
            inclusion = InclusionLevel.INCLUDED if path in listed else InclusionLevel.NOT_IN_NAV
            text = "" if _previewing.get() else make()
            files.append(File.generated(config, path, content=text, inclusion=inclusion))
        for path, content in assets.items():
            files.append(File.generated(config, path, content=content))
        if not config.nav:
            own_pages = [file.src_uri for file in files.documentation_pages() if file.src_uri in own]
            config.nav = [*nav, *sorted(own_pages)]
        return files

    @event_priority(-100)
    def on_page_markdown(self, markdown: str, *, page: Page, **_given: object) -> str:
        """Take the blocks out of the ledger's own pages."""
        if page.file.src_uri not in self.makers:
            return markdown
        text, self.blocks[page.file.src_uri] = lifted(markdown)
        return text

    @event_priority(100)
    def on_page_content(self, html: str, *, page: Page, **_given: object) -> str:
        """Put the blocks back."""
        return put_back(html, self.blocks.pop(page.file.src_uri, ()))

    @event_priority(-100)
    def on_post_page(self, output: str, **_given: object) -> str:
        """Put the content security policy into each page as it is finally written."""
        return guarded(mended(output), self.replies.origin)

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
    complaints, place = _Complaints(), Path()
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
        except OSError as error:
            where = f" ({error.filename})" if error.filename is not None else ""
            raise WitnessError(
                f"The pages were not built: {error.strerror or error}{where}. See to the permissions and free space of "
                f"{place.parent}; the site that stands there stays as it was."
            ) from error
    return place


class Laid:
    """A site laid out for the preview: each page is made when it is asked for, by the events that also make the site.

    It has no search, no address of its own, and no pages that MkDocs makes of templates alone.
    """

    def __init__(self, config_file: Path) -> None:
        config = load_config(str(config_file))
        for name in [one for one in config.plugins if one.rpartition("/")[2] == "search"]:
            del config.plugins[name]
        config.site_url = ""
        config.plugins.on_startup(command="serve", dirty=False)
        self._config = config.plugins.on_config(config)
        config.plugins.on_pre_build(config=self._config)
        self._env = config.theme.get_env()
        self._files = config.plugins.on_files(get_files(self._config), config=self._config)
        set_exclusions(self._files, self._config)
        self._nav = config.plugins.on_nav(
            get_navigation(self._files, self._config), config=self._config, files=self._files
        )
        self._env = config.plugins.on_env(self._env, config=self._config, files=self._files) or self._env
        self._by_url = {file.dest_uri: file for file in self._files}
        (self._plugin,) = (one for one in config.plugins.values() if isinstance(one, WitnessPlugin))
        for page in self._nav.pages:
            if page.file.src_uri not in self._plugin.makers:  # The title of a page of one's own stands in its text.
                self._read(page)

    def get(self, path: str) -> bytes | None:
        """Return what stands at a path of the site, or None. WitnessError where a page cannot be made."""
        file = self._by_url.get(path)
        try:
            if file is not None:
                return self._page(file) if file.is_documentation_page() else file.content_bytes
            if (found := self._of_the_theme(path)) is not None:
                return found
            return next((made[path] for make in self._plugin.asset_makers if path in (made := make())), None)
        except MkDocsException as error:
            raise WitnessError(str(error)) from error

    def _of_the_theme(self, path: str) -> bytes | None:
        for folder in map(Path, self._config.theme.dirs):
            file = (folder / path).resolve()
            if file.is_relative_to(folder.resolve()) and file.is_file() and file.suffix != ".html":
                return file.read_bytes()
        return None

    def _page(self, file: File) -> bytes:
        events, config = self._config.plugins, self._config
        maker = self._plugin.makers.get(file.src_uri)
        if maker is not None:
            file.content_string = maker()
        page = file.page if isinstance(file.page, Page) else Page(None, file, config)
        page = self._read(page)
        page.active = True
        try:
            context = building.get_context(self._nav, self._files, config, page)
            template = self._env.get_template(page.meta.get("template", "main.html"))
            context = events.on_page_context(context, page=page, config=config, nav=self._nav)
            return events.on_post_page(template.render(context), page=page, config=config).encode()
        finally:
            page.active = False

    def _read(self, page: Page) -> Page:
        """Have a page's text read and made into HTML, and with it its title."""
        events, config = self._config.plugins, self._config
        page = events.on_pre_page(page, config=config, files=self._files)
        page.read_source(config)
        page.markdown = events.on_page_markdown(page.markdown or "", page=page, config=config, files=self._files)
        page.render(config, self._files)
        page.content = events.on_page_content(page.content or "", page=page, config=config, files=self._files)
        return page


def serve(
    config_file: Path, address: str, watched: Path | None = None, fresh: Callable[[], Casebook] | None = None
) -> None:
    """Serve a preview at `host:port` until interrupted; it is laid out anew when pages or anything `watched` change.

    fresh  gives the casebook each time; without it the configured ledger is opened
    """

    def lay_out() -> Laid:
        with _supplied(fresh, previewing=True):
            try:
                return Laid(config_file)
            except (MkDocsException, Abort) as error:
                raise WitnessError(str(error)) from error

    try:
        own = Path(load_config(str(config_file)).docs_dir)
    except (MkDocsException, Abort) as error:
        raise WitnessError(f"The preview has stopped. {error}") from error
    previewing.serve(address, lay_out, [config_file, own, *([watched] if watched is not None else [])])


@contextmanager
def _supplied(fresh: Callable[[], Casebook] | None, previewing: bool = False) -> Iterator[None]:
    tokens = _fresh.set(fresh), _previewing.set(previewing)
    try:
        yield
    finally:
        _fresh.reset(tokens[0])
        _previewing.reset(tokens[1])


def _left_out(files: Files, config: MkDocsConfig, casebook: Casebook, root: Path) -> None:
    """Take out what of one's own files may not be published, or would stand in the site a second time."""
    own = {file.src_uri: Path(file.abs_src_path) for file in files if file.abs_src_path is not None}
    settings = Path(config.config_file_path).read_text(encoding="utf-8") if config.config_file_path else ""
    out = left_out(casebook, root, own, settings)
    for file in [file for file in files if file.src_uri in out]:
        files.remove(file)


def _without_metadata(files: Files, config: MkDocsConfig) -> None:
    """Have pictures and recordings among one's own files published without their metadata."""
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
