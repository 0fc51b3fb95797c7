// Keys for what a page offers: an element with data-key is pressed, or gets the
// focus where it is a field, when its letter is typed outside of a field.
"use strict";
document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input:not([type=radio]):not([type=checkbox]), select, textarea");
  if (typing || event.ctrlKey || event.metaKey || event.altKey) return;
  const found = document.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (!found) return;
  event.preventDefault();
  if (found.matches("input:not([type=radio]):not([type=checkbox]), select, textarea")) found.focus();
  else found.click();
});

// What is written beside a choice chooses it.
document.addEventListener("input", (event) => {
  const value = event.target.dataset.chooses;
  if (value) event.target.form.querySelector(`[type=radio][value="${CSS.escape(value)}"]`).checked = true;
});
