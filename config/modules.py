"""The few files of what npm installs that are served: the grid of the registers and the viewer of pictures, nothing else."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage

# Under which name each is served.
FILES: Final = {
    "modules/slickgrid.mjs": "slickgrid/dist/esm/index.mjs",
    "modules/slickgrid.css": "slickgrid/dist/styles/css/slick.grid.css",
    "modules/sortable.mjs": "sortablejs/modular/sortable.esm.js",
    # No module: it puts one name into the window. Called .mjs, because in .js the collecting of static files looks for its source map.
    "modules/openseadragon.mjs": "openseadragon/build/openseadragon/openseadragon.min.js",
}


def folder() -> Path:
    """Where npm puts packages."""
    return Path(settings.BASE_DIR) / "node_modules"


class Modules(FileSystemStorage):
    """Those files, by the names under which they are served."""

    prefix = ""

    def path(self, name: str) -> str:
        """Where a file lies."""
        return str(folder() / FILES[name])


class Finder(BaseFinder):
    """Finds those files; before npm has installed them, none."""

    def find(self, path: str, find_all: bool = False, **kwargs: Any) -> Any:
        """Where a file lies, if it is one of them."""
        found = [str(folder() / FILES[path])] if path in FILES and (folder() / FILES[path]).is_file() else []
        return found if find_all else next(iter(found), [])

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, Modules]]:
        """All of them that are there."""
        storage = Modules()
        for name, source in FILES.items():
            if (folder() / source).is_file():
                yield name, storage
