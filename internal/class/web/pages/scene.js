// Shows a bench as it is, or as it was at one moment.
"use strict";
(function () {
  const scene = document.getElementById("scene");
  const plan = document.getElementById("plan");
  const moment = document.getElementById("moment");
  const space = "http://www.w3.org/2000/svg";
  let following = scene.dataset.live === "true";
  let entry = -1, entries = 0, asking = false, again = false;

  function put(parent, tag, attributes, text) {
    const e = document.createElementNS(space, tag);
    for (const k in attributes) e.setAttribute(k, attributes[k]);
    if (text !== undefined) e.textContent = text;
    parent.append(e);
    return e;
  }

  function draw(s) {
    plan.replaceChildren();
    const v = s.View, ink = "var(--ink)", soft = "var(--soft)", act = "var(--act)", truth = "var(--truth)", line = "var(--line)";
    const piece = s.Pieces.find((p) => p.ID === v.Piece);
    if (!piece) {
      put(plan, "text", { x: 300, y: 200, "text-anchor": "middle", fill: soft }, "no piece under the probe");
    } else {
      const scale = Math.min(540 / piece.Width, 320 / piece.Height);
      const left = (600 - piece.Width * scale) / 2, bottom = 30 + (320 + piece.Height * scale) / 2;
      const x = (mm) => left + mm * scale, y = (mm) => bottom - mm * scale;
      put(plan, "rect", { x: x(0), y: y(piece.Height), width: piece.Width * scale, height: piece.Height * scale, fill: line, stroke: ink });
      put(plan, "text", { x: 300, y: 20, "text-anchor": "middle", fill: ink }, piece.Name + (v.Foil ? ", " + v.Foil + " on it" : ""));
      if (piece.Part) {
        const a = piece.Area;
        put(plan, "rect", { x: x(a[0]), y: y(a[1] + a[3]), width: a[2] * scale, height: a[3] * scale, fill: "none", stroke: soft, "stroke-dasharray": "6 4" });
      }
      for (const m of s.Marks.filter((m) => m.Piece === v.Piece)) {
        put(plan, "circle", { cx: x(m.X), cy: y(m.Y), r: 5, fill: m.Deleted ? "none" : m.Mode === "measure" ? act : truth, stroke: ink });
        put(plan, "text", { x: x(m.X) + 9, y: y(m.Y) - 9, fill: ink, "font-size": 11 }, m.Um.toFixed(1));
      }
      const px = Math.min(Math.max(x(v.Pose.x / 1000), 8), 592), py = Math.min(Math.max(y(v.Pose.y / 1000), 8), 392);
      const r = 8 + Math.min(20, v.Pose.h / 3000);
      put(plan, "circle", { cx: px, cy: py, r: r, fill: "none", stroke: act, "stroke-width": v.Touching ? 4 : 2 });
      put(plan, "path", { d: "M" + (px - r - 4) + " " + py + "h" + (2 * r + 8) + "M" + px + " " + (py - r - 4) + "v" + (2 * r + 8), stroke: act });
    }
    document.getElementById("figure").textContent = v.HasLast ? (v.Last * v.Resolution).toFixed(1) + " µm" : "–";
    document.getElementById("word").textContent = v.Touching ? (v.Captured ? "reading taken, still on" : "on the piece") : v.HasLast ? "newest reading" : "no reading yet";
    const tilt = Math.hypot(v.Pose.tx || 0, v.Pose.ty || 0) / 1000;
    const facts = [["Mode", v.Mode], ["Adjustment", v.Adjustment], ["Readings", v.Statistics.N + (v.Statistics.N ? ", mean " + (v.Statistics.Mean * v.Resolution).toFixed(1) + " µm" : "")], ["Spot", v.Spot], ["Height", (v.Pose.h / 1000).toFixed(1) + " mm"], ["Tilt", tilt.toFixed(1) + "°"], ["Press", ((v.Pose.f || 0) / 1000).toFixed(2) + " N"], ["Time", (s.At / 60000).toFixed(1) + " min"]];
    const dl = document.getElementById("facts");
    dl.replaceChildren();
    for (const [k, t] of facts) {
      const dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = k; dd.textContent = t;
      dl.append(dt, dd);
    }
    document.getElementById("events").textContent = (s.Did && s.Did.do ? s.Did.do + (s.Did.item ? " " + s.Did.item : "") + (s.Did.text ? " “" + s.Did.text + "”" : "") : "") + (s.Events || []).map((e) => " · " + e.saw + (e.text ? ": " + e.text : "")).join("");
    document.getElementById("where").textContent = "entry " + s.Entry + " of " + s.Entries;
    entries = s.Entries;
    moment.max = entries;
    moment.value = s.Entry;
    entry = s.Entry;
  }

  async function ask(n) {
    if (asking) { again = n; return; }
    asking = true;
    try {
      const answer = await fetch("/attempt/" + scene.dataset.attempt + "/scene.json" + (n >= 0 ? "?entry=" + n : ""));
      if (answer.ok) draw(await answer.json());
      else document.getElementById("where").textContent = "the server answered " + answer.status;
    } catch (err) {
      document.getElementById("where").textContent = err.message;
    }
    asking = false;
    if (again !== false) { const n = again; again = false; ask(n); }
  }

  function go(n) { following = false; ask(Math.min(Math.max(0, n), entries)); }
  moment.addEventListener("input", () => go(Number(moment.value)));
  document.getElementById("earlier").addEventListener("click", () => go(entry - 1));
  document.getElementById("later").addEventListener("click", () => go(entry + 1));
  document.getElementById("now").addEventListener("click", () => { following = scene.dataset.live === "true"; ask(-1); });
  document.querySelectorAll(".jump").forEach((b) => b.addEventListener("click", () => { go(Number(b.dataset.entry)); scene.scrollIntoView({ behavior: "smooth" }); }));
  ask(-1);
  setInterval(() => { if (following) ask(-1); }, 700);
})();
