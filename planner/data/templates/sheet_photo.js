"use strict";
// A photo for the office, on the crew's own page: made smaller here, sent at once; without a signal it waits on
// the phone. The office makes it anew without place and device; the same picture twice is kept once.
(function () {
  const LONGEST = 1600;
  for (const box of document.querySelectorAll("[data-photos]")) {
    const said = box.querySelector("[data-photo-said]"), file = box.querySelector("[type=file]"), job = box.querySelector("select");
    const tell = (text) => { said.textContent = text; };
    const store = "planner/photos/" + box.dataset.photos;
    const waiting = () => { try { return JSON.parse(localStorage.getItem(store) || "[]"); } catch (e) { return []; } };
    const wait = (all) => { if (all.length) localStorage.setItem(store, JSON.stringify(all)); else localStorage.removeItem(store); };
    const told = () => { const n = waiting().length; return n ? n + (n === 1 ? " photo waits" : " photos wait") + " on this phone." : ""; };
    // what comes of it: true when the office has answered, whatever it said
    function deliver(one) {
      return fetch(box.dataset.photos + "?job=" + encodeURIComponent(one.job), { method: "POST", body: bytes(one.data), headers: { "content-type": "image/jpeg" } })
        .then((answer) => answer.text().then((text) => { tell(text.trim()); return answer.status < 500; }), () => false);
    }
    function bytes(text) {
      const raw = atob(text), found = new Uint8Array(raw.length);
      for (let n = 0; n < raw.length; n++) found[n] = raw.charCodeAt(n);
      return found;
    }
    function smaller(picked) {
      return createImageBitmap(picked, { imageOrientation: "from-image" }).then((seen) => {
        const by = Math.min(1, LONGEST / Math.max(seen.width, seen.height)), canvas = document.createElement("canvas");
        canvas.width = Math.round(seen.width * by); canvas.height = Math.round(seen.height * by);
        canvas.getContext("2d").drawImage(seen, 0, 0, canvas.width, canvas.height);
        return canvas.toDataURL("image/jpeg", 0.8).split(",")[1];
      });
    }
    box.querySelector("[data-photo-send]").addEventListener("click", () => {
      if (!file.files.length) return tell("Choose or take a picture first.");
      tell("Sending ...");
      smaller(file.files[0]).then((data) => {
        const one = { job: job.value, data: data };
        deliver(one).then((answered) => {
          if (answered) { file.value = ""; return; }
          try { wait(waiting().concat(one)); file.value = ""; tell("No signal: " + told() + " It is sent when there is one."); }
          catch (e) { tell("No signal, and this phone keeps no more: send the picture later."); }
        });
      }, () => tell("That is no picture that this phone can read."));
    });
    let busy = false;
    function again() {
      const all = waiting();
      if (busy || !all.length) return;
      busy = true;
      deliver(all[0]).then((answered) => {
        busy = false;
        if (!answered) return tell(told());
        wait(waiting().slice(1));
        again();
      });
    }
    window.addEventListener("online", again);
    again();
  }
})();
