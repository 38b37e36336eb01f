// Places marked on a photo: a tap or a dragged square, by mouse, finger or keys. What is marked
// stands in ordinary fields as "x,y" or "x,y,half", in pixels of the whole photo, so that the form
// is the same with no script at all. Pixel (0, 0) is the middle of the top left one.
"use strict";
(() => {
  const SLOP = 8; // a pointer that moves less, in pixels of the screen, has tapped
  const GLASS = 148, TIMES = 3; // the magnifier: its side on the screen, and how much it enlarges

  const make = (tag, kind, words) => {
    const one = document.createElement(tag);
    if (kind) one.className = kind;
    if (words) one.textContent = words;
    return one;
  };
  const button = (kind, words, name) => {
    const one = make("button", kind, words);
    one.type = "button";
    if (name) one.setAttribute("aria-label", name);
    return one;
  };
  const clamp = (v, low, high) => Math.min(Math.max(v, low), high);
  const read = (text) => {
    const n = text.split(/[,;\s]+/).filter(Boolean).map(Number);
    return (n.length === 2 || n.length === 3) && n.every(Number.isFinite)
      ? { x: n[0], y: n[1], half: n[2] || null } : null;
  };
  const write = (p) => [p.x, p.y, ...(p.half ? [p.half] : [])].map((v) => Math.round(v)).join(",");

  function begin(box) {
    const wide = Number(box.dataset.width), high = Number(box.dataset.height);
    const list = box.querySelector(".marks");
    const another = box.querySelector("template");
    const ask = make("p", "ask");
    ask.setAttribute("role", "status");
    const ground = make("div", "ground picture");
    const frame = make("div", "frame");
    const image = make("img");
    image.src = box.dataset.picture;
    image.alt = box.dataset.alt;
    image.draggable = false;
    const glass = make("canvas", "glass");
    glass.width = glass.height = GLASS * 2;
    glass.hidden = true;
    frame.append(image, glass);
    ground.append(frame);
    box.prepend(ask, ground);
    box.classList.add("live");

    const rows = () => [...list.querySelectorAll(".mark")];
    const field = (row) => row.querySelector(".place");
    const radio = (row) => row.querySelector("input[type=radio]");
    const chosen = () => rows().find((r) => radio(r).checked) || rows()[0];
    const called = (row) => row.dataset.label;

    function dress(row) {
      const spot = button("spot");
      spot.append(make("span", "", row.dataset.short));
      spot.hidden = true;
      frame.insertBefore(spot, glass);
      const tools = make("span", "tools");
      const put = button("", "Place it", `Put a mark of ${called(row)} in the middle`);
      const less = button("", "\u2212", `Make the mark of ${called(row)} smaller`);
      const more = button("", "+", `Make the mark of ${called(row)} larger`);
      const away = button("", "\u00d7", `Take away the mark of ${called(row)}`);
      tools.append(put, less, more, away);
      row.append(tools);
      row.parts = { spot, put, less, more, away };
      put.addEventListener("click", () => {
        radio(row).checked = true;
        set(row, { x: wide / 2, y: high / 2, half: null }, true);
        spot.focus();
      });
      less.addEventListener("click", () => sized(row, 1 / 1.25));
      more.addEventListener("click", () => sized(row, 1.25));
      away.addEventListener("click", () => { gone(row); });
      field(row).addEventListener("change", () => { draw(row); tell(); });
      radio(row).addEventListener("change", tell);
      spot.addEventListener("focus", () => { radio(row).checked = true; tell(); look(row); });
      spot.addEventListener("blur", () => { glass.hidden = true; });
      spot.addEventListener("keydown", (event) => keys(row, event));
      draw(row);
    }

    function draw(row) {
      const p = read(field(row).value), { spot, put, less, more, away } = row.parts;
      spot.hidden = less.hidden = more.hidden = away.hidden = !p;
      put.hidden = Boolean(p);
      if (!p) return;
      spot.style.left = `${(100 * (p.x + 0.5)) / wide}%`;
      spot.style.top = `${(100 * (p.y + 0.5)) / high}%`;
      spot.style.width = p.half ? `${(200 * p.half) / wide}%` : "";
      spot.style.height = p.half ? `${(200 * p.half) / high}%` : "";
      spot.classList.toggle("touch", !p.half);
      const size = p.half ? `, ${Math.round(2 * p.half)} wide` : "";
      spot.setAttribute("aria-label",
        `${called(row)}, ${Math.round(p.x)} across and ${Math.round(p.y)} down${size}. ` +
        "Arrow keys move it.");
    }

    function set(row, p, stay) {
      const was = read(field(row).value);
      p.x = clamp(p.x, 0, wide - 1);
      p.y = clamp(p.y, 0, high - 1);
      field(row).value = write(p);
      draw(row);
      if (!was && !stay) onward(row);
      tell();
      box.dispatchEvent(new CustomEvent("marked", { bubbles: true }));
    }

    function gone(row) {
      field(row).value = "";
      draw(row);
      radio(row).checked = true;
      tell();
      row.parts.put.focus();
      box.dispatchEvent(new CustomEvent("marked", { bubbles: true }));
    }

    function sized(row, by) {
      const p = read(field(row).value);
      if (!p) return;
      p.half = clamp(Math.round((p.half || 0.02 * Math.max(wide, high)) * by), 6, wide);
      set(row, p);
      look(row);
    }

    // To the next thing that has no mark yet, of what comes after and is needed first.
    function onward(row) {
      const all = rows(), at = all.indexOf(row);
      const left = [...all.slice(at + 1), ...all.slice(0, at)].filter((r) => !field(r).value);
      const next = left.find((r) => r.dataset.needed) || (another ? null : left[0]);
      if (next) radio(next).checked = true;
      else if (another) more();
    }

    function more() {
      const free = rows().find((r) => r.dataset.more && !field(r).value);
      if (free) { radio(free).checked = true; return; }
      const row = another.content.firstElementChild.cloneNode(true);
      const number = rows().filter((r) => r.dataset.more).length + 1;
      row.dataset.label += ` ${number}`;
      row.dataset.short = String(number);
      row.querySelector("label span").textContent += ` ${number}`;
      field(row).setAttribute("aria-label", `Where ${row.dataset.label} is`);
      const last = rows().filter((r) => r.dataset.more).pop();
      if (last) last.after(row); else list.append(row);
      dress(row);
      radio(row).checked = true;
    }

    function tell() {
      const row = chosen(), p = read(field(row).value);
      const missing = rows().filter((r) => r.dataset.needed && !field(r).value).length;
      const optional = !row.dataset.needed;
      ask.textContent = p
        ? (missing ? `${cap(called(row))} is marked. Drag its mark to move it.`
          : "All that is needed is marked.")
        : optional && !missing
          ? `All that is needed is marked. If you like, tap ${called(row)} too.`
          : `Tap the middle of ${called(row)}.`;
    }
    const cap = (words) => words.charAt(0).toUpperCase() + words.slice(1);

    function keys(row, event) {
      const p = read(field(row).value);
      const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      if (!p) return;
      if (way[event.key]) {
        const step = event.shiftKey ? (event.ctrlKey || event.altKey ? 100 : 10) : 1;
        p.x += way[event.key][0] * step;
        p.y += way[event.key][1] * step;
        set(row, p, true);
        look(row);
      } else if (event.key === "+" || event.key === "=") sized(row, 1.25);
      else if (event.key === "-") sized(row, 1 / 1.25);
      else if (event.key === "Delete" || event.key === "Backspace") gone(row);
      else return;
      event.preventDefault();
    }

    // Where a pointer is, in pixels of the photo.
    function at(event) {
      const r = image.getBoundingClientRect();
      return {
        x: clamp(((event.clientX - r.left) / r.width) * wide - 0.5, 0, wide - 1),
        y: clamp(((event.clientY - r.top) / r.height) * high - 0.5, 0, high - 1),
      };
    }

    function look(row) {
      const p = read(field(row).value);
      if (p && document.activeElement === row.parts.spot) enlarge(p);
    }

    function enlarge(p) {
      const pen = glass.getContext("2d"), r = image.getBoundingClientRect();
      if (!pen || !image.complete || !image.naturalWidth) return;
      const scale = image.naturalWidth / r.width, side = (GLASS / TIMES) * scale;
      const u = ((p.x + 0.5) / wide), v = ((p.y + 0.5) / high);
      pen.fillStyle = "#919191";
      pen.fillRect(0, 0, 2 * GLASS, 2 * GLASS);
      pen.drawImage(image, u * image.naturalWidth - side / 2, v * image.naturalHeight - side / 2,
        side, side, 0, 0, 2 * GLASS, 2 * GLASS);
      for (const [colour, width] of [["#000", 6], ["#fff", 2]]) {
        pen.strokeStyle = colour;
        pen.lineWidth = width;
        pen.beginPath();
        for (const [a, b] of [[0, 0.44], [0.56, 1]]) {
          pen.moveTo(GLASS, 2 * GLASS * a); pen.lineTo(GLASS, 2 * GLASS * b);
          pen.moveTo(2 * GLASS * a, GLASS); pen.lineTo(2 * GLASS * b, GLASS);
        }
        pen.stroke();
      }
      // Above the finger; where the window ends there, beside it, and never below the hand.
      const x = u * r.width, y = v * r.height, above = r.top + y - GLASS - 36;
      const aside = x > r.width / 2 ? x - GLASS - 60 : x + 60;
      const left = above > 0 ? clamp(x - GLASS / 2, 0, Math.max(r.width - GLASS, 0)) : aside;
      glass.style.left = `${left}px`;
      glass.style.top = `${above > 0 ? y - GLASS - 36 : Math.max(y - GLASS / 2, -r.top)}px`;
      glass.hidden = false;
    }

    let held = null;
    frame.addEventListener("pointerdown", (event) => {
      if (!event.isPrimary || event.button) return;
      const spot = event.target.closest(".spot");
      const row = spot ? rows().find((r) => r.parts.spot === spot) : chosen();
      const start = at(event), p = read(field(row).value);
      held = {
        row, start, spot: Boolean(spot), x: event.clientX, y: event.clientY, moved: false,
        off: spot ? { x: p.x - start.x, y: p.y - start.y } : null,
        half: p ? p.half : null, finger: event.pointerType !== "mouse", now: start,
      };
      frame.setPointerCapture(event.pointerId);
      if (spot) { radio(row).checked = true; spot.focus(); }
      event.preventDefault();
      enlarge(start);
    });
    frame.addEventListener("pointermove", (event) => {
      if (!held || !event.isPrimary) return;
      const here = at(event), { row, start } = held;
      held.now = here;
      held.moved ||= Math.hypot(event.clientX - held.x, event.clientY - held.y) > SLOP;
      if (held.spot && held.moved) {
        set(row, { x: here.x + held.off.x, y: here.y + held.off.y, half: held.half }, true);
      } else if (held.moved && !held.finger) {
        held.square = {
          x: (start.x + here.x) / 2, y: (start.y + here.y) / 2,
          half: Math.max(Math.abs(here.x - start.x), Math.abs(here.y - start.y)) / 2,
        };
        const had = field(row).value;
        field(row).value = write(held.square);
        draw(row);
        field(row).value = had;
      }
      enlarge(here);
    });
    const done = (event) => {
      if (!held || !event.isPrimary) return;
      const { row, spot, square, now } = held;
      held = null;
      glass.hidden = true;
      if (event.type === "pointercancel") { draw(row); return; }
      if (!spot) set(row, square || { x: now.x, y: now.y, half: null });
    };
    frame.addEventListener("pointerup", done);
    frame.addEventListener("pointercancel", done);
    image.addEventListener("dragstart", (event) => event.preventDefault());

    rows().forEach(dress);
    if (!rows().some((r) => radio(r).checked && !field(r).value)) {
      const free = rows().find((r) => r.dataset.needed && !field(r).value);
      if (free) radio(free).checked = true;
      else if (another) more();
    }
    tell();
  }

  // What is marked so far is kept, so that it is there tomorrow.
  function keep(box) {
    const form = box.closest("form"), to = box.dataset.keep;
    let waits = 0;
    box.addEventListener("marked", () => {
      clearTimeout(waits);
      waits = setTimeout(() => {
        const sent = new FormData(form);
        sent.set("token", box.dataset.token);
        fetch(to, { method: "POST", body: sent, redirect: "manual" }).catch(() => {});
      }, 400);
    });
  }

  document.querySelectorAll(".marking").forEach((box) => {
    begin(box);
    if (box.dataset.keep) keep(box);
  });
})();
