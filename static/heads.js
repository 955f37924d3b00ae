// A head's drawing follows what is typed. Without this script the button
// “Draw it” does the same; the server draws in both cases.
"use strict";
(() => {
  const button = document.querySelector("button[data-draws]");
  const place = document.getElementById("drawn");
  if (!button || !place) return;
  const form = button.form;

  let timer = 0;
  let going = null;

  const errorOf = (name) => document.getElementById(name + "-error");

  const say = (name, words) => {
    const field = form.elements.namedItem(name);
    if (!(field instanceof HTMLElement)) return;
    let line = errorOf(name);
    if (!words) {
      if (line && line.classList.contains("live")) {
        line.remove();
        field.removeAttribute("aria-invalid");
      }
      return;
    }
    if (!line) {
      line = document.createElement("p");
      line.id = name + "-error";
      line.className = "wrong live";
      (field.closest(".field") || field.parentElement).append(line);
    }
    line.textContent = words;
    field.setAttribute("aria-invalid", "true");
  };

  const show = (html) => {
    const fresh = document.createElement("div");
    fresh.innerHTML = html;
    const wrong = new Map();
    for (const item of fresh.querySelectorAll("[data-field]")) wrong.set(item.dataset.field, item.dataset.words);
    for (const field of form.elements) if (field.name) say(field.name, wrong.get(field.name));
    const old = place.querySelector("figure");
    if (old && !fresh.querySelector("figure")) {
      old.classList.add("stale");
      fresh.prepend(old);
    }
    place.replaceChildren(...fresh.childNodes);
  };

  const draw = async () => {
    if (going) going.abort();
    going = new AbortController();
    place.setAttribute("aria-busy", "true");
    try {
      const reply = await fetch(button.dataset.draws, {
        method: "POST",
        body: new URLSearchParams(new FormData(form)),
        headers: { "X-Part": "drawing" },
        signal: going.signal,
      });
      if (reply.ok) show(await reply.text());
    } catch (fault) {
      // Signal lost, or a newer drawing asked for: the last drawing stays.
      if (fault.name !== "AbortError") place.classList.add("stale");
    } finally {
      place.removeAttribute("aria-busy");
    }
  };

  const soon = () => {
    clearTimeout(timer);
    timer = setTimeout(draw, 250);
  };

  form.addEventListener("input", soon);
  form.addEventListener("change", (event) => {
    if (/(^|\.)kind$/.test(event.target.name)) form.requestSubmit(button);
    else soon();
  });
})();
