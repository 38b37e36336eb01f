// A bath typed in a diary's lines is read as she types, and shown as it is understood.
"use strict";
(() => {
  const lines = document.getElementById("f-lines"), fibre = document.getElementById("f-fibre");
  const shown = document.getElementById("understood");
  if (!lines || !shown) return;
  let waits = 0, asked = 0;
  const ask = async () => {
    const mine = ++asked;
    const what = new URLSearchParams({ lines: lines.value, fibre: fibre ? fibre.value : "" });
    if (!lines.value.trim()) { shown.replaceChildren(); return; }
    const answer = await fetch(`/add/read?${what}`);
    if (!answer.ok || mine !== asked) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    shown.replaceChildren(...page.body.childNodes);
  };
  for (const field of [lines, fibre]) {
    if (field) field.addEventListener("input", () => { clearTimeout(waits); waits = setTimeout(ask, 350); });
  }
  ask();
  // Telling a bath means that new ones were dyed in it, but for those she chose otherwise.
  const kinds = [...document.querySelectorAll("select[name^='what-']")], chosen = new Set();
  kinds.forEach((one) => one.addEventListener("change", () => chosen.add(one)));
  lines.addEventListener("input", () => {
    for (const one of kinds) {
      if (!chosen.has(one) && !one.value.startsWith("code:")) one.value = "lines";
    }
  });
})();
