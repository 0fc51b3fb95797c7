// A button beside each table that puts it into the clipboard, as spreadsheet
// programs take it: cells by tabs, rows by lines.
"use strict";
(() => {
  const said = document.getElementById("copied");
  if (!said) return;
  const cellText = (cell) => cell.innerText.replace(/\s+/g, " ").trim();
  const textOf = (table) => [...table.rows].map((row) => [...row.cells].map(cellText).join("\t")).join("\n") + "\n";

  // Away from this machine a page has no clipboard of its own.
  const copy = async (text) => {
    if (navigator.clipboard) return navigator.clipboard.writeText(text);
    const area = Object.assign(document.createElement("textarea"), { value: text, className: "out" });
    document.body.append(area);
    area.select();
    const done = document.execCommand("copy");
    area.remove();
    if (!done) throw new Error();
  };

  for (const table of document.querySelectorAll("main table")) {
    const name = table.caption.innerText;
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Copy the table" });
    button.setAttribute("aria-label", "Copy the table: " + name);
    button.className = "copy";
    button.addEventListener("click", async () => {
      try {
        await copy(textOf(table));
        said.textContent = `Copied: ${name}, ${table.tBodies[0].rows.length} rows.`;
      } catch {
        said.textContent = "The browser does not let pages copy. Select the table and copy it by hand.";
      }
      button.after(said);
    });
    (table.closest(".wide") || table).after(button);
  }
})();
