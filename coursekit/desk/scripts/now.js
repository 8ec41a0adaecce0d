// Lets the arrow keys go through the class: Tab stops at the table once, not at each of its cells.
"use strict";

const rows = [...document.querySelectorAll("#grid tbody tr")].map((row) => [...row.querySelectorAll("td")]);
const link = (row, column) => rows[row]?.[column]?.querySelector("a");
const links = rows.flat().map((cell) => cell.querySelector("a")).filter(Boolean);

function stopAt(one) {
  for (const other of links) other.tabIndex = other === one ? 0 : -1;
}

function from(row, column, down, right) {
  for (let r = row + down, c = column + right; rows[r]?.[c]; r += down, c += right) {
    if (link(r, c)) return link(r, c);
  }
  return null;
}

document.getElementById("grid")?.addEventListener("keydown", (event) => {
  const cell = event.target.closest("td");
  if (!cell || event.ctrlKey || event.altKey || event.metaKey) return;
  const row = cell.parentElement.sectionRowIndex, column = cell.cellIndex - 1;
  const next = {
    ArrowUp: () => from(row, column, -1, 0),
    ArrowDown: () => from(row, column, 1, 0),
    ArrowLeft: () => from(row, column, 0, -1),
    ArrowRight: () => from(row, column, 0, 1),
    Home: () => from(row, -1, 0, 1),
    End: () => from(row, rows[row].length, 0, -1),
  }[event.key]?.();
  if (!next) return;
  event.preventDefault();
  stopAt(next);
  next.focus();
});

document.getElementById("grid")?.addEventListener("focusin", (event) => {
  if (event.target.matches("td a")) stopAt(event.target);
});
if (links.length) stopAt(links[0]);
