// The plan stays fresh and heads can be dragged. Without this script the page
// shows the plan as it was when opened, and each step has its form.
"use strict";
(() => {
  const plan = () => document.getElementById("plan");
  const state = document.getElementById("plan-state");
  if (!plan() || !state) return;
  const say = (words) => { if (state.textContent !== words) state.textContent = words; };

  let waiting = false;
  const busy = () => {
    const at = document.activeElement;
    return at && plan().contains(at) && at.matches("select, input");
  };
  const refresh = async () => {
    if (busy()) {
      waiting = true;
      say("Somebody changed the plan. It is shown when you leave this field.");
      return;
    }
    waiting = false;
    const open = [...plan().querySelectorAll("details[open]")].map((d) => d.id);
    const reply = await fetch(location.pathname + location.search.replace(/&?saved/, ""));
    if (!reply.ok) { say("The plan could not be read again: " + reply.status + ". Reload the page."); return; }
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    const fresh = page.getElementById("plan");
    if (!fresh) return;
    plan().replaceWith(document.adoptNode(fresh));
    for (const id of open) { document.getElementById(id)?.setAttribute("open", ""); }
    say("Shown as it stands now.");
  };
  document.addEventListener("focusout", () => { if (waiting) setTimeout(refresh, 50); });

  if (window.EventSource) {
    const source = new EventSource("/crew/plan/changes");
    source.addEventListener("newest", (event) => {
      if (Number(event.data) > Number(plan().dataset.newest)) { refresh().catch(() => say("Not connected: this may be old.")); }
      else if (state.textContent.startsWith("Not connected")) { say("Connected again."); }
    });
    source.addEventListener("error", () => {
      // The stream ends every two minutes and comes back at once; only a longer gap is told.
      setTimeout(() => { if (source.readyState !== EventSource.OPEN) say("Not connected: what stands here may be old."); }, 4000);
    });
  }

  const cell = (event) => event.target instanceof Element ? event.target.closest("td[data-day]") : null;
  document.addEventListener("dragstart", (event) => {
    const slot = event.target instanceof Element ? event.target.closest("[data-slot]") : null;
    if (slot) event.dataTransfer.setData("text/plain", slot.dataset.slot);
  });
  document.addEventListener("dragover", (event) => {
    const over = cell(event);
    if (!over) return;
    event.preventDefault();
    over.classList.add("over-here");
  });
  document.addEventListener("dragleave", (event) => { cell(event)?.classList.remove("over-here"); });
  document.addEventListener("drop", (event) => {
    const to = cell(event);
    const form = document.querySelector("#slot-" + CSS.escape(event.dataTransfer.getData("text/plain")) + " form");
    if (!to || !form) return;
    event.preventDefault();
    form.elements.user.value = to.dataset.user;
    form.elements.day.value = to.dataset.day;
    form.requestSubmit();
  });
})();
