"use strict";
(function () {
  // Everything typed stays in this browser until it is sent; nothing here touches the network but "send".
  const all = (root, what) => Array.from(root.querySelectorAll(what));

  function sheet(main) {
    const store = "daysheet " + main.dataset.crew + " " + main.dataset.day;
    const said = main.querySelector("[data-said]");
    const out = main.querySelector("[data-out]");
    const tell = (text) => { if (said) said.textContent = text; };
    const fields = all(main, "input[id], select[id]");
    const of = (task, name) => task.querySelector('[data-part-of="' + name + '"]');
    const whoTicks = () => (main.querySelector("[data-who]") || { value: "" }).value.trim();
    const workOf = (task) => task.dataset.job + "/" + task.dataset.phase + "/" + task.dataset.part;

    // Names that outlive a new print of the sheet: job, phase, part and step; of other ticks what they say.
    function nameOf(f) {
      const task = f.closest(".task"), d = f.dataset;
      const own = d.tick ? "tick " + d.tick : d.value ? "value " + d.value : d.answer ? "answer " + d.answer
        : d.reason ? "reason " + d.reason : d.partOf;
      return task ? workOf(task) + " " + own : "by" in d ? "by" : "who" in d ? "who" : "load " + textOf(f);
    }

    // A tick stands for the words that were ticked: when the step says something else it is asked again.
    function textOf(f) {
      const label = f.closest(".check") && f.closest(".check").querySelector(".do");
      return label ? label.textContent : "";
    }

    // name -> {text, at, who}: when a tick was made, of which words, and by whom; before: of words that are gone.
    let ticked = {}, before = {}, others = {};

    function keep() {
      const held = { ...others };
      for (const f of fields) {
        const name = nameOf(f);
        if (f.type !== "checkbox") { if (f.value) held[name] = f.value; continue; }
        if (f.checked && !ticked[name]) ticked[name] = { text: textOf(f), at: Date.now(), who: whoTicks() };
        if (!f.checked) delete ticked[name];
        if (f.checked) delete before[name];
        if (ticked[name] || before[name]) held[name] = ticked[name] || before[name];
      }
      try { localStorage.setItem(store, JSON.stringify(held)); }
      catch (e) { tell("This browser keeps nothing: send the text before you close the page."); }
      open();
    }

    function recall() {
      let held = {};
      try { held = JSON.parse(localStorage.getItem(store) || "{}"); } catch (e) { return; }
      let other = 0;
      others = { ...held };
      for (const f of fields) {
        const name = nameOf(f);
        let value = held[name];
        delete others[name];
        if (value === undefined) continue;
        if (f.type !== "checkbox") { f.value = String(value); continue; }
        if (typeof value !== "object") value = { text: value === true ? "" : value, at: 0, who: "" };
        f.checked = value.text === textOf(f);
        (f.checked ? ticked : before)[name] = value;
        other += f.checked ? 0 : 1;
      }
      if (other) tell("The sheet was changed: " + other + " ticked steps say something else now. Look at them again.");
    }

    function outside(f) {
      const v = figure(f.value), low = f.dataset.low, high = f.dataset.high;
      if (v !== null && low !== undefined && v < Number(low) - 1e-9) return "too little";
      return v !== null && high !== undefined && v > Number(high) + 1e-9 ? "too much" : "";
    }

    function judge(f) {
      const box = f.closest(".measure"), note = box.querySelector(".outside"), off = outside(f);
      const hold = f.closest(".hold") ? "pass it over with a reason" : "tell the office";
      let text = off ? "OUTSIDE: " + off + ". Fix it, or " + hold + "." : "";
      if (f.value.trim() && figure(f.value) === null) text = "Not a number: write it like 8.25 or 8 1/4";
      box.classList.toggle("bad", text !== "");
      f.setAttribute("aria-invalid", text ? "true" : "false");
      note.textContent = text;
    }

    // How a hold point stands: done, over (passed over with a reason), later (not reached today) or "".
    function standing(line) {
      const tick = line.querySelector("[data-tick]"), value = line.querySelector("[data-value]");
      const answer = line.querySelector("[data-answer]"), reason = line.querySelector("[data-reason]");
      if (answer.value === "later") return "later";
      if (answer.value === "over") return reason.value.trim() ? "over" : "";
      if ("signed" in tick.dataset) return "done";
      const v = value ? figure(value.value) : 0;
      return tick.checked && v !== null && !(value && outside(value)) ? "done" : "";
    }

    // Steps behind a hold point open once it is done or passed over with a reason.
    function open() {
      for (const task of all(main, ".task")) {
        let shut = null, first = true;
        for (const line of all(task, ".check")) {
          line.classList.toggle("shut", shut !== null);
          line.classList.toggle("firstshut", shut !== null && first);
          if (shut !== null) first = false;
          for (const f of all(line, "input, select, button")) f.disabled = shut !== null;
          const was = before[nameOf(line.querySelector("[data-tick]"))];
          line.classList.toggle("before", was !== undefined);
          if (!line.classList.contains("hold")) continue;
          const state = standing(line);
          line.querySelector("[data-reason]").hidden = line.querySelector("[data-answer]").value !== "over";
          line.classList.toggle("asked", shut === null && state === "");
          if (shut === null && state !== "done" && state !== "over") shut = line;
        }
        of(task, "none").hidden = shut === null || standing(shut) === "later";
      }
    }

    // What keeps the day from being sent: the first hold point of a phase without an answer, or one that
    // the hours speak against. [the field to go to, the words].
    function unanswered() {
      for (const task of all(main, ".task")) {
        const line = all(task, ".check.hold").find((l) => !["done", "over"].includes(standing(l)));
        if (!line) continue;
        const what = task.dataset.job + " " + task.dataset.phase.replace("_", " ") + ": " + line.querySelector(".do").textContent;
        const field = line.querySelector("[data-answer]");
        if (standing(line) === "") return [field, "Not ready: answer this hold point first (done, not reached today, or passed over because ...). " + what];
        const full = of(task, "done").checked || figure(of(task, "pct").value) === 100;
        const lines = all(task, ".check"), early = lines.slice(0, lines.indexOf(line)).every((l) => l.classList.contains("hold"));
        const worked = (figure(of(task, "h").value) || 0) > 0 || (figure(of(task, "pct").value) || 0) > 0;
        if (full || (early && worked)) {
          return [field, "Not ready: " + (full ? "the phase is told as finished" : "work is told on this phase") + ", so this hold point was reached: tick it, or say why it was passed over. " + what];
        }
      }
      return null;
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
      const rows = [], by = main.querySelector("[data-by]").value;
      for (const task of all(main, ".task")) {
        const boxes = all(task, "[data-tick]").filter((t) => t.checked);
        const ticks = boxes.map((t) => t.dataset.tick).sort();
        const values = {}, answers = {};
        for (const f of all(task, "[data-value]")) {
          const v = figure(f.value);
          if (v !== null) values[f.dataset.value] = Math.round(v * 1e4) / 1e4;
        }
        for (const line of all(task, ".check.hold")) {
          if (line.classList.contains("shut")) continue;
          const key = line.querySelector("[data-tick]").dataset.tick, state = standing(line);
          if (state === "over") answers[key] = line.querySelector("[data-reason]").value.trim();
          if (state === "later") answers[key] = "";
        }
        const order = boxes.map((t) => [t.dataset.tick, ticked[nameOf(t)] || { at: 0, who: "" }]);
        order.sort((a, b) => a[1].at - b[1].at);
        const rowOf = ([key, tick]) => {
          const when = new Date(tick.at), row = [ticks.indexOf(key), when.getHours() * 60 + when.getMinutes()];
          return tick.who && tick.who !== by ? row.concat(tick.who) : row;
        };
        const n = (name) => figure(of(task, name).value);
        rows.push([
          task.dataset.job, task.dataset.phase, Number(task.dataset.part), n("h"), Math.round(n("people") || 0),
          n("pct") === null ? null : Math.round(n("pct")), of(task, "done").checked ? 1 : 0, n("lost") || 0,
          of(task, "why").value, of(task, "note").value, ticks, values, askedOf(task),
          order.filter(([, tick]) => tick.at).map(rowOf), answers,
        ]);
      }
      return [3, main.dataset.crew, main.dataset.day, Number(main.dataset.plan), main.dataset.mark, by, rows];
    }

    // What was passed over and what lies outside its band, in words, before all else.
    function alarms() {
      const found = [];
      for (const task of all(main, ".task")) {
        const work = task.dataset.job + " " + task.dataset.phase.replace("_", " ") + ": ";
        for (const line of all(task, ".check:not(.shut)")) {
          const value = line.querySelector("[data-value]"), said = line.querySelector(".do").textContent;
          if (line.classList.contains("hold") && standing(line) === "over") {
            found.push("PASSED OVER " + work + said + " (" + line.querySelector("[data-reason]").value.trim() + ")");
          }
          if (value && outside(value)) {
            const d = value.dataset;
            found.push("OUTSIDE " + work + d.what + " " + value.value.trim() + " " + d.unit + ", wanted " + d.band);
          }
        }
      }
      return found;
    }

    function words(data) {
      const lines = [data[1] + ", " + data[2] + ", plan " + data[3]].concat(alarms());
      for (const r of data[6]) {
        let line = r[0] + " " + r[1].replace("_", " ") + ": " + (r[3] === null ? "no hours" : r[3] + " h");
        if (r[5] !== null) line += ", " + r[5] + " % done";
        if (r[6]) line += ", finished";
        if (r[7]) line += ", lost " + r[7] + " h" + (r[8] ? " (" + r[8] + ")" : "");
        if (r[9].trim()) line += ". Note: " + r[9].trim();
        lines.push(line);
      }
      return lines.join("\n");
    }

    // The text without what the sheet asked, as scan codes: the office knows that by the sheet's mark.
    function show(data) {
      const short = [...data.slice(0, 6), data[6].map((row) => row.map((v, n) => (n === 12 ? null : v)))];
      const codes = pieces(sealed(short)), place = main.querySelector("[data-codes]");
      place.replaceChildren();
      codes.forEach((code, n) => {
        const box = document.createElement("figure"), name = document.createElement("figcaption"), picture = codePicture(code);
        name.textContent = codes.length > 1 ? "code " + (n + 1) + " of " + codes.length : "the day as a code";
        if (picture) { picture.setAttribute("aria-label", name.textContent); picture.dataset.text = code; box.append(picture, name); place.append(box); }
      });
    }

    function make() {
      const bad = faults(), hold = bad.length ? null : unanswered();
      out.value = "";
      main.querySelector("[data-codes]").replaceChildren();
      if (bad.length || hold) {
        tell(hold ? hold[1] : "Fix the marked number first.");
        (hold ? hold[0] : bad[0]).focus();
        return "";
      }
      const data = gather();
      const text = words(data).replace(/DAYSHEET-/gi, "") + "\n\n" + sealed(data) + "\n";
      out.value = text;
      show(data);
      const signer = main.querySelector("[data-by]").value.trim(), loud = alarms().length;
      tell((loud ? loud + " passed over or outside: the office is told first. " : "") + (signer ? "Ready to send." : "Ready to send. No name stands under it: fill in who checked."));
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
      if (data[0] !== 3) return tell("That text is of an older page: its ticks cannot be read back in.");
      const left = [];
      for (const r of data[6]) {
        const task = all(main, ".task").find((t) => workOf(t) === r[0] + "/" + r[1] + "/" + r[2]);
        if (!task) { left.push(r[0] + " " + r[1].replace("_", " ")); continue; }
        const put = (name, v) => { of(task, name).value = v === null || v === 0 ? "" : String(v); };
        put("h", r[3]); put("people", r[4]); put("pct", r[5]); put("lost", r[7]); put("why", r[8]); put("note", r[9]);
        if (r[3] === 0) of(task, "h").value = "0";
        of(task, "done").checked = r[6] === 1;
        const said = r[12] && new Set(r[12].map((row) => JSON.stringify(row)));
        const asked = askedOf(task), day = new Date(data[2] + "T00:00");
        all(task, "[data-tick]").forEach((t, n) => {
          const name = nameOf(t), row = r[13].find((o) => r[10][o[0]] === t.dataset.tick);
          t.checked = r[10].includes(t.dataset.tick) && (!said || said.has(JSON.stringify(asked[n])));
          const place = row ? r[13].indexOf(row) : 0;
          delete ticked[name];
          if (t.checked) ticked[name] = { text: textOf(t), at: row ? day.getTime() + 60000 * row[1] + place : 0, who: row && row[2] ? row[2] : row ? data[5] : "" };
        });
        for (const f of all(task, "[data-answer]")) {
          const answer = r[14][f.dataset.answer];
          f.value = answer === undefined ? "" : answer ? "over" : "later";
          f.closest(".check").querySelector("[data-reason]").value = answer || "";
        }
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
        ticked = {}; before = {}; others = {};
        main.querySelector("[data-codes]").replaceChildren();
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
      const note = document.createElement("span"), f = box.querySelector("[data-value]");
      note.className = "outside";
      note.setAttribute("role", "status");
      box.append(note);
      if (f.dataset.unit === "in") fractions(box, f);
    }

    // A decimal pad has no slash: an eighth, a quarter, a half are added with a finger.
    function fractions(box, f) {
      const row = document.createElement("span");
      row.className = "fractions";
      for (const [name, much] of [["1/8", 0.125], ["1/4", 0.25], ["1/2", 0.5]]) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = "+" + name;
        button.setAttribute("aria-label", "add " + name + " in to " + f.dataset.what);
        button.addEventListener("click", () => {
          const v = f.value.trim() ? figure(f.value) : 0;
          if (v === null) return;
          f.value = taped(v < 0 ? v - much : v + much);
          f.dispatchEvent(new Event("input", { bubbles: true }));
        });
        row.append(button);
      }
      box.append(row);
      f.addEventListener("focus", () => {
        for (const other of all(main, ".measure.typing")) other.classList.remove("typing");
        box.classList.add("typing");
      });
    }

    for (const button of all(main, "[data-part-of=none]")) {
      button.addEventListener("click", () => {
        const task = button.closest(".task");
        const line = all(task, ".check.hold").find((l) => standing(l) === "");
        if (line) { line.querySelector("[data-answer]").value = "later"; keep(); }
      });
    }
    recall();
    open();
    all(main, "[data-value]").forEach((f) => { judge(f); f.addEventListener("input", () => judge(f)); });
    window.addEventListener("online", again);
    again();
    main.addEventListener("input", keep);
    main.addEventListener("change", keep);
    all(main, "[data-do]").forEach((b) => b.addEventListener("click", () => deeds[b.dataset.do]()));
  }

  // Light or dark, plain or big: kept on this phone, as the phone itself has it until somebody chooses.
  function looks() {
    const root = document.documentElement, store = "daysheet look";
    let kept = {};
    try { kept = JSON.parse(localStorage.getItem(store) || "{}"); } catch (e) { kept = {}; }
    const night = window.matchMedia("(prefers-color-scheme: dark)").matches;
    let dark = kept.dark === undefined ? night : kept.dark, big = kept.big === true;
    const put = () => {
      root.dataset.look = dark ? "dark" : "light";
      root.dataset.type = big ? "big" : "plain";
      for (const b of all(document, "[data-look-dark]")) b.textContent = dark ? "Light" : "Dark";
      for (const b of all(document, "[data-type-big]")) b.textContent = big ? "Plain type" : "Big type";
    };
    const choose = () => { put(); try { localStorage.setItem(store, JSON.stringify({ dark: dark, big: big })); } catch (e) { return; } };
    for (const b of all(document, "[data-look-dark]")) b.addEventListener("click", () => { dark = !dark; choose(); });
    for (const b of all(document, "[data-type-big]")) b.addEventListener("click", () => { big = !big; choose(); });
    put();
    root.classList.add("js");
  }

  // Each kind of phone has a map of its own; without a script the link opens a page of the open street map.
  function maps() {
    const apple = /iPhone|iPad|iPod/.test(navigator.userAgent), android = /Android/.test(navigator.userAgent);
    for (const link of all(document, "[data-place]")) {
      if (apple) link.href = "maps:?q=" + link.dataset.place;
      if (android) link.href = "geo:" + (link.dataset.point || "0,0") + "?q=" + link.dataset.place;
    }
  }

  // A drawing larger or smaller by a button, for a hand in a glove; two fingers do it too.
  function drawings() {
    for (const b of all(document, "[data-zoom]")) {
      const style = b.closest(".drawing").style;
      b.addEventListener("click", () => {
        const zoom = (Number(style.getPropertyValue("--zoom")) || 1) * Number(b.dataset.zoom);
        style.setProperty("--zoom", Math.min(4, Math.max(0.35, zoom)));
      });
    }
  }

  looks();
  maps();
  drawings();
  all(document, ".day").forEach(sheet);
})();
