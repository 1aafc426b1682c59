"use strict";
// One small script of ours: what a page cannot do alone. Every page works without it.
(function () {
  // A form with data-live shows what it comes to while one types; the newest answer wins.
  for (const form of document.querySelectorAll("form[data-live]")) {
    const seen = document.getElementById("seen");
    let wait = 0, turn = 0;
    form.addEventListener("input", () => {
      clearTimeout(wait);
      wait = setTimeout(() => {
        const mine = ++turn;
        const body = new URLSearchParams(new FormData(form));
        body.set("part", "yes");
        fetch(form.dataset.live, { method: "POST", body: body }).then((a) => a.text()).then((html) => {
          if (mine === turn) seen.innerHTML = html;
        }, () => {});
      }, 300);
    });
  }
  // Work that takes a while says how far it is; when it is over its page is shown.
  for (const told of document.querySelectorAll("[data-events]")) {
    const line = new EventSource(told.dataset.events);
    line.onmessage = (e) => {
      const now = JSON.parse(e.data);
      told.querySelector("[data-line]").textContent = now.line;
      told.querySelector("[data-seconds]").textContent = now.seconds;
    };
    line.addEventListener("over", () => { line.close(); location.replace(told.dataset.over); });
  }
  // A piece of the week is dragged to another crew or day: the form of the move opens, filled in.
  for (const piece of document.querySelectorAll("[data-piece]")) {
    piece.draggable = true;
    piece.addEventListener("dragstart", (e) => {
      e.dataTransfer.setData("application/x-planner-piece", piece.dataset.piece);
      e.dataTransfer.effectAllowed = "move";
    });
  }
  for (const cell of document.querySelectorAll("[data-day]")) {
    const ours = (e) => e.dataTransfer.types.includes("application/x-planner-piece");
    cell.addEventListener("dragover", (e) => { if (ours(e)) { e.preventDefault(); cell.classList.add("over"); } });
    cell.addEventListener("dragleave", () => cell.classList.remove("over"));
    cell.addEventListener("drop", (e) => {
      if (!ours(e)) return;
      e.preventDefault();
      const to = new URLSearchParams(e.dataTransfer.getData("application/x-planner-piece"));
      to.set("crew", cell.dataset.crew); to.set("day", cell.dataset.day);
      location.assign("/week/move?" + to);
    });
  }
  // A text that is ready goes to the clipboard by one press.
  for (const button of document.querySelectorAll("button[data-copy]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const text = document.getElementById(button.dataset.copy);
      const said = () => { button.textContent = "Copied"; };
      text.select();
      if (navigator.clipboard) navigator.clipboard.writeText(text.value).then(said, () => {});
      else if (document.execCommand("copy")) said();
    });
  }
  // Work that was typed is not lost by a slip: the browser asks before the page is left.
  let dirty = false;
  document.addEventListener("input", (e) => { if (e.target.closest("form[method=post]")) dirty = true; });
  document.addEventListener("submit", () => { dirty = false; });
  window.addEventListener("beforeunload", (e) => { if (dirty) e.preventDefault(); });
})();
