/** The keys of the grid, as the help tells them. */

/** @type {readonly (readonly [key: string, text: string])[]} */
export const GRID_KEYS = [
  ["arrows, Tab, Enter, Home, End, Page Up, Page Down", "from cell to cell; with Ctrl to the edge of what is filled, or to the first or last cell; with Shift they select"],
  ["a letter or digit", "type over a cell; the arrows, Tab or Enter finish it"],
  ["F2", "edit what is in a cell; in a closed list or a name, the arrows walk what is offered"],
  ["Shift+F2", "what is said about this cell, or about the record from its first column: comment, answer, resolve"],
  ["Alt+Enter", "a new line within a long text"],
  ["Escape", "leave a cell as it was; pressed outside one, the next Tab leaves the grid"],
  ["F6, Shift+F6", "from the grid to what stands below it, or to the search"],
  ["Ctrl+C, Ctrl+X, Ctrl+V", "copy, cut, paste: cells go to and come from any spreadsheet"],
  ["Ctrl+D, Ctrl+R", "fill down, fill to the right"],
  ["Ctrl+Shift+D", "go on as the first cells begin: numbers, dates, K-009, K-010 …"],
  ["Ctrl+;", "today, in cells for dates"],
  ["Delete", "clear cells"],
  ["Ctrl+Enter, Ctrl+Delete", "a new row below, remove the rows selected"],
  ["Ctrl+Z, Ctrl+Y", "undo, do again: a whole paste is one step"],
  ["Ctrl+A", "select all cells"],
  ["Ctrl+Shift+L, Shift+F10", "what can be done with this column: sort, show some of its values, freeze, hide, group"],
  ["Ctrl+Shift+F", "freeze all columns up to this one; again, none"],
  ["Alt+Down", "in the field below a head: the values to choose from"],
];
