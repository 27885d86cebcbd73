const pick = id => document.getElementById(id);
const fields = ["section", "verdict", "basis", "words"].map(pick);
function filter() {
  const [section, verdict, basis] = fields.slice(0, 3).map(f => f.value);
  const words = pick("words").value.toLowerCase().split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const group of document.querySelectorAll("tbody[data-section]")) {
    let any = false;
    for (const row of group.querySelectorAll("tr[data-verdict]")) {
      const fits = (!section || group.dataset.section === section) && (!verdict || row.dataset.verdict === verdict) &&
        (!basis || row.dataset.basis === basis) && words.every(w => row.textContent.toLowerCase().includes(w));
      row.hidden = !fits;
      any = any || fits;
      shown += fits;
    }
    group.hidden = !any;
  }
  pick("count").value = shown + " rows shown" + (shown ? "" : ": nothing fits, widen the filter");
}
fields.forEach(f => f.addEventListener("input", filter));
pick("filter").hidden = false;
filter();
