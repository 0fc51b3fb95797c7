// Typing in: rows are checked as they are typed, kept by the desk, and held in
// this browser while the desk does not answer. The page works without this
// script; then rows are checked when they are sent.
"use strict";
(() => {
  const form = document.getElementById("capture");
  if (!form) return;
  const secret = form.elements.secret.value;
  const was = form.elements.was?.value || ""; // the mark of a kept row that is changed
  const fields = [...form.querySelectorAll("[data-column]")];
  const columns = Number(document.querySelectorAll("#kept thead th").length); // the number of the row in place of its identifier
  const byId = (id) => document.getElementById(id);
  const holding = "spadefoot-held:" + form.dataset.survey + ":";
  const inHand = "spadefoot-in-hand:" + form.dataset.survey + ":" + form.dataset.form;
  let asked = 0; // the last check that was sent
  let confirming = false;

  const identifier = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

  // Storage may be turned off; then only the connection counts.
  const store = {
    set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } },
    get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
    drop(key) { try { localStorage.removeItem(key); } catch { /* nothing is stored */ } },
    held() { try { return Object.keys(localStorage).filter((k) => k.startsWith(holding)).sort(); } catch { return []; } },
  };

  const ofSession = (f) => Boolean(f.closest("[data-session]"));

  const cells = () => {
    const row = new Array(columns).fill("");
    for (const f of fields) row[Number(f.dataset.column)] = f.value;
    return row;
  };

  const send = async (to, body) => {
    const answer = await fetch(to, { method: "POST", headers: { "Content-Type": "application/json", "X-Desk-Secret": secret }, body: JSON.stringify(body) });
    if (!answer.ok) {
      const error = new Error((await answer.text()).trim());
      error.status = answer.status;
      throw error;
    }
    return answer.json();
  };

  // say shows notes and doubts beside the fields that hold something.
  const say = (answer) => {
    for (const f of fields) {
      const i = Number(f.dataset.column);
      const of = (list) => (list || []).filter((n) => n.column === i).map((n) => n.says);
      const doubts = f.value ? of(answer.doubts) : [];
      byId("h" + i).textContent = [...of(answer.told), ...of(answer.expected)].join(". ");
      byId("d" + i).textContent = doubts.length ? doubts.join(". ") + "." : "";
      if (doubts.length) f.setAttribute("aria-invalid", "true");
      else f.removeAttribute("aria-invalid");
    }
  };

  const check = async () => {
    const mine = ++asked;
    try {
      const answer = await send("/type-in/check", { form: form.dataset.form, row: form.elements.row.value, cells: cells() });
      if (mine === asked) say(answer);
    } catch (error) {
      if (mine === asked) {
        say({});
        if (error.status) tell(error.message);
      }
    }
  };

  const tell = (text) => {
    const box = byId("held");
    box.textContent = text;
    box.hidden = !text;
  };

  const tellHeld = (more) => {
    const n = store.held().length;
    const open = isSecureContext ? "Keep this page open." : "Keep this page open, and do not reload it before the desk answers.";
    const held = n ? `${n} ${n === 1 ? "row is" : "rows are"} stored in this browser and not yet saved by the desk. ${open}` : "";
    tell([held, more].filter(Boolean).join(" "));
  };

  // ask shows what is doubted before a row is kept.
  const ask = (doubts) => {
    confirming = doubts.length > 0;
    const list = byId("in-doubt").querySelector("ul");
    list.replaceChildren(...doubts.map((d) => Object.assign(document.createElement("li"), { textContent: d.more })));
    byId("in-doubt").hidden = byId("anyway").hidden = !confirming;
    if (confirming) byId("anyway").focus();
  };

  const show = (number, row, id) => {
    const line = document.createElement("tr");
    const head = Object.assign(document.createElement("th"), { scope: "row", textContent: id ? "" : "held" });
    if (id) {
      const link = Object.assign(document.createElement("a"), { href: `/type-in?form=${encodeURIComponent(form.dataset.form)}&row=${id}`, textContent: number });
      link.setAttribute("aria-label", "Change row " + number);
      head.append(link);
    }
    line.append(head);
    for (const c of row) line.append(Object.assign(document.createElement("td"), { textContent: c }));
    byId("kept").tBodies[0].prepend(line);
    return line;
  };
  const lines = new Map(); // of held rows, by their key

  const begin = (next) => {
    for (const f of fields) f.value = next[Number(f.dataset.column)] || "";
    form.elements.row.value = identifier();
    store.drop(inHand);
    asked++;
    say({});
    ask([]);
    const first = fields.find((f) => !ofSession(f) && !f.value) || fields[0];
    first.focus();
  };

  // afterHeld is what the next row begins with when the desk cannot say it.
  const afterHeld = () => {
    const next = new Array(columns).fill("");
    for (const f of fields) {
      const i = Number(f.dataset.column);
      if (ofSession(f)) next[i] = f.value;
      else if (f.dataset.next) next[i] = f.value.replace(/\d+$/, (n) => String(Number(n) + 1).padStart(n.length, "0"));
    }
    return next;
  };

  const keep = async (confirmed) => {
    const row = { form: form.dataset.form, row: form.elements.row.value, cells: cells(), confirmed, was };
    if (!row.cells.some((c) => c.trim())) return;
    try {
      const answer = await send("/type-in/keep", row);
      say(answer);
      if (!answer.kept) return ask(answer.doubts);
      if (was) return location.assign("/type-in?form=" + encodeURIComponent(form.dataset.form));
      byId("n").textContent = answer.n;
      show(answer.number, answer.cells, row.row);
      tellHeld(answer.warning);
      begin(answer.next);
    } catch (error) {
      if (error.status && error.status !== 403) return tell(error.message);
      if (was) return tell("The desk does not answer, so the row was not changed. Change it when the desk is back.");
      hold(row, error.status === 403);
    }
  };

  const hold = (row, stale) => {
    const key = holding + String(Date.now()).padStart(15, "0") + ":" + row.row;
    if (!store.set(key, { ...row, held: true })) {
      return tell("The desk does not answer, and this browser cannot store rows. This row is not kept: write it down.");
    }
    const shown = row.cells.slice(0, columns - 1);
    lines.set(key, show(0, shown));
    begin(afterHeld());
    tellHeld(stale ? "The desk was restarted: open the address that it printed, and they are sent." : "");
  };

  let handing = false;
  const handOver = async () => {
    if (handing) return;
    handing = true;
    try {
      for (const key of store.held()) {
        const row = store.get(key);
        if (!row) { store.drop(key); continue; }
        const answer = await send("/type-in/keep", row);
        if (!answer.kept) break;
        store.drop(key);
        lines.get(key)?.remove();
        lines.delete(key);
        if (row.form === form.dataset.form) {
          byId("n").textContent = answer.n;
          show(answer.number, answer.cells, row.row);
        }
        tellHeld(answer.doubts.length ? `Row ${answer.number} is in doubt: ${answer.doubts.map((d) => d.says).join("; ")}.` : "");
      }
      tellHeld("");
    } catch (error) {
      tellHeld(error.status === 403 ? "The desk was restarted: open the address that it printed, and they are sent." : error.status ? error.message : "");
    } finally {
      handing = false;
    }
  };

  let waiting = 0;
  form.addEventListener("input", () => {
    if (!was) store.set(inHand, { row: form.elements.row.value, cells: cells() });
    if (confirming) ask([]);
    clearTimeout(waiting);
    waiting = setTimeout(check, 120);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    keep(event.submitter === byId("anyway"));
  });
  addEventListener("online", handOver);
  addEventListener("beforeunload", (event) => { if (store.held().length) event.preventDefault(); });
  setInterval(() => { if (store.held().length) handOver(); }, 3000);

  // What was in hand when the page was closed is there again.
  const left = was ? null : store.get(inHand);
  if (left && Array.isArray(left.cells) && left.cells.length === columns && left.cells.some((c) => c)) {
    for (const f of fields) f.value = left.cells[Number(f.dataset.column)] || "";
    form.elements.row.value = left.row;
    check();
  }
  else if (!was) form.elements.row.value = identifier(); // the page may be an older one that is shown again
  for (const key of store.held()) {
    const row = store.get(key);
    if (row && row.form === form.dataset.form) lines.set(key, show(0, row.cells.slice(0, columns - 1)));
  }
  if (store.held().length) { tellHeld(""); handOver(); }

  if (navigator.serviceWorker) navigator.serviceWorker.register("/type-in-worker.js", { scope: "/type-in" }).catch(() => { /* the open page holds rows all the same */ });
})();
