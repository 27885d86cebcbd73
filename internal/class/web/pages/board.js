// Keeps the board up to date.
"use strict";
(function () {
  const board = document.getElementById("board");
  const rows = document.getElementById("rows");
  const state = document.getElementById("state");
  const steps = ["zero", "foil", "verify", "measure"];
  const chosen = new URLSearchParams(location.search).get("handout");
  const address = "/class/" + board.dataset.class + "/board.json" + (chosen ? "?handout=" + encodeURIComponent(chosen) : "");

  function element(tag, text, kind) {
    const e = document.createElement(tag);
    if (text !== undefined) e.textContent = text;
    if (kind) e.className = kind;
    return e;
  }

  function acts(kind, name, value) {
    const part = document.getElementById(kind).content.cloneNode(true);
    part.querySelectorAll("input[name=" + name + "]").forEach((i) => { i.value = value; });
    return part;
  }

  function age(seconds) {
    return seconds < 90 ? seconds.toFixed(0) + " s" : (seconds / 60).toFixed(0) + " min";
  }

  // What the marking of a large class has not come to yet.
  function lag(rows) {
    const late = rows.filter((r) => r.Behind < 0 || r.Behind > 15);
    if (!late.length) return "";
    const oldest = Math.max(...late.map((r) => r.Behind));
    return "; findings of " + late.length + " lag" + (oldest > 0 ? ", by up to " + age(oldest) : "");
  }

  function row(r, data) {
    const tr = element("tr");
    tr.dataset.trainee = r.Trainee;
    const name = element("td");
    if (r.Attempt) {
      const a = element("a", r.Name);
      a.href = "/attempt/" + r.Attempt;
      name.append(a);
    } else {
      name.append(r.Name);
    }
    name.append(" ", element("span", r.Here ? "here" : "away", r.Here ? "tag here" : "tag"));
    const stage = element("td", r.Attempt ? r.Stage : "not begun");
    if (r.Attempt) {
      const bar = element("div", undefined, "steps");
      steps.forEach((s, i) => {
        const step = element("i", undefined, s === r.Stage ? "on" : r.Done[i] ? "done" : "");
        step.title = s + (r.Done[i] ? ": done" : "");
        bar.append(step);
      });
      stage.append(bar);
    }
    if (r.Stuck) stage.append(element("span", "stuck: " + r.Stuck, "tag stuck"));
    const findings = element("td", (r.Findings || []).join("; "), "small");
    if (r.Behind < 0) findings.append(element("span", "not looked at yet", "soft"));
    if (r.Behind > 15) findings.append(" ", element("span", "as of " + age(r.Behind) + " ago", "soft age"));
    if (r.Fault) findings.append(element("span", r.Fault, "tag bad"));
    let minutes = r.Attempt ? r.Minutes.toFixed(0) : "";
    if (r.LeftMinutes) minutes += " (" + Math.max(0, r.LeftMinutes).toFixed(0) + " left)";
    const act = element("td");
    if (data.assessment && !r.Identity) act.append(acts("proof", "trainee", r.Trainee));
    if (r.Attempt && !r.Finished && data.open) {
      const part = acts("act", "attempt", r.Attempt);
      if (data.assessment) part.querySelector("form[action$=hint]").remove(); // nobody is coached
      part.querySelector("summary").textContent = data.assessment ? "mishap" : "hint, mishap";
      act.append(part);
    }
    if (!r.Here && data.open) act.append(acts("again", "trainee", r.Trainee));
    tr.append(name, stage, element("td", r.Attempt ? r.Readings : "", "n"), element("td", r.HasLast ? r.LastUm.toFixed(1) : "", "n"), findings, element("td", minutes, "n"), act);
    return tr;
  }

  async function refresh() {
    // Somebody is writing into the table: leave it alone.
    const busy = rows.querySelector("details[open]") || rows.contains(document.activeElement);
    if (!busy) {
      try {
        const answer = await fetch(address);
        if (!answer.ok) throw new Error("the server answered " + answer.status);
        const data = await answer.json();
        if (data.rows.length) rows.replaceChildren(...data.rows.map((r) => row(r, data)));
        state.textContent = data.rows.length + " joined, " + data.rows.filter((r) => r.Here).length + " here" + (data.paused ? ", paused" : "") + lag(data.rows);
      } catch (err) {
        state.textContent = "not up to date: " + err.message;
      }
    } else {
      state.textContent = "stands still while you write in it";
    }
    setTimeout(refresh, 1500);
  }
  const exercise = document.getElementById("exercise");
  const tell = () => { document.getElementById("about").textContent = exercise.selectedOptions[0]?.dataset.about || ""; };
  exercise.addEventListener("change", tell);
  tell();
  refresh();
})();
