// On site: keeps the pages that the server names, queues what is done without
// a signal, and sends it once when there is one. Without this script every
// form still works while there is a signal.
"use strict";
(() => {
  if (!("serviceWorker" in navigator) || !navigator.locks || !window.indexedDB || !window.caches) return;
  const PAGES = "kept-pages";
  const EVERY = 30 * 1000;
  const REFRESH = 10 * 60 * 1000;
  const main = document.querySelector("main");
  const sheet = document.querySelector("[data-person]");
  const line = document.querySelector("[data-signal]");
  const list = document.querySelector("[data-keep-list]");
  // The page of the list keeps everything anew when it is opened.
  let eager = list !== null;
  let awakeUntil = 0;

  navigator.serviceWorker.register("/sw.js").catch(() => {});

  // The queue: one row a form sent, under its own key.
  const open = () => new Promise((done, fail) => {
    const asked = indexedDB.open("headwright", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("queue", { keyPath: "key" });
      asked.result.createObjectStore("facts", { keyPath: "name" });
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const within = async (store, mode, work) => {
    const base = await open();
    try {
      return await new Promise((done, fail) => {
        const turn = base.transaction(store, mode, { durability: "strict" });
        const asked = work(turn.objectStore(store));
        turn.oncomplete = () => done(asked && asked.result);
        turn.onerror = turn.onabort = () => fail(turn.error);
      });
    } finally {
      base.close();
    }
  };
  const waiting = async () => (await within("queue", "readonly", (s) => s.getAll())).sort((a, b) => a.at - b.at);
  const put = (entry) => within("queue", "readwrite", (s) => s.put(entry));
  const drop = (key) => within("queue", "readwrite", (s) => s.delete(key));
  const fact = async (name) => ((await within("facts", "readonly", (s) => s.get(name))) || {}).value;
  const note = (name, value) => within("facts", "readwrite", (s) => s.put({ name, value }));

  const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "numeric", minute: "2-digit" });
  const fresh = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, "0")).join("");

  // What waits and what was refused, in one line and in a list.
  const tell = async (words) => {
    if (!line) return;
    const all = await waiting();
    const refused = all.filter((e) => e.refused);
    const still = all.length - refused.length;
    const parts = [navigator.onLine ? "" : "No signal.", words || ""];
    if (still) parts.push(still === 1 ? "1 not sent yet." : still + " not sent yet.");
    if (refused.length) parts.push(refused.length + " could not be taken: see below.");
    if (!still && !refused.length && !words) parts.push("All sent.");
    line.textContent = parts.filter(Boolean).join(" ");
    line.classList.toggle("hand", still > 0 || refused.length > 0 || !navigator.onLine);
    listed(all);
  };

  const listed = (all) => {
    const place = document.querySelector("[data-queue-list]");
    if (!place) return;
    if (!all.length) {
      const none = document.createElement("li");
      none.textContent = "Nothing.";
      place.replaceChildren(none);
      return;
    }
    place.replaceChildren(...all.map((entry) => {
      const row = document.createElement("li");
      row.textContent = entry.what + ", " + clock(entry.at) + (entry.refused ? ": " + entry.refused : "");
      if (entry.refused) {
        const go = document.createElement("button");
        go.className = "quiet";
        go.textContent = "Take it off this list";
        go.addEventListener("click", async () => { await drop(entry.key); tell(); });
        row.append(" ", go);
      }
      return row;
    }));
  };

  // A row on the page shows what its queued form says.
  const mark = async () => {
    const all = await waiting();
    for (const form of document.querySelectorAll("form[data-queue]")) {
      const row = form.closest(".piece");
      if (!row) continue;
      const label = form.elements.namedItem("label");
      const mine = all.filter((e) => e.action === form.getAttribute("action") && label &&
        e.fields.some(([n, v]) => n === "label" && v === label.value));
      const last = mine[mine.length - 1];
      let said = row.querySelector(".waits");
      if (!last) {
        if (said) said.remove();
        continue;
      }
      if (!said) {
        said = document.createElement("span");
        said.className = "fact waits";
        form.before(said);
      }
      const undo = last.fields.some(([n, v]) => n === "do" && v === "undo");
      said.textContent = (undo ? "not cut after all" : "✓ cut") + ", " + clock(last.at) + ", not sent yet";
      row.classList.toggle("done", !undo);
      const press = form.querySelector("button[name=do]");
      if (press) {
        press.value = undo ? "done" : "undo";
        press.textContent = undo ? "Cut ✓" : "Not cut after all";
      }
    }
  };

  const REFUSED = {
    404: "this head is no longer given to you, or is gone",
    409: "it does not fit what was done meanwhile",
    422: "it was sent before with other values",
  };

  // Statuses at which sending more is of no use now.
  const WAIT = [401, 403, 429, 503];

  // Sends what waits, oldest first, each under its own key: sent twice it
  // counts once. Stops where the signal does. Gives the addresses that took
  // something, and what is to be said.
  const send = async () => {
    const taken = new Set();
    const stuck = new Set();
    const all = (await waiting()).filter((e) => !e.refused);
    if (!all.length) return { taken };
    const asked = await fetch("/site/token", { cache: "no-store" });
    if (asked.status === 401) return { taken, words: "Sign in to send what waits." };
    if (!asked.ok) return { taken };
    const token = await asked.json();
    for (const entry of all) {
      if (entry.user !== token.user || stuck.has(entry.action)) continue;
      const body = new URLSearchParams([...entry.fields, ["_csrf", token.csrf], ["_key", entry.key]]);
      const reply = await fetch(entry.action, { method: "POST", body, redirect: "manual" });
      if (reply.type === "opaqueredirect" || reply.ok) {
        await drop(entry.key);
        taken.add(entry.action);
      } else if (reply.status in REFUSED || reply.status === 400) {
        await put({ ...entry, refused: REFUSED[reply.status] || "the form was not whole" });
      } else if (WAIT.includes(reply.status)) {
        break;
      } else {
        // A fault with this head keeps its order; the others go on.
        stuck.add(entry.action);
      }
    }
    return { taken };
  };

  let sending = null;
  const flush = () => {
    sending = sending || (async () => {
      try {
        const { taken, words } = await navigator.locks.request("headwright-queue", send);
        for (const action of taken) await fetchKept(location.origin + action.replace(/\/tick$/, ""));
        await tell(words);
        // What was sent is now on the server's page; showing it would let the
        // screen go off.
        if (taken.size && sheet && !awakeUntil) location.reload();
      } catch (fault) {
        await tell().catch(() => {});
      } finally {
        sending = null;
      }
    })();
    return sending;
  };

  // Keeps one page anew; whether it could.
  const fetchKept = async (url) => {
    const reply = await fetch(url, { cache: "no-store" });
    const good = reply.ok && !reply.redirected && reply.headers.get("x-kept") === "yes";
    if (good) await (await caches.open(PAGES)).put(url, reply);
    return good;
  };

  // Keeps every page of the list, and lets go of what is no longer on it.
  const keep = async (now) => {
    const last = (await fact("kept")) || 0;
    if (!now && Date.now() - last < REFRESH && (await caches.has(PAGES))) return;
    const asked = await fetch("/site", { cache: "no-store" });
    if (asked.status === 401) { await caches.delete(PAGES); return; }
    if (!asked.ok || asked.redirected) return;
    const text = await asked.clone().text();
    const wanted = [...new DOMParser().parseFromString(text, "text/html").querySelectorAll("[data-keep]")]
      .map((a) => new URL(a.getAttribute("href"), location.origin).href);
    const pages = await caches.open(PAGES);
    await pages.put(location.origin + "/site", asked);
    const missing = [];
    for (const url of wanted) {
      try {
        if (!(await fetchKept(url))) missing.push(url);
      } catch (fault) {
        missing.push(url);
        break;
      }
    }
    const all = new Set([...wanted, location.origin + "/site"]);
    for (const held of await pages.keys()) if (!all.has(held.url)) await pages.delete(held);
    if (!missing.length) await note("kept", Date.now());
    await shown();
  };

  const shown = async () => {
    if (!list) return;
    const pages = await caches.open(PAGES);
    const last = await fact("kept");
    for (const link of list.querySelectorAll("[data-keep]")) {
      const held = await pages.match(new URL(link.getAttribute("href"), location.origin).href);
      const end = link.querySelector("[data-kept]");
      if (end) end.textContent = (held ? "✓ on this phone" : "not on this phone yet") + (end.dataset.kept ? ", " + end.dataset.kept : "");
    }
    const when = document.querySelector("[data-kept-at]");
    if (when) when.textContent = last ? "Saved " + clock(last) + "." : "Not saved yet.";
  };

  // A form that may wait.
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-queue")) return;
    event.preventDefault();
    event.stopPropagation();
    // A second tap of the same press must not take the first one back.
    if (form.dataset.pressed) return;
    form.dataset.pressed = "yes";
    setTimeout(() => { delete form.dataset.pressed; }, 1500);
    const data = new FormData(form, event.submitter);
    const at = Date.now();
    data.set("said_at", String(at));
    const fields = [...data].filter(([n, v]) => n !== "_csrf" && n !== "_key" && typeof v === "string");
    const what = form.dataset.queue;
    try {
      await put({ key: fresh(), action: form.getAttribute("action"), fields, user: Number(sheet.dataset.person), what, at });
    } catch (fault) {
      // This browser keeps nothing (full, or private): send it as any form.
      form.removeAttribute("data-queue");
      form.requestSubmit(event.submitter);
      return;
    }
    await mark();
    await tell();
    if (navigator.onLine) flush();
  }, true);

  // Leaving: what is not sent would be lost, and nothing may stay behind.
  const wipe = async () => {
    await caches.delete(PAGES);
    await within("queue", "readwrite", (s) => s.clear());
    await within("facts", "readwrite", (s) => s.clear());
  };
  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || form.getAttribute("action") !== "/sign-out" || form.dataset.leaves) return;
    event.preventDefault();
    event.stopPropagation();
    if (navigator.onLine) await flush();
    const all = await waiting().catch(() => []);
    if (all.length && !form.dataset.warned) {
      form.dataset.warned = "yes";
      const said = document.createElement("p");
      said.className = "note hand";
      said.setAttribute("role", "alert");
      said.textContent = (all.length === 1 ? "1 thing is" : all.length + " things are") +
        " not sent yet and would be lost. Go where there is a signal first, or press Sign out again to lose them.";
      main.prepend(said);
      said.scrollIntoView();
      return;
    }
    await wipe().catch(() => {});
    if (navigator.onLine) {
      form.dataset.leaves = "yes";
      form.requestSubmit();
    } else {
      await note("leave", true).catch(() => {});
      await tell("Nothing is kept here any more. The sign-in ends when there is a signal.");
    }
  }, true);

  // A sign-out without a signal is made good before anything else.
  const leave = async () => {
    const asked = await fetch("/site/token", { cache: "no-store" });
    if (asked.ok) {
      const token = await asked.json();
      const body = new URLSearchParams([["_csrf", token.csrf], ["_key", fresh()]]);
      await fetch("/sign-out", { method: "POST", body, redirect: "manual" });
    }
    await wipe();
    location.href = "/sign-in";
  };

  // The screen stays on while cutting, for half an hour at most.
  const awake = document.querySelector("[data-awake]");
  if (awake && "wakeLock" in navigator) {
    let lock = null;
    let timer = 0;
    const hold = async () => {
      try {
        lock = await navigator.wakeLock.request("screen");
        awake.textContent = "Screen stays on until " + clock(awakeUntil);
        awake.setAttribute("aria-pressed", "true");
      } catch (fault) {
        awake.textContent = "This phone does not allow it";
      }
    };
    const loose = () => {
      awakeUntil = 0;
      clearTimeout(timer);
      if (lock) lock.release();
      lock = null;
      awake.textContent = "Keep the screen on";
      awake.setAttribute("aria-pressed", "false");
    };
    awake.hidden = false;
    awake.addEventListener("click", () => {
      if (awakeUntil) { loose(); return; }
      awakeUntil = Date.now() + 30 * 60 * 1000;
      timer = setTimeout(loose, 30 * 60 * 1000);
      hold();
    });
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible" && awakeUntil > Date.now()) hold();
    });
  }

  const look = async () => {
    await mark();
    await shown();
    await tell();
    if (navigator.onLine) {
      if (await fact("leave")) { await leave(); return; }
      await flush();
      await keep(eager);
      eager = false;
    }
  };
  const again = () => { look().catch(() => {}); };
  window.addEventListener("online", again);
  window.addEventListener("offline", () => { tell().catch(() => {}); });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") again(); });
  setInterval(again, EVERY);
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  again();
})();
