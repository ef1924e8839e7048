// How long the cells that run have taken, in the corner of the notebook: seen after two seconds, gone when all is done.

const AFTER_MS = 2000, BETWEEN_MS = 400;  // two cells in a row are one wait
let place = null;  // the notebook that it stands in, once a cell has shown it

export default {
  initialize({ model }) {
    const words = document.createElement("span");
    const bar = document.createElement("progress");
    const said = document.createElement("span");
    const note = document.createElement("div");
    note.className = "simkit-working";
    note.setAttribute("role", "status");
    bar.setAttribute("aria-label", "Cells are running");
    words.setAttribute("aria-hidden", "true");  // a reader is told once, not every second
    said.className = "told";
    note.append(bar, words, said);
    let since = null, tick = 0, gone = 0;
    const count = () => {
      const seconds = Math.floor((Date.now() - since) / 1000);
      if (1000 * seconds < AFTER_MS) return;
      if (!note.isConnected) {
        (place?.isConnected ? place : document.body).append(note);
        said.textContent = "Working on it.";
      }
      words.textContent = `Working … ${seconds} s`;
    };
    const follow = () => {
      clearTimeout(gone);
      if (model.get("busy")) {
        if (since === null) { since = Date.now(); tick = setInterval(count, 250); }
        return;
      }
      gone = setTimeout(() => { clearInterval(tick); since = null; note.remove(); said.textContent = ""; }, BETWEEN_MS);
    };
    model.on("change:busy", follow);
    follow();
  },
  render({ el }) {
    requestAnimationFrame(() => { place = el.closest(".jp-NotebookPanel"); });
  },
};
