"use strict";
(function () {
  // Everything typed stays in this browser until it is sent; nothing here touches the network.
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

  function pack(bytes) {
    let out = "", held = 0, bits = 0;
    for (const b of bytes) {
      held = (held << 8) | b; bits += 8;
      while (bits >= 5) { bits -= 5; out += LETTERS[(held >>> bits) & 31]; held &= (1 << bits) - 1; }
    }
    return bits ? out + LETTERS[(held << (5 - bits)) & 31] : out;
  }

  function unpack(text) {
    const out = [];
    let held = 0, bits = 0;
    for (const c of text) {
      held = (held << 5) | LETTERS.indexOf(c); bits += 5;
      if (bits >= 8) { bits -= 8; out.push((held >>> bits) & 255); held &= (1 << bits) - 1; }
    }
    return new Uint8Array(out);
  }

  function sum(bytes) {
    let crc = 0xFFFFFFFF;
    for (const b of bytes) {
      crc ^= b;
      for (let n = 0; n < 8; n++) crc = (crc >>> 1) ^ (crc & 1 ? 0xEDB88320 : 0);
    }
    return ((crc ^ 0xFFFFFFFF) >>> 0).toString(16).toUpperCase().padStart(8, "0");
  }

  function figure(text) {
    const t = text.trim().replace(",", ".");
    const parts = t.match(/^(-?\d+)[ -](\d+)\/(\d+)$/) || t.match(/^(-?)(\d+)\/(\d+)$/);
    if (parts && Number(parts[3]) > 0) {
      const whole = Number(parts[1] === "-" || parts[1] === "" ? 0 : parts[1]);
      const part = Number(parts[2]) / Number(parts[3]);
      return whole < 0 || parts[1].startsWith("-") ? whole - part : whole + part;
    }
    return /^-?(\d+\.?\d*|\.\d+)$/.test(t) ? Number(t) : null;
  }

  const all = (root, what) => Array.from(root.querySelectorAll(what));

  function sheet(main) {
    const store = "daysheet " + main.dataset.crew + " " + main.dataset.day;
    const said = main.querySelector("[data-said]");
    const out = main.querySelector("[data-out]");
    const tell = (text) => { if (said) said.textContent = text; };
    const fields = all(main, "input[id]");
    const workOf = (task) => task.dataset.job + "/" + task.dataset.phase + "/" + task.dataset.part;

    // Names that outlive a new print of the sheet: job, phase, part and step; of other ticks what they say.
    function nameOf(f) {
      const task = f.closest(".task");
      const own = f.dataset.tick ? "tick " + f.dataset.tick : f.dataset.value ? "value " + f.dataset.value : f.dataset.partOf;
      return task ? workOf(task) + " " + own : "by" in f.dataset ? "by" : "load " + textOf(f);
    }

    // A tick stands for the words that were ticked: when the step says something else it is asked again.
    function textOf(f) {
      const label = f.closest(".check") && f.closest(".check").querySelector(".do");
      return label ? label.textContent : "";
    }

    function keep() {
      const held = {};
      for (const f of fields) {
        const value = f.type === "checkbox" ? f.checked && (textOf(f) || true) : f.value;
        if (value) held[nameOf(f)] = value;
      }
      try { localStorage.setItem(store, JSON.stringify(held)); }
      catch (e) { tell("This browser keeps nothing: send the text before you close the page."); }
    }

    function recall() {
      let held = {};
      try { held = JSON.parse(localStorage.getItem(store) || "{}"); } catch (e) { return; }
      let other = 0;
      for (const f of fields) {
        const value = held[nameOf(f)];
        if (value === undefined) continue;
        if (f.type !== "checkbox") f.value = String(value);
        else if (value === (textOf(f) || true)) f.checked = true;
        else other += 1;
      }
      if (other) tell("The sheet was changed: " + other + " ticked steps say something else now. Look at them again.");
    }

    function judge(f) {
      const box = f.closest(".measure"), note = box.querySelector(".outside");
      const v = figure(f.value), low = f.dataset.low, high = f.dataset.high;
      let text = "";
      if (f.value.trim() && v === null) text = "Not a number: write it like 8.25 or 8 1/4";
      else if (v !== null && low !== undefined && v < Number(low) - 1e-9) text = "OUTSIDE: too little. Fix it, or tell the office.";
      else if (v !== null && high !== undefined && v > Number(high) + 1e-9) text = "OUTSIDE: too much. Fix it, or tell the office.";
      box.classList.toggle("bad", text !== "");
      f.setAttribute("aria-invalid", text ? "true" : "false");
      note.textContent = text;
    }

    function faults() {
      const bad = [];
      for (const f of all(main, "[data-most]")) {
        const v = figure(f.value);
        const wrong = f.value.trim() !== "" && (v === null || v < 0 || v > Number(f.dataset.most));
        f.setAttribute("aria-invalid", wrong ? "true" : "false");
        if (wrong) bad.push(f);
      }
      return bad.concat(all(main, "[data-value]").filter((f) => f.value.trim() && figure(f.value) === null));
    }

    const of = (task, name) => task.querySelector('[data-part-of="' + name + '"]');

    // What this sheet asked, in order: the office judges the return by it, not by a sheet made later.
    function askedOf(task) {
      const number = (text) => (text === undefined ? null : Number(text));
      return all(task, "[data-tick]").map((t) => {
        const m = t.closest(".check").querySelector("[data-value]"), hold = "hold" in t.dataset;
        if (!m && !hold) return t.dataset.tick;
        const of = m ? m.dataset : {};
        const band = m ? [number(of.target), number(of.low), number(of.high)] : [null, null, null];
        return [t.dataset.tick, hold ? 1 : 0, hold ? textOf(t) : "", of.what || "", of.unit || "", ...band];
      });
    }

    function gather() {
      const rows = [];
      for (const task of all(main, ".task")) {
        const ticks = all(task, "[data-tick]").filter((t) => t.checked).map((t) => t.dataset.tick).sort();
        const values = {};
        for (const f of all(task, "[data-value]")) {
          const v = figure(f.value);
          if (v !== null) values[f.dataset.value] = Math.round(v * 1e4) / 1e4;
        }
        const n = (name) => figure(of(task, name).value);
        rows.push([
          task.dataset.job, task.dataset.phase, Number(task.dataset.part), n("h"), Math.round(n("people") || 0),
          n("pct") === null ? null : Math.round(n("pct")), of(task, "done").checked ? 1 : 0, n("lost") || 0,
          of(task, "why").value, of(task, "note").value, ticks, values, askedOf(task),
        ]);
      }
      const by = main.querySelector("[data-by]").value;
      return [2, main.dataset.crew, main.dataset.day, Number(main.dataset.plan), main.dataset.mark, by, rows];
    }

    function words(data) {
      const lines = [data[1] + ", " + data[2] + ", plan " + data[3]];
      for (const r of data[6]) {
        let line = r[0] + " " + r[1].replace("_", " ") + ": " + (r[3] === null ? "no hours" : r[3] + " h");
        if (r[5] !== null) line += ", " + r[5] + " % done";
        if (r[6]) line += ", finished";
        if (r[7]) line += ", lost " + r[7] + " h" + (r[8] ? " (" + r[8] + ")" : "");
        lines.push(line);
      }
      return lines.join("\n");
    }

    function make() {
      const bad = faults();
      if (bad.length) {
        tell("Fix the marked number first.");
        bad[0].focus();
        return "";
      }
      const data = gather();
      const bytes = new TextEncoder().encode(JSON.stringify(data));
      const text = words(data).replace(/DAYSHEET-/gi, "") + "\n\nDAYSHEET-" + pack(bytes) + "-" + sum(bytes) + "\n";
      out.value = text;
      const signer = main.querySelector("[data-by]").value.trim();
      tell(signer ? "Ready to send." : "Ready to send. No name stands under it: fill in who checked.");
      return text;
    }

    function read() {
      const found = /DAYSHEET-([A-Z2-7\s]+)-\s*([0-9A-F]{8})/i.exec(out.value);
      if (!found) return tell("There is no day sheet text in the box, or it is cut off.");
      const bytes = unpack(found[1].replace(/\s/g, "").toUpperCase());
      if (sum(bytes) !== found[2].toUpperCase()) return tell("The text was cut or changed: its check sum does not fit.");
      const data = JSON.parse(new TextDecoder().decode(bytes));
      if (data[1] !== main.dataset.crew || data[2] !== main.dataset.day) {
        return tell("That text is of another sheet: " + data[1] + ", " + data[2] + ".");
      }
      if (data[0] !== 2) return tell("That text is of an older page: its ticks cannot be read back in.");
      const left = [];
      for (const r of data[6]) {
        const task = all(main, ".task").find((t) => workOf(t) === r[0] + "/" + r[1] + "/" + r[2]);
        if (!task) { left.push(r[0] + " " + r[1].replace("_", " ")); continue; }
        const put = (name, v) => { of(task, name).value = v === null || v === 0 ? "" : String(v); };
        put("h", r[3]); put("people", r[4]); put("pct", r[5]); put("lost", r[7]); put("why", r[8]); put("note", r[9]);
        if (r[3] === 0) of(task, "h").value = "0";
        of(task, "done").checked = r[6] === 1;
        const said = new Set(r[12].map((row) => JSON.stringify(row)));
        const asked = askedOf(task);
        all(task, "[data-tick]").forEach((t, n) => {
          t.checked = r[10].includes(t.dataset.tick) && said.has(JSON.stringify(asked[n]));
        });
        for (const f of all(task, "[data-value]")) {
          f.value = f.dataset.value in r[11] ? String(r[11][f.dataset.value]) : "";
          judge(f);
        }
      }
      main.querySelector("[data-by]").value = data[5];
      keep();
      tell(left.length ? "Read back in, but for what is not on this sheet: " + left.join(", ") + "." : "Read back in.");
    }

    // Where the page came from a server: the text goes straight back. Without a signal it waits on the phone.
    const waiting = "planner/waiting/" + main.dataset.crew + "/" + main.dataset.day;
    function deliver(text) {
      const to = main.querySelector("[data-to]").dataset.to;
      fetch(to, { method: "POST", body: text, headers: { "content-type": "text/plain" } }).then(
        (answer) => answer.text().then((said) => {
          if (answer.ok) try { localStorage.removeItem(waiting); } catch (e) { /* storage is shut */ }
          tell(said.trim());
        }),
        () => {
          try { localStorage.setItem(waiting, text); tell("No signal: the day waits on this phone and is sent when there is one."); }
          catch (e) { tell("No signal, and this browser keeps nothing: copy the text and send it later."); }
        },
      );
    }
    function again() {
      let text = null;
      try { text = localStorage.getItem(waiting); } catch (e) { return; }
      if (text && main.querySelector("[data-to]")) deliver(text);
    }

    const deeds = {
      make: make,
      read: read,
      copy() {
        const text = make();
        if (!text) return;
        out.focus(); out.select();
        let done = false;
        try { done = document.execCommand("copy"); } catch (e) { done = false; }
        if (!done && navigator.clipboard) navigator.clipboard.writeText(text).then(() => tell("Copied."), () => {});
        tell(done ? "Copied: paste it into a message to the office." : "Hold the text below and choose copy.");
      },
      send() {
        const text = make();
        if (text) deliver(text);
      },
      share() {
        const text = make();
        if (!text) return;
        if (navigator.share) navigator.share({ text: text }).catch(() => {});
        else tell("This browser cannot share: copy the text or save it.");
      },
      save() {
        const text = make();
        if (!text) return;
        const link = document.createElement("a");
        link.href = URL.createObjectURL(new Blob([text], { type: "text/plain" }));
        link.download = "day-" + main.dataset.crew.replace(/[^A-Za-z0-9]+/g, "-").slice(0, 40) + "-" + main.dataset.day + ".txt";
        document.body.append(link); link.click(); link.remove();
        setTimeout(() => URL.revokeObjectURL(link.href), 1000);
        tell("Saved as " + link.download + ".");
      },
      clear() {
        if (!window.confirm("Empty all ticks, measures and hours of this sheet?")) return;
        for (const f of fields) if (f.type === "checkbox") f.checked = false; else f.value = "";
        if (out) out.value = "";
        all(main, "[data-value]").forEach(judge);
        keep();
        tell("Emptied.");
      },
    };

    for (const f of all(main, "[data-value], [data-most]")) {
      f.inputMode = "decimal";
      f.autocomplete = "off";
    }
    for (const box of all(main, ".measure")) {
      const note = document.createElement("span");
      note.className = "outside";
      note.setAttribute("role", "status");
      box.append(note);
    }
    recall();
    all(main, "[data-value]").forEach((f) => { judge(f); f.addEventListener("input", () => judge(f)); });
    window.addEventListener("online", again);
    again();
    main.addEventListener("input", keep);
    main.addEventListener("change", keep);
    all(main, "[data-do]").forEach((b) => b.addEventListener("click", () => deeds[b.dataset.do]()));
  }

  all(document, ".day").forEach(sheet);
})();
