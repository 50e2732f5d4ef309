"""What the page of worksheets does: it keeps ticks in the browser and saves them as a file, and sends nothing."""

from __future__ import annotations

import base64
import hashlib

SCRIPT = r"""
"use strict";
(function () {
  const page = document.body.dataset;
  const store = ["vlancheck ticks", page.site, page.before, page.survey, page.rows].join("\n");
  const by = (id) => document.getElementById(id);
  let ticks = {}, kept = true, unsaved = false;

  function two(n) { return String(n).padStart(2, "0"); }
  function now() {
    const t = new Date(), off = -t.getTimezoneOffset(), a = Math.abs(off);
    return t.getFullYear() + "-" + two(t.getMonth() + 1) + "-" + two(t.getDate()) + "T" + two(t.getHours()) + ":" +
      two(t.getMinutes()) + ":" + two(t.getSeconds()) +
      (off < 0 ? "-" : "+") + two(Math.floor(a / 60)) + ":" + two(a % 60);
  }
  function say(words) { by("status").textContent = words; }
  function keep() {
    try {
      localStorage.setItem(store, JSON.stringify({ who: by("who").value, ticks: ticks }));
      kept = localStorage.getItem(store) !== null;
    } catch (error) { kept = false; }
    tell();
  }
  function tell() {
    const n = Object.keys(ticks).length;
    say((kept ? n + " entries, kept in this browser. " :
      n + " entries. THIS BROWSER KEEPS NOTHING: save the ticks as a file before the page is closed. ") +
      (by("who").value.trim() ? "" : "Write who ticks: a pass without a name proves nothing."));
  }
  function id(cell) {
    const row = cell.closest("tr").dataset;
    return [cell.closest("section").id, row.number, row.key, cell.dataset.blank].join("\n");
  }
  function show(cell) {
    const tick = ticks[id(cell)], field = cell.querySelector("input, select"), said = cell.querySelector(".said");
    if (field.type === "checkbox") { field.checked = Boolean(tick); }
    else if (field.tagName === "SELECT") { field.value = tick ? tick.result : ""; }
    else if (field.value !== (tick ? tick.said : "")) { field.value = tick ? tick.said : ""; }
    said.textContent = !tick ? "" : field.type === "checkbox" ? "\u2612 " + tick.who :
      field.tagName === "SELECT" ? tick.result + ", " + tick.who : tick.said;
    cell.classList.toggle("filled", Boolean(tick));
    cell.title = tick ? tick.who + ", " + tick.when : "";
  }
  function entered(event) {
    const cell = event.target.closest("td[data-blank]");
    if (!cell) { return; }
    const field = event.target, row = cell.closest("tr").dataset, box = field.type === "checkbox";
    const filled = box ? field.checked : field.value.trim() !== "";
    if (filled) {
      ticks[id(cell)] = {
        sheet: cell.closest("section").id, row: Number(row.number), key: row.key, cord: row.cord,
        who: by("who").value.trim(), when: now(), what: cell.dataset.what,
        said: field.tagName === "SELECT" || box ? "" : field.value,
        result: field.tagName === "SELECT" ? field.value : box ? "pass" : "not tested", column: cell.dataset.blank
      };
    } else { delete ticks[id(cell)]; }
    unsaved = true;
    show(cell);
    keep();
  }
  function file() {
    const rows = Object.values(ticks).sort((a, b) => a.when < b.when ? -1 : a.when > b.when ? 1 : 0);
    const top = { schema: "vlancheck/ticks/1", site: page.site, before: page.before, survey: page.survey };
    return "{\n" + Object.keys(top).map((name) => "\"" + name + "\": " + JSON.stringify(top[name]) + ",\n").join("") +
      "\"ticks\": [\n" + rows.map((row) => JSON.stringify(row)).join(",\n") + "\n]\n}\n";
  }
  function save() {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([file()], { type: "application/json" }));
    link.download = "ticks-" + now().replace(/[^0-9]/g, "").slice(0, 14) + ".json";
    document.body.append(link);
    link.click();
    link.remove();
    unsaved = false;
  }
  function cells() { return document.querySelectorAll("td[data-blank]"); }
  function forget() {
    if (confirm("Forget every tick of this page?")) { ticks = {}; keep(); cells().forEach(show); }
  }

  try {
    const old = JSON.parse(localStorage.getItem(store) || "null");
    if (old) { ticks = old.ticks || {}; by("who").value = old.who || ""; }
  } catch (error) { kept = false; }
  cells().forEach(show);
  keep();
  document.addEventListener("input", (event) => event.target.id === "who" ? keep() : entered(event));
  by("save").addEventListener("click", save);
  by("forget").addEventListener("click", forget);
  by("print").addEventListener("click", () => window.print());
  window.addEventListener("beforeunload", (event) => { if (unsaved && !kept) { event.preventDefault(); } });
  document.documentElement.dataset.file = "ready";
  window.vlancheckTicks = file;
})();
"""


def policy() -> str:
    """Return what the page may do: its own style, this very script, and nothing else."""
    digest = base64.b64encode(hashlib.sha256(SCRIPT.encode()).digest()).decode()
    return f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"
