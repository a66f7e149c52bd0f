/* Keeps what is typed into a form with data-keep on this device until the server has it, its photo too.
   An improvement only: without it the form works as it always did. */
(() => {
  "use strict";

  const PREFIX = "typed:";
  const DAYS = 14;
  const ROWS = ".lines-form > [role=group]";

  const entries = () => {
    const found = [];
    for (let at = 0; at < localStorage.length; at += 1) {
      const key = localStorage.key(at);
      if (!key.startsWith(PREFIX)) continue;
      try {
        found.push({ key, ...JSON.parse(localStorage.getItem(key)) });
      } catch {
        found.push({ key, at: 0, values: {} });
      }
    }
    return found;
  };

  /* Photos are too large for localStorage. Without this store only the photo has to be chosen again. */
  const photos = (mode, act) =>
    new Promise((done) => {
      const opening = indexedDB.open("typed", 1);
      opening.onupgradeneeded = () => opening.result.createObjectStore("photos");
      opening.onerror = () => done(undefined);
      opening.onsuccess = () => {
        const asked = act(opening.result.transaction("photos", mode).objectStore("photos"));
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => done(undefined);
      };
    });

  const forget = (key) => {
    localStorage.removeItem(key);
    photos("readwrite", (store) => store.delete(key));
  };

  const sent = document.querySelector("[data-sent]");
  for (const entry of entries()) {
    const old = Date.now() - entry.at > DAYS * 86400000;
    if (old || (sent && entry.key.endsWith(`:${sent.dataset.sent}`))) forget(entry.key);
  }

  const form = document.querySelector("form[data-keep]");
  if (!form) return;

  const mine = `${PREFIX}${form.dataset.keep}:${location.pathname}:`;
  const token = form.elements.namedItem("form_token");
  const file = form.querySelector("input[type=file]");
  const passedOver = ["file", "submit", "button", "reset"];
  const boxes = () =>
    [...form.elements].filter(
      (box) => box.name && box.name !== "csrfmiddlewaretoken" && !passedOver.includes(box.type),
    );
  const held = (box) => (box.type === "checkbox" ? box.checked : box.value);

  const note = document.createElement("div");
  note.setAttribute("role", "status");
  form.before(note);

  const say = (words, strong, buttons = []) => {
    const box = document.createElement("div");
    const line = document.createElement("p");
    box.className = strong ? "caution" : "note";
    line.textContent = words;
    box.append(line);
    if (buttons.length) {
      const row = document.createElement("div");
      row.className = "actions";
      for (const [label, act, quiet] of buttons) {
        const button = document.createElement("button");
        button.type = "button";
        button.className = quiet ? "button button-quiet" : "button";
        button.textContent = label;
        button.addEventListener("click", () => act(box));
        row.append(button);
      }
      box.append(row);
    }
    return box;
  };
  const tell = (words, strong) => note.replaceChildren(say(words, strong));

  const keep = () => {
    const values = Object.fromEntries(boxes().map((box) => [box.name, held(box)]));
    try {
      localStorage.setItem(mine + token.value, JSON.stringify({ at: Date.now(), values }));
    } catch {
      tell("This device has no room left to keep what is typed. Send it soon.", true);
    }
  };

  const addRow = () => {
    const total = form.elements.namedItem("lines-TOTAL_FORMS");
    const most = Number(form.elements.namedItem("lines-MAX_NUM_FORMS").value);
    const rows = form.querySelectorAll(ROWS);
    const last = rows[rows.length - 1];
    const number = Number(total.value);
    if (!last || number >= most) return false;
    const row = last.cloneNode(true);
    row.setAttribute("aria-label", `Line ${number + 1}`);
    for (const part of row.querySelectorAll(".doubt, .error-text")) part.remove();
    for (const part of [row, ...row.querySelectorAll("*")]) {
      part.classList.remove("field-wrong");
      for (const name of ["id", "name", "for", "aria-describedby"]) {
        const old = part.getAttribute(name);
        if (old) part.setAttribute(name, old.replace(/lines-\d+-/g, `lines-${number}-`));
      }
      if (part.matches("input, select")) {
        part.removeAttribute("aria-invalid");
        part.removeAttribute("aria-describedby");
        if (part.type === "checkbox") part.checked = true;
        else if (part.matches("select")) part.selectedIndex = 0;
        else part.value = "";
      }
    }
    last.after(row);
    total.value = String(number + 1);
    return true;
  };

  const putBack = async (entry, box) => {
    const rows = Number(entry.values["lines-TOTAL_FORMS"] || 0);
    while (Number(form.elements.namedItem("lines-TOTAL_FORMS").value) < rows && addRow());
    for (const one of boxes()) {
      if (!(one.name in entry.values) || one.name.endsWith("_FORMS")) continue;
      if (one.type === "checkbox") one.checked = entry.values[one.name];
      else one.value = entry.values[one.name];
    }
    const photo = file && (await photos("readonly", (store) => store.get(entry.key)));
    if (photo) {
      const files = new DataTransfer();
      files.items.add(photo);
      file.files = files.files;
    }
    for (const fold of form.querySelectorAll("details")) {
      const plain = ["", "-", "each", "0.00"];
      const full = [...fold.querySelectorAll("input, select")].some((one) =>
        one.type === "checkbox" ? one.checked : !plain.includes(one.value),
      );
      if (full) fold.open = true;
    }
    box.remove();
    keep();
    form.dispatchEvent(new Event("change", { bubbles: true }));
    form.querySelector("input:not([type=hidden]), select").focus();
  };

  const offers = entries().filter(
    (entry) => entry.key.startsWith(mine) && entry.key !== mine + token.value,
  );
  for (const entry of offers.sort((one, other) => other.at - one.at).slice(0, 3)) {
    const what = [entry.values.store, entry.values.total].filter(Boolean).join(", ");
    const when = new Date(entry.at).toLocaleString();
    note.append(
      say(`Typed on this device on ${when} and not sent${what ? `: ${what}` : ""}.`, false, [
        ["Put it back", (box) => putBack(entry, box)],
        [
          "Throw it away",
          (box) => {
            forget(entry.key);
            box.remove();
          },
          true,
        ],
      ]),
    );
  }

  form.addEventListener("input", keep);
  form.addEventListener("change", (event) => {
    if (event.target === file) {
      const [chosen] = file.files;
      const key = mine + token.value;
      photos("readwrite", (store) => (chosen ? store.put(chosen, key) : store.delete(key)));
    }
    if (event.target !== form) keep();
  });

  const OFFLINE = "No connection. All that is typed is kept on this device.";
  form.addEventListener("submit", (event) => {
    keep();
    if (navigator.onLine) return;
    event.preventDefault();
    if (event.submitter && event.submitter.name === "add") {
      for (let at = 0; at < 3; at += 1) addRow();
      keep();
      return;
    }
    tell(`${OFFLINE} Press the button again when you are back.`, true);
    note.scrollIntoView({ block: "center" });
  });
  addEventListener("offline", () => tell(OFFLINE, true));
  addEventListener("online", () => tell("The connection is back. You can save now.", false));
})();
