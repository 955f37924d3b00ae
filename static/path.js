// The points of a run's path on its drawing: moved with the pointer or the
// arrow keys, added and taken out. They are kept in the form's own lines, so
// that without this script the same is done by typing.
"use strict";
(() => {
  const place = document.getElementById("drawn");
  const form = document.querySelector("[data-draw-form] form");
  if (!place || !form) return;
  const SVG = "http://www.w3.org/2000/svg";
  const metric = () => form.elements.unit && form.elements.unit.value === "mm";
  const perUnit = () => (metric() ? 1 / 25.4 : 1);
  const step = () => (metric() ? 5 : 0.25);

  // A plain number or a fraction; anything with a unit of its own is left to
  // the server.
  const number = (text) => {
    const t = text.trim().replace("\u2212", "-");
    if (/^-?\d*\.?\d+$/.test(t)) return Number(t);
    const m = /^(-?)(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(t);
    if (!m || Number(m[4]) === 0) return NaN;
    const size = Number(m[2] || 0) + Number(m[3]) / Number(m[4]);
    return m[1] ? -size : size;
  };
  const words = (value) => {
    const parts = Math.round(value * 16);
    if (metric() || Math.abs(value * 16 - parts) > 1e-6) return String(Number(value.toFixed(4)));
    const whole = Math.trunc(Math.abs(parts) / 16);
    let over = Math.abs(parts) % 16;
    let under = 16;
    while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
    const text = over ? (whole ? whole + " " : "") + over + "/" + under : String(whole);
    return (parts < 0 ? "-" : "") + text;
  };

  // The points of a path's lines, or null where the server must be asked.
  const pointsOf = (lines) => {
    const all = [];
    for (const line of lines) {
      const last = all[all.length - 1];
      const turn = /^\s*(-?[\d.]+)\s*°\s*,?\s*(.+)$/.exec(line.replace("\u2212", "-"));
      const by = /^\s*(?:by |\+)/.test(line);
      let point;
      if (turn && last) {
        const a = (Number(turn[1]) * Math.PI) / 180;
        const l = number(turn[2]);
        point = [last[0] + l * Math.cos(a), last[1] + l * Math.sin(a), last[2]];
      } else {
        point = line.replace(/^\s*(?:by |\+)/, "").split(/[,;]/).map(number);
        if (by && last) point = point.map((x, i) => x + last[i]);
      }
      if (point.length !== 3 || point.some((x) => !Number.isFinite(x))) return null;
      all.push(point);
    }
    return all;
  };

  const lineOf = (point) => point.map(words).join(", ");
  const relative = (line) => /^\s*(?:by |\+)|°/.test(line);
  let focus = null;

  const change = (area, edit) => {
    const lines = area.value.split("\n").filter((l) => l.trim());
    const points = pointsOf(lines);
    if (!points) return;
    const faces = form.elements[area.name.replace(/path$/, "normals")];
    const legs = faces ? faces.value.split("\n").filter((l) => l.trim()) : [];
    edit(lines, points, legs);
    area.value = lines.join("\n");
    if (faces) faces.value = legs.join("\n");
    area.dispatchEvent(new Event("input", { bubbles: true }));
  };

  // A point that stands still keeps its place though its line was told from
  // the one that moved.
  const fix = (lines, points, nth) => {
    if (nth < lines.length && relative(lines[nth])) lines[nth] = lineOf(points[nth]);
  };
  const move = (area, nth, dx, dy) =>
    change(area, (lines, points) => {
      fix(lines, points, nth + 1);
      const [x, y, z] = points[nth];
      lines[nth] = lineOf([x + dx, y + dy, z]);
      focus = [area.name, nth];
    });
  const add = (area, nth) =>
    change(area, (lines, points, legs) => {
      const a = points[nth];
      const b = points[nth + 1];
      const mid = b ? a.map((x, i) => (x + b[i]) / 2) : [a[0] + 12 * step(), a[1], a[2]];
      fix(lines, points, nth + 1);
      lines.splice(nth + 1, 0, lineOf(mid));
      legs.splice(nth, 0, legs[Math.min(nth, legs.length - 1)] || "out");
      focus = [area.name, nth + 1];
    });
  const remove = (area, nth) =>
    change(area, (lines, points, legs) => {
      if (lines.length < 3) return;
      fix(lines, points, nth + 1);
      lines.splice(nth, 1);
      legs.splice(Math.min(nth, legs.length - 1), 1);
      focus = [area.name, Math.max(0, nth - 1)];
    });

  const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  const onKey = (area, nth) => (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const by = step() * (event.shiftKey ? 4 : 1);
    if (keys[event.key]) move(area, nth, keys[event.key][0] * by, keys[event.key][1] * by);
    else if (event.key === "+" || event.key === "Insert") add(area, nth);
    else if (event.key === "Delete" || event.key === "Backspace") remove(area, nth);
    else return;
    event.preventDefault();
  };

  // While it is dragged only the mark moves; the drawing follows when it is
  // let go.
  const onPointer = (area, nth, mark, svg, scale) => (event) => {
    const start = new DOMPoint(event.clientX, event.clientY);
    const turn = svg.getScreenCTM().inverse();
    const from = start.matrixTransform(turn);
    const snap = (d) => Math.round(d / scale / step()) * step();
    let by = [0, 0];
    mark.setPointerCapture(event.pointerId);
    mark.onpointermove = (e) => {
      const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(turn);
      by = [snap(at.x - from.x), -snap(at.y - from.y)];
      mark.setAttribute("transform", `translate(${by[0] * scale} ${-by[1] * scale})`);
    };
    mark.onpointerup = mark.onpointercancel = () => {
      mark.onpointermove = mark.onpointerup = mark.onpointercancel = null;
      if (by[0] || by[1]) move(area, nth, by[0], by[1]);
    };
  };

  // A part's own place, in whose frame its paths are told.
  const offset = (name) => {
    const part = /^(parts\.\d+)\.head\./.exec(name);
    const at = part && form.elements[part[1] + ".at"];
    const both = at ? at.value.split(/[,;]/).map(number) : [0, 0];
    return both.length === 2 && both.every(Number.isFinite) ? both : [0, 0];
  };

  const marks = () => {
    const areas = [...form.querySelectorAll("textarea[name$='runs.0.path'], textarea[name*='runs.'][name$='.path']")];
    const hint = document.getElementById("points-hint");
    if (hint) hint.hidden = !areas.length;
    if (!areas.length) return;
    for (const svg of place.querySelectorAll("svg")) {
      const front = svg.querySelector("g[data-view='front']");
      if (!front || svg.querySelector(".points")) continue;
      const scale = Number(front.dataset.scale) * perUnit();
      const layer = document.createElementNS(SVG, "g");
      layer.setAttribute("class", "points");
      for (const area of areas) {
        const lines = area.value.split("\n").filter((l) => l.trim());
        const points = pointsOf(lines) || [];
        const [dx, dy] = offset(area.name);
        const run = (form.elements[area.name.replace(/path$/, "name")] || {}).value || "run";
        points.forEach(([x, y], nth) => {
          const mark = document.createElementNS(SVG, "circle");
          mark.setAttribute("cx", Number(front.dataset.x) + scale * (x + dx));
          mark.setAttribute("cy", Number(front.dataset.y) - scale * (y + dy));
          mark.setAttribute("r", 9);
          mark.setAttribute("tabindex", 0);
          mark.setAttribute("role", "button");
          const say = `Point ${nth + 1} of ${run}: right ${words(x)}, up ${words(y)}. Arrows move it, plus adds one after it, Delete takes it out.`;
          mark.setAttribute("aria-label", say);
          mark.dataset.of = area.name + ":" + nth;
          mark.addEventListener("keydown", onKey(area, nth));
          mark.addEventListener("pointerdown", onPointer(area, nth, mark, svg, scale));
          layer.append(mark);
        });
      }
      svg.append(layer);
      // A picture that one can work on is no longer one image to a reader.
      svg.removeAttribute("role");
    }
    if (focus) {
      const all = place.querySelectorAll(`[data-of="${focus.join(":")}"]`);
      for (const mark of all) if (mark.getClientRects().length && mark.getBoundingClientRect().width) mark.focus({ preventScroll: true });
      focus = null;
    }
  };

  new MutationObserver(marks).observe(place, { childList: true });
  marks();
})();
