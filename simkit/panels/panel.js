// A panel: rows of settings on the left, the answer and its picture on the right, what is long below. It knows nothing of
// homes: Python sends what stands where, and is told what was typed. One change is on its way at a time, so that a drag
// always draws its latest state.

const STEPS = { ArrowRight: 1, ArrowUp: 1, PageUp: 10, ArrowLeft: -1, ArrowDown: -1, PageDown: -10 };

function el(tag, props = {}, ...children) {
  const node = document.createElement(tag);
  for (const [key, value] of Object.entries(props)) {
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

// Words of a file however a spreadsheet wrote them: by its mark, as UTF-8 where that can be read, else as older Windows has it.
async function wordsOf(file) {
  const bytes = await file.arrayBuffer();
  const [first, second] = new Uint8Array(bytes);
  if (first + second === 0xfe + 0xff && (first === 0xfe || first === 0xff)) return new TextDecoder(first === 0xff ? "utf-16le" : "utf-16be").decode(bytes);
  try { return new TextDecoder("utf-8", { fatal: true }).decode(bytes); } catch { return new TextDecoder("windows-1252").decode(bytes); }
}

const text = (node, said) => { if (node.textContent !== said) node.textContent = said; };
const html = (node, said) => { if (node.said !== said) { node.innerHTML = said; node.said = said; } };

class Row {
  constructor(name, prefix, ask) {
    this.name = name;
    this.ask = ask;
    this.id = `${prefix}-${name.replace(/\W+/g, "_")}`;
    this.label = el("label", { for: this.id });
    this.was = el("span", { class: "was" });
    this.hint = el("div", { class: "hint", id: `${this.id}-hint` });
    this.line = el("div", { class: "line" });
    this.reset = el("button", { type: "button", class: "reset", onclick: () => ask({ reset: [name] }) }, "Reset");
    this.node = el("div", { class: "row", "data-name": name }, el("div", { class: "head" }, this.label, this.was), this.line, this.hint);
    this.kind = "";
  }

  build(row) {
    this.kind = this.node.dataset.kind = row.kind;
    const send = (value) => this.ask({ set: { [this.name]: value } });
    const described = { id: this.id, "aria-describedby": this.hint.id };
    this.slider = this.box = this.list = null;
    if (row.kind === "choice") {
      this.list = el("select", { ...described, onchange: () => send(this.list.value) });
      this.line.replaceChildren(this.list, this.reset);
      return;
    }
    if (row.kind === "file") {
      const pick = el("input", { type: "file", ...described, accept: row.accept || "", onchange: async () => {
        const file = pick.files[0];
        if (file) this.ask({ upload: { field: this.name, name: file.name, text: await wordsOf(file) } });
        pick.value = "";
      } });
      this.line.replaceChildren(pick);
      return;
    }
    const typed = () => { if (this.box.value !== this.text) { this.text = this.box.value; send(this.box.value); } };
    const entered = (event) => { if (event.key === "Enter") typed(); };  // the notebook may keep Enter from being a change
    this.box = el("input", { type: "text", ...described, autocomplete: "off", onchange: typed, onkeydown: entered });
    if (row.kind === "number") this.box.inputMode = "decimal";
    if (row.slides) {
      const value = () => (row.kind === "time" ? this.options[Number(this.slider.value)] : Number(this.slider.value));
      const moved = () => { this.box.value = String(value()); if (row.live) send(value()); };
      this.slider = el("input", { type: "range", oninput: moved, onchange: () => { if (!row.live) send(value()); }, onkeydown: (event) => {
        const by = STEPS[event.key];  // by hand, for the notebook keeps arrows from moving a slider
        if (!by) return;
        event.preventDefault();
        if (by > 0) this.slider.stepUp(by); else this.slider.stepDown(-by);
        moved();
        if (!row.live) send(value());
      } });
    }
    this.line.replaceChildren(...[this.slider, this.box, this.reset].filter(Boolean));
  }

  show(row, quiet) {
    const shape = `${row.kind}${row.slides}`;
    if (shape !== this.shape) { this.build(row); this.shape = shape; }
    this.node.hidden = !row.shown;
    const named = row.unit ? `${row.label} [${row.unit}]` : row.label;
    text(this.label, named);
    text(this.was, row.was);
    this.node.classList.toggle("moved", row.moved);
    this.reset.style.visibility = row.moved ? "" : "hidden";  // its place is kept, so that a slider never moves under the hand
    this.reset.setAttribute("aria-label", `Reset: ${row.label}`);
    text(this.hint, row.problem || row.hint);
    this.hint.className = row.problem ? "wrong" : "hint";
    if (row.problem) this.hint.setAttribute("role", "alert"); else this.hint.removeAttribute("role");
    if (this.list) {
      const listed = JSON.stringify(row.options);
      if (this.listed !== listed) {
        this.list.replaceChildren(...row.options.map(([value, words]) => el("option", { value }, words)));
        this.listed = listed;
      }
      this.list.value = row.value;
    }
    if (this.box && (document.activeElement !== this.box || this.box.value === this.text)) this.box.value = this.text = row.text;
    if (this.box) this.box.setAttribute("aria-invalid", row.problem ? "true" : "false");
    if (this.slider) {
      this.slider.setAttribute("aria-label", `${named}, slider`);
      this.options = row.options || [];
      const time = row.kind === "time";
      [this.slider.min, this.slider.max, this.slider.step] = time ? [0, this.options.length - 1, 1] : [row.low, row.high, row.step];
      this.slider.setAttribute("aria-valuetext", row.unit ? `${row.text} ${row.unit}` : row.text);
      if (!quiet) this.slider.value = time ? this.options.indexOf(row.value) : row.value;
    }
  }
}

function render({ model, el: root }) {
  const prefix = `simkit-${Math.random().toString(36).slice(2)}`;  // each panel loads this file anew, so that a count would repeat
  const rows = new Map();
  let pending = null, waiting = false, sent = 0, late = 0;

  const send = () => {
    waiting = true;
    sent += 1;
    model.send({ ...pending, seq: sent });
    pending = null;
    late = setTimeout(() => { root.classList.add("busy"); text(busy, "Working …"); }, 400);
  };
  const ask = (wanted) => {
    const both = pending && pending.set && wanted.set && Object.keys(pending).length === 1;
    pending = both ? { set: { ...pending.set, ...wanted.set } } : wanted;
    if (!waiting) send();
  };
  const button = (words, act, kind = "plain") => el("button", { type: "button", class: kind, onclick: act }, words);

  const words = el("div", { class: "answered", "aria-live": "polite" });
  const trouble = el("div", { class: "wrong", role: "alert" });
  const image = el("img", { class: "picture", alt: "" });
  const figures = el("div", { class: "figures" });
  const pins = el("ul", { class: "pins", "aria-label": "Pinned settings" });
  const derived = el("div", { class: "derived" });
  const controls = el("div", { class: "controls", role: "group", tabindex: "0" });
  const more = el("div", { class: "more" });
  const cautions = el("div", { class: "more" });
  const busy = el("div", { class: "working", role: "status" });
  const file = el("input", { type: "text", id: `${prefix}--file`, autocomplete: "off" });
  const said = el("span", { class: "said", role: "status" });
  const csv = el("textarea", { readonly: true, rows: 8, "aria-label": "Table and settings as CSV", hidden: true });
  const pick = el("input", { type: "file", accept: ".toml", id: `${prefix}--pick`, class: "pick", onchange: async () => {
    const chosen = pick.files[0];
    if (chosen) ask({ upload: { field: "", name: chosen.name, text: await wordsOf(chosen) } });
    pick.value = "";
  } });
  const copy = async () => {
    csv.hidden = false;
    csv.select();
    let done = false;
    try { await navigator.clipboard.writeText(csv.value); done = true; } catch { done = document.execCommand("copy"); }
    text(said, done ? "Copied as CSV." : "Select the text and copy it.");
  };
  const acts = el("span", { class: "acts" });
  const pin = button("Pin this setting", () => ask({ pin: true }));
  const files = el("span", { class: "files" }, el("label", { for: file.id }, "Case file"), file, button("Save", () => ask({ save: file.value }), "main"), button("Load", () => ask({ load: file.value })),
    el("label", { for: pick.id, class: "hint" }, "or from this computer"), pick);
  const foot = el("div", { class: "foot" }, button("Reset all", () => ask({ reset: [] })), pin, button("Copy as CSV", copy), acts, files, said);
  const sight = el("div", { class: "sight" }, words, trouble, busy, image, pins);
  root.classList.add("simkit-panel", "simkit-answer");
  root.setAttribute("data-lm-suppress-shortcuts", "true");  // keys typed here are no commands of the notebook
  root.append(el("div", { class: "both" }, controls, sight, figures), foot, csv, more, cautions);

  let drawn = "";
  const lay = (state) => {
    const layout = JSON.stringify(state.groups);
    if (layout === controls.layout) return;
    controls.layout = layout;
    controls.setAttribute("aria-label", `Settings: ${state.title}`);
    controls.replaceChildren(...state.groups.map(({ title, names }) => el("fieldset", {}, title ? el("legend", {}, title) : null, ...names.map((name) => {
      if (!rows.has(name)) rows.set(name, new Row(name, prefix, ask));
      return rows.get(name).node;
    }))), derived);
  };

  const follow = () => {
    const state = model.get("state");
    if (!state.groups) return;
    const answered = state.seq >= sent;
    if (answered) { waiting = false; clearTimeout(late); root.classList.remove("busy"); }
    lay(state);
    const quiet = !answered || pending !== null;
    for (const [name, row] of Object.entries(state.rows)) rows.get(name)?.show(row, quiet);
    html(words, state.words);
    root.classList.toggle("short", !state.held);
    root.classList.toggle("asking", state.asks);
    root.classList.toggle("above", state.above);
    [files.hidden, pin.hidden] = [!state.files, !state.pinning];
    text(trouble, state.trouble);
    text(busy, state.progress);
    image.alt = state.alt;
    image.hidden = !state.alt || !drawn;
    html(derived, state.derived);
    html(more, state.tables);
    if (state.said) text(said, state.said);
    said.classList.toggle("wrong", state.refused);
    if (!quiet && document.activeElement !== file && state.file) file.value = state.file;
    acts.replaceChildren(...state.acts.map(([act, label]) => button(label, () => ask({ act }), "main")));
    pins.replaceChildren(...state.pins.map(([name, told, words]) => el("li", {}, el("b", {}, name), ` ${told}: ${words} `,
      button("Go back to it", () => ask({ unpinned: [name, true] })), button("Drop", () => ask({ unpinned: [name, false] })))));
    if (answered && pending) send();
  };
  const settle = () => {
    const state = model.get("settled");
    html(figures, state.figures || "");
    html(cautions, state.cautions || "");
    csv.value = state.csv || "";
  };
  const draw = () => {
    const bytes = model.get("picture");
    if (!bytes || !bytes.byteLength) return;
    const before = drawn;
    drawn = URL.createObjectURL(new Blob([bytes], { type: "image/png" }));
    image.src = drawn;
    image.hidden = false;
    if (before) setTimeout(() => URL.revokeObjectURL(before), 1000);
  };
  model.on("change:picture", draw);
  model.on("change:state", follow);
  model.on("change:settled", settle);
  draw();
  settle();
  follow();
  return () => { model.off("change:picture", draw); model.off("change:state", follow); model.off("change:settled", settle); };
}

export default { render };
