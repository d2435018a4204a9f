"""The generation chart of a space as a sheet of coloured cells: a column a sample, a row a generation, the oldest at the foot."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any, Final

from openpyxl.styles import Alignment, Border, PatternFill, Side
from openpyxl.utils import get_column_letter

from analysis.drawing.style import percent
from surveys.workbooks.writing import append, font, header_cell, lines, new_sheet, put, set_up_page, styled

LEADING: Final = ("Generation", "Years", "Phase, label")
WIDTHS: Final = (12.0, 13.0, 22.0)
SAMPLE_WIDTH: Final = 24.0
# Small letters: so much wider does a column seem to them.
SMALL: Final = 11 / 8
LINE_HEIGHT: Final = 11.5
LEAST_COLUMNS: Final = 7
# Films that were meant to be seen, the commonest first: the cell takes the colour of the topmost of them.
SEEN: Final = ("paint", "limewash", "distemper", "casein", "emulsion", "stain", "glaze", "graining ground", "metal leaf", "bronze powder")
# Relative luminance at which black and white letters stand out alike: (L + 0.05)/0.05 = 1.05/(L + 0.05) (WCAG 2.2, contrast ratio).
EVEN_CONTRAST: Final = 0.179
_THIN = Side(style="thin", color="FFB5AEA3")
_BOX = Border(left=_THIN, right=_THIN, top=_THIN, bottom=_THIN)
_SMALL = Alignment(vertical="top", wrap_text=True)


def black_or_white(screen: str) -> str:
    """The letters' colour that stands out on a screen colour ('#8e7166'), as ARGB (relative luminance of IEC 61966-2-1 values)."""
    parts = [int(screen[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return "FF000000" if 0.2126 * red + 0.7152 * green + 0.0722 * blue > EVEN_CONTRAST else "FFFFFFFF"


def years(generation: dict[str, Any]) -> str:
    """'1838–1842', 'from 1838', 'to 1842', or ''."""
    earliest, latest = generation["earliest"], generation["latest"]
    if earliest is None and latest is None:
        return ""
    if latest is None:
        return f"from {earliest}"
    if earliest is None:
        return f"to {latest}"
    return str(earliest) if earliest == latest else f"{earliest}–{latest}"


def write(book: Any, title: str, chart: dict[str, Any], footer: str) -> None:
    """Add the chart of one space to the workbook."""
    sheet = new_sheet(book, title)
    samples = chart["samples"]
    for number, width in enumerate((*WIDTHS, *(SAMPLE_WIDTH for _ in samples)), start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    for number in range(len(samples) + len(WIDTHS) + 1, LEAST_COLUMNS + 1):
        sheet.column_dimensions[get_column_letter(number)].width = SAMPLE_WIDTH
    set_up_page(sheet, footer, large=True)
    sheet.freeze_panes = "D6"
    sheet.print_title_rows = "3:5"
    sheet.print_title_cols = "A:C"
    _Chart(sheet, chart).write()


class _Chart:
    """One sheet in the making: rows from the newest to the oldest, as they lie on the wall."""

    def __init__(self, sheet: Any, chart: dict[str, Any]) -> None:
        self.sheet = sheet
        self.chart = chart
        self.samples = chart["samples"]
        self.cells: dict[tuple[str, int | None], list[dict[str, Any]]] = defaultdict(list)
        for cell in sorted(chart["cells"], key=lambda one: -one["position"]):
            self.cells[cell["sample"], cell["generation"]].append(cell)
        self.looks: dict[str, Any] = {}
        self.row = 0
        self.starred = False

    def write(self) -> None:
        """All of it."""
        name = f" – {self.chart['space_name']}" if self.chart["space_name"] else ""
        self._append([self._bold(f"Generations of space {self.chart['space']}{name}", 14)])
        self._append([self._small(" ".join(self.chart["notes"]), wrap=False)])
        self._headers()
        self._states("Top state", "top_state")
        for generation in reversed(self.chart["generations"]):
            self._generation(generation)
        self._states("Base state", "base_state")
        if any(key[1] is None for key in self.cells):
            self._append([])
            self._generation(None)
        self._foot()

    def _headers(self) -> None:
        blank = [header_cell(self.sheet, "") for _ in LEADING]
        classes = [sample["class"] for sample in self.samples]
        # A class is named over its first sample only, so that groups can be seen.
        first = [name if at == 0 or classes[at - 1] != name else "" for at, name in enumerate(classes)]
        self._append([*blank, *(header_cell(self.sheet, name) for name in first)])
        self._append([*(header_cell(self.sheet, "") for _ in LEADING), *(header_cell(self.sheet, one["element"]) for one in self.samples)])
        leading = [header_cell(self.sheet, name) for name in LEADING]
        self._append([*leading, *(header_cell(self.sheet, one["sample"]) for one in self.samples)])

    def _states(self, label: str, field: str) -> None:
        said = [sample[field] for sample in self.samples]
        if any(said):
            self._append([self._small(label), None, None, *(self._small(word) if word else None for word in said)])

    def _generation(self, generation: dict[str, Any] | None) -> None:
        ordinal = generation["ordinal"] if generation else None
        if generation is None:
            leading = [self._small("Without a generation"), None, None]
        else:
            about = " ".join(part for part in (generation["phase"] or "", generation["label"]) if part)
            leading = [self._bold(str(ordinal), 11), self._small(years(generation)), self._small(about) if about else None]
        held = [self.cells.get((sample["sample"], ordinal), []) for sample in self.samples]
        said = ["\n".join(self._line(layer) for layer in some) for some in held]
        tall = max([2, *(lines(text, SAMPLE_WIDTH * SMALL) for text in said)])
        self._append([*leading, *(self._stack(some, text) if some else None for some, text in zip(held, said, strict=True))], tall)

    def _stack(self, layers: Sequence[dict[str, Any]], text: str) -> Any:
        """The layers of one sample in one generation, the topmost first, on the colour that was seen."""
        screen = shown_colour(layers)
        cell = styled(self.sheet, text)
        look = self.looks.get(screen)
        if look is None:
            cell.font = font(size=8, color=black_or_white(screen) if screen else "FF000000")
            cell.alignment, cell.border = _SMALL, _BOX
            if screen:
                cell.fill = PatternFill("solid", fgColor=f"FF{screen[1:].upper()}")
            self.looks[screen] = cell._style
        else:
            cell._style = look
        return cell

    def _line(self, layer: dict[str, Any]) -> str:
        colour = layer["munsell"] or layer["colour"]
        sure = "held" if layer["held"] else percent(layer["confidence"]) if layer["confidence"] is not None else ""
        if colour and not layer["in_gamut"]:
            colour, self.starred = f"{colour}*", True
        return " ".join(part for part in (str(layer["position"]), layer["kind"], colour, sure) if part)

    def _foot(self) -> None:
        self._append([])
        notes = [
            "Read from the foot: the oldest generation is the lowest row. In a cell the layers of a sample stand as they lie, the "
            "uppermost first: number from the substrate, kind, Munsell notation, how surely it belongs here ('held': a person has said so)."
        ]
        if self.starred:
            notes.append("* This colour lies outside what a screen can show; the cell has the nearest that it can.")
        last = max(len(LEADING) + len(self.samples), LEAST_COLUMNS)
        width = sum(WIDTHS) + SAMPLE_WIDTH * (last - len(LEADING))
        for text in (*notes, *self.chart["cautions"]):
            # Over all columns, so that a long sentence does not make the page wide and the chart small.
            self.sheet.merged_cells.add(f"A{self.row + 1}:{get_column_letter(last)}{self.row + 1}")
            self._append([self._small(text)], lines(text, width * SMALL))

    def _append(self, row: list[Any], tall: int = 1) -> None:
        self.row += 1
        append(self.sheet, self.row, row, tall, LINE_HEIGHT)

    def _bold(self, text: str, size: int) -> Any:
        return styled(self.sheet, text, font=font(bold=True, size=size), alignment=Alignment(vertical="top", wrap_text=size < 14))

    def _small(self, text: str, *, wrap: bool = True) -> Any:
        key = f"small {wrap}"
        cell = styled(self.sheet, text)
        if key not in self.looks:
            cell.font, cell.alignment = font(size=8), Alignment(vertical="top", wrap_text=wrap)
            self.looks[key] = cell._style
        cell._style = self.looks[key]
        return put(cell, text)


def shown_colour(layers: Sequence[dict[str, Any]]) -> str:
    """The screen colour of a pile of layers (the topmost first): of the topmost paint, else of the topmost film with a colour; or ''."""
    for wanted in (("paint",), SEEN):
        for layer in layers:
            if layer["kind"] in wanted and layer["srgb"]:
                return str(layer["srgb"])
    return next((str(layer["srgb"]) for layer in layers if layer["srgb"]), "")
