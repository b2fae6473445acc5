// What scripts make pleasanter; every page works without them.
"use strict";

// A problem is read out first.
document.querySelector("[data-focus]")?.focus();

// What came in meanwhile is looked for every five minutes.
if (document.querySelector("[data-anew]")) {
  setInterval(() => {
    const at = document.activeElement;
    if (!at || !at.value) location.reload();
  }, 300000);
}

// The letter to the clipboard.
for (const button of document.querySelectorAll("[data-copy]")) {
  const letter = document.getElementById(button.dataset.copy);
  const said = button.parentElement.querySelector(".copied");
  button.hidden = false;
  for (const note of document.querySelectorAll(".noscript")) note.hidden = true;
  button.addEventListener("click", async () => {
    letter.select();
    try {
      await navigator.clipboard.writeText(letter.value);
    } catch {
      document.execCommand("copy");
    }
    said.textContent = "Copied. Paste it into your mail, then note below that it was sent.";
  });
}

// A likely value goes into its field without loading the page anew.
const offers = [...document.querySelectorAll(".offer button[name^=take]")];
if (offers.length) {
  const form = offers[0].form;
  const fieldOf = (what) => form.elements.namedItem(what);
  // Behind its name stands the string it is of, where there are several.
  const of = (button) => button.name.slice("take".length);
  const pairs = (button) => button.value.split(/\r?\n/).map((pair) => {
    const [what, value] = pair.split(/=(.*)/s);
    return [what + of(button), value];
  });
  const show = () => {
    for (const button of offers) {
      const isTaken = pairs(button).every(([what, value]) => fieldOf(what)?.value === value);
      button.setAttribute("aria-pressed", isTaken);
    }
  };
  const take = (button, over) => {
    for (const [what, value] of pairs(button)) {
      const field = fieldOf(what);
      if (field && (over || !field.value)) field.value = value;
    }
  };
  form.addEventListener("click", (event) => {
    const button = event.target.closest("button[name^=take][formaction]");
    if (!button) return;
    event.preventDefault();
    if (button.value === "all") offers.filter((one) => one.name === button.name && one.hasAttribute("data-first")).forEach((one) => take(one, false));
    else take(button, true);
    show();
  });
  form.addEventListener("input", show);
}

// Mails that are dropped on the page, or chosen, are read at once.
const files = document.querySelector("form.files input[type=file]");
if (files) {
  files.addEventListener("change", () => files.form.requestSubmit());
  for (const what of ["dragover", "drop"]) {
    document.addEventListener(what, (event) => {
      if ([...event.dataTransfer.types].includes("Files")) event.preventDefault();
    });
  }
  document.addEventListener("drop", (event) => {
    if (event.dataTransfer.files.length === 0) return;
    files.files = event.dataTransfer.files;
    files.form.requestSubmit();
  });
}

// The brace rule answers without loading the page anew.
const rule = document.querySelector("svg.brace");
const turner = document.querySelector("form.turner");
if (rule && turner) {
  const marks = [...document.querySelectorAll(".marks li")];
  const dot = rule.querySelector(".expected");
  const spread = rule.querySelector(".spread");
  const words = document.querySelector(".chosen");
  let chosen = Number(rule.dataset.chosen);
  const show = (place) => {
    chosen = Math.min(Math.max(place, 0), marks.length - 1);
    const mark = marks[chosen];
    dot.setAttribute("cy", mark.dataset.y);
    spread.setAttribute("y1", mark.dataset.top);
    spread.setAttribute("y2", mark.dataset.bottom);
    words.textContent = mark.textContent;
    for (const button of turner.querySelectorAll("[data-step]")) {
      const next = chosen + Number(button.dataset.step);
      button.disabled = next < 0 || next >= marks.length;
    }
  };
  turner.addEventListener("submit", (event) => {
    event.preventDefault();
    const button = event.submitter;
    if (button?.dataset.step) show(chosen + Number(button.dataset.step));
    else show(marks.findIndex((mark) => mark.dataset.turns === button?.dataset.to));
  });
}

// A form is sent once.
for (const form of document.querySelectorAll("form[method=post]")) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
}
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});
