// Pages work without this file; it only adds comfort.
"use strict";
// A form sent twice by a double tap counts once anyway; this spares the wait.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  setTimeout(() => { delete form.dataset.sent; }, 5000);
});
// After a rejected form, start at what is wrong.
const wrong = document.getElementById("wrong") || document.getElementById("conflict");
if (wrong) { wrong.focus(); }
// A button that is good for some seconds goes when they are over.
for (const short of document.querySelectorAll("[data-gone-after]")) {
  setTimeout(() => { short.remove(); }, Number(short.dataset.goneAfter) * 1000);
}
