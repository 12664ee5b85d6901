// A skipper's form. With a server it saves as she goes, and what waits for signal stays on the phone; opened as a file
// it gives her answers as text to send. Elements are made one by one, so that no text is ever read as markup.
"use strict";

(() => {
  const TRY_AGAIN_MS = 20000;
  const LONGEST_MS = 20000;
  const TWO_WAYS = /^[1-9]\d{0,2}[.,]\d{3}$/;  // 9,300: nine or nine thousand?
  const given = document.getElementById("given");  // the form itself, where this is a file
  const file = given ? JSON.parse(given.textContent) : null;
  const view = document.getElementById("view");
  let kept = { token: "", me: null, by: "", told: null, waiting: {}, way: null, open: {} };
  let place = "";
  let problem = "";
  let ended = false;
  let sending = false;
  const errors = {};

  function make(tag, attributes = {}, ...inner) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
      else if (value !== null && value !== false) element.setAttribute(name, value === true ? "" : value);
    }
    element.append(...inner.filter((part) => part !== null && part !== undefined && part !== ""));
    return element;
  }

  const button = (text, act, kind = null) => make("button", { type: "button", class: kind, onclick: act }, text);
  const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
  const day = (text) => new Date(`${text}T12:00:00`).toLocaleDateString("en-GB",
    { day: "numeric", month: "long", year: "numeric" });

  // What is kept on the phone. Where that fails it is said, since then nothing may be taken as saved.
  function keep() {
    try {
      localStorage.setItem(place, JSON.stringify(kept));
      return true;
    } catch {
      problem = "This phone keeps nothing: the browser forbids it, or it is full. Stay on this page until all is received.";
      return false;
    }
  }

  function recall() {
    try {
      kept = { ...kept, ...JSON.parse(localStorage.getItem(place) ?? "{}") };
    } catch {
      // nothing was kept before, or it cannot be read: the form begins anew
    }
  }

  async function ask(path, options = {}) {
    const headers = { authorization: `Bearer ${kept.token}`, ...options.headers };
    const answer = await fetch(path, { ...options, headers, cache: "no-store", signal: AbortSignal.timeout(LONGEST_MS) });
    if (!/json/.test(answer.headers.get("content-type") ?? "")) throw new Error("not the server");
    const told = await answer.json();
    if (answer.status === 401) ended = true;
    return { status: answer.status, told };
  }

  const boat = () => `/v1/fleets/${kept.me.fleet_id}/boats/${kept.me.boat_id}`;
  const waits = () => Object.keys(kept.waiting).length + (kept.way ? 1 : 0);

  async function read() {
    const { status, told } = await ask(`${boat()}/form`);
    if (status === 200) kept.told = told;
    else if (status === 404) problem = "Your boat is not in the entry list now. Ask the safety office.";
    keep();
  }

  const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)),
    (byte) => byte.toString(16).padStart(2, "0")).join("");

  // Send all that waits, as one; what was changed while it was on its way goes after it.
  async function send() {
    if (file || sending || ended || !kept.me || !kept.by) return;
    sending = true;
    try {
      if (waits()) await sendOnce();
      else await read();
      if (!waits()) problem = "";
    } catch {
      problem = navigator.onLine === false ? "No signal." : "The server does not answer.";
    } finally {
      sending = false;
      show();
    }
  }

  async function sendOnce() {
    const going = { ...kept.waiting };
    const way = kept.way;
    const names = Object.keys(going);
    const body = { by: kept.by, answers: names.map((name) => going[name]), supply: way?.word ?? null,
      price: way?.price || null };
    const same = kept.last && kept.last.body === JSON.stringify(body);
    kept.last = same ? kept.last : { key: newKey(), body: JSON.stringify(body) };
    keep();
    const { status, told } = await ask(`${boat()}/answers`, { method: "POST", body: kept.last.body,
      headers: { "content-type": "application/json", "idempotency-key": kept.last.key } });
    if (status === 201) {
      for (const name of names) if (kept.waiting[name] === going[name]) delete kept.waiting[name];
      if (kept.way === way) kept.way = null;
      await read();
    } else if (status === 409 || status === 422) {
      refused(told, names, status);
      await read();
    } else if (!ended) {
      problem = `${told.title ?? "The server could not take it"}. It is tried again.`;
    }
    kept.last = status === 201 || status === 409 || status === 422 ? null : kept.last;
    keep();
  }

  // What was refused stays as it was typed, beside what is wrong with it.
  function refused(told, names, status) {
    let found = false;
    for (const one of told.errors ?? []) {
      const name = names[Number(/^answers\.(\d+)$/.exec(one.field)?.[1])];
      if (!name) continue;
      found = true;
      errors[name] = one.code === "answered-meanwhile" ? "meanwhile" : `Expected: ${one.expected}.`;
      kept.open[name] = kept.waiting[name];
      delete kept.waiting[name];
    }
    if (!found && kept.way) {
      errors.way = told.detail ?? told.title;
      kept.way = null;
    } else if (!found) {
      problem = told.detail ?? told.title;
      for (const name of names) {
        kept.open[name] = kept.waiting[name];
        errors[name] = problem;
        delete kept.waiting[name];
      }
    }
    if (status === 409 && !found) problem = told.detail ?? told.title;
  }

  // One answer is saved on the phone at once, and sent when there is signal.
  function save(field, answer) {
    const over = field.answer ? field.answer.number : 0;
    kept.waiting[field.field] = { field: field.field, over, ...answer };
    delete kept.open[field.field];
    delete errors[field.field];
    keep();
    show();
    send();
  }

  const last = (field) => kept.waiting[field.field] ?? (field.answer ? { state: field.answer.state,
    value: field.answer.text, until: field.answer.until } : null);

  function inWords(answer) {
    if (answer.state === "unknown") return "not known";
    if (answer.state === "later") return `to be measured by ${day(answer.until)}`;
    return answer.value;
  }

  function figure(value, unit) {
    return `${value.toLocaleString("en", { maximumSignificantDigits: value >= 1000 ? 5 : 4 })} ${unit}`;
  }

  // "8,000 kg = 17,637 lb"
  function otherSystem(field, number, unit) {
    const metric = unit === field.metric.unit;
    const [own, other] = metric ? [field.metric_si, field.us_si] : [field.us_si, field.metric_si];
    return `${figure(number, unit)} = ${figure(number * own / other, metric ? field.us.unit : field.metric.unit)}: right?`;
  }

  function numberIn(text) {
    const plain = text.replace(/[\s']/g, "");
    if (TWO_WAYS.test(plain)) return { wrong: "This can be read in two ways. Leave out the sign before three digits." };
    const number = Number(plain.replace(",", "."));
    if (!plain || !/^\d+([.,]\d+)?$/.test(plain)) return { wrong: "Write a figure above zero, such as 12 or 12.5." };
    return { number };
  }

  const written = (number) => String(number).replace(".", form().decimal || ".");

  function outside(field, number, unit) {
    const bounds = unit === field.us?.unit ? field.us : field.metric;
    if (!bounds || (number >= bounds.least * 0.99999 && number <= bounds.most * 1.00001)) return "";
    return `Only from ${bounds.least.toLocaleString("en")} to ${bounds.most.toLocaleString("en")} ${bounds.unit}`.trim()
      + " is possible: look at the unit.";
  }

  const form = () => (file ? file : kept.told).form;

  // The control of one column; it gives its value, or says what is wrong.
  function control(field, id, before) {
    const text = before?.state === "said" ? before.value : "";
    if (field.kind === "choice" || field.kind === "yes_no") {
      const list = make("fieldset", { class: "ways", id }, make("legend", {}, capital(field.label)),
        ...field.choices.map((word, at) => make("label", {}, make("input", { type: "radio", name: id, value: word,
          id: `${id}-${at}`, checked: text === word, onchange: () => save(field, { state: "said", value: word }) }), capital(word))));
      return [list];
    }
    const wrong = make("p", { class: "bad", id: `${id}-wrong`, role: "alert" });
    const attributes = { id, autocomplete: "off", "aria-describedby": `${id}-wrong ${id}-hint` };
    const label = make("label", { for: id }, capital(field.label));
    const hint = make("p", { class: "hint", id: `${id}-hint` }, `${field.guidance} For example: ${field.example}.`);
    const done = (read) => button("Save", () => {
      const { value, wrong: told } = read();
      wrong.textContent = told ?? "";
      if (told) document.getElementById(id).setAttribute("aria-invalid", "true");
      else save(field, { state: "said", value });
    }, "main");
    if (field.kind === "quantity") {
      const [, figures, unit] = /^([\d.,\s]+)(.*)$/.exec(text) ?? [null, "", ""];
      const units = make("select", { id: `${id}-unit`, "aria-label": `Unit of ${field.label}` },
        ...[field.metric.unit, field.us.unit].map((one) => make("option", { selected: unit.trim() === one }, one)));
      const input = make("input", { ...attributes, inputmode: "decimal", value: figures.trim() });
      const other = make("p", { class: "other", role: "status" });
      const look = () => {
        const { number } = numberIn(input.value);
        other.textContent = number ? otherSystem(field, number, units.value) : "";
      };
      input.addEventListener("input", look);
      units.addEventListener("change", look);
      look();
      return [label, make("div", { class: "amount" }, input, units), other, hint, wrong, done(() => {
        const { number, wrong: told } = numberIn(input.value);
        const why = told ?? outside(field, number, units.value);
        return why ? { wrong: why } : { value: `${written(number)} ${units.value}` };
      })];
    }
    const type = field.kind === "date" ? "date" : "text";
    const input = make("input", { ...attributes, type, inputmode: field.kind === "count" ? "numeric" : null, value: text });
    return [label, input, hint, wrong, done(() => {
      const value = input.value.trim();
      if (!value) return { wrong: "Write your answer, or say that you do not know." };
      if (field.pattern && !new RegExp(`^(?:${field.pattern})$`, "iu").test(value)) {
        return { wrong: `Write it as in the example: ${field.example}.` };
      }
      if (field.kind === "count") {
        const why = outside(field, Number(value), "");
        if (why) return { wrong: why };
      }
      return { value };
    })];
  }

  function later(field, id) {
    const input = make("input", { type: "date", id: `${id}-until`, min: form().today });
    return make("details", {}, make("summary", {}, "I will measure it"),
      make("label", { for: `${id}-until` }, "By which day?"), input,
      button("Save the day", () => {
        if (input.value && input.value >= form().today) save(field, { state: "later", until: input.value });
        else input.setAttribute("aria-invalid", "true");
      }));
  }

  function meanwhile(field) {
    const mine = kept.open[field.field];
    if (errors[field.field] !== "meanwhile" || !mine) return null;
    const theirs = field.answer ? inWords({ state: field.answer.state, value: field.answer.text, until: field.answer.until })
      : "nothing";
    const { over: _old, field: _field, ...answer } = mine;
    return make("div", { class: "notice" }, make("p", {}, `Another phone answered “${theirs}”. You wrote “${inWords(mine)}”.`),
      button("Mine is right", () => save(field, answer)),
      button("Theirs is right", () => { delete kept.open[field.field]; delete errors[field.field]; keep(); show(); }));
  }

  function question(one, number, count) {
    const section = make("section", { class: "card", "data-field": one.fields[0].field },
      make("p", { class: "hint" }, `Question ${number} of ${count}${one.level === "should" ? ", advised" : ""}`),
      make("h3", {}, one.text));
    if (one.drawing) section.append(drawing(one.drawing));
    one.fields.forEach((field, at) => {
      const id = `f-${field.field}`;
      if (at) section.append(make("p", {}, "Or:"));
      if (field.entered) section.append(make("p", {}, `Your entry says: “${field.entered}”.`));
      if (field.measured) section.append(make("p", {}, `A scrutineer measured “${field.measured}”; that counts.`));
      const conflict = meanwhile(field);
      if (conflict) section.append(conflict);
      section.append(...control(field, id, kept.open[field.field] ?? last(field)));
      if (errors[field.field] && errors[field.field] !== "meanwhile") {
        section.append(make("p", { class: "bad", role: "alert" }, `This was not taken. ${errors[field.field]}`));
      }
    });
    const first = one.fields[0];
    section.append(make("div", { class: "aside" }, button("I do not know", () => save(first, { state: "unknown" })),
      later(first, `f-${first.field}`)));
    return section;
  }

  // Drawings come with the program; they are read as SVG and never as a page.
  function drawing(text) {
    const image = make("img", { alt: "", src: `data:image/svg+xml;utf8,${encodeURIComponent(text)}` });
    return make("div", { class: "drawing" }, image);
  }

  function answered(field) {
    const answer = last(field);
    const state = kept.waiting[field.field] ? (file ? "" : ", saved on this phone") : ", received";
    return make("section", { class: "card done", "data-done": field.field },
      make("p", {}, make("b", {}, `${capital(field.label)}: `), inWords(answer), make("span", { class: "hint" }, state)),
      make("button", { type: "button", "aria-label": `Change ${field.label}`, onclick: () => {
        kept.open[field.field] = { ...answer, field: field.field };
        show();
        document.getElementById(`f-${field.field}`)?.focus();
      } }, "Change"));
  }

  const settled = (field) => last(field) && !kept.open[field.field];

  function asks(one) {
    if (!one.devices.length) return true;
    const device = kept.waiting.device_type;
    return device?.state === "said" && one.devices.includes(device.value);
  }

  function consent() {
    const { form: told, price, price_whole: whole, currency } = file ?? kept.told;
    const chosen = kept.way?.word ?? told.way;
    const words = Object.fromEntries(told.ways.map((one) => [one.word, one.said]));
    const closes = told.order_closes ? day(told.order_closes) : "";
    const parts = [make("h2", {}, "How you get the parts")];
    if (price) {
      parts.push(make("p", { class: "price" }, `${currency} ${price}${whole ? "" : " and what has no price yet"}`),
        make("p", {}, "Your price now, through the rally. It changes with the number of boats that order, with what the"
          + " makers ask, and with your answers."));
    } else parts.push(make("p", {}, told.parts ? "Price: not known yet." : "As far as we know now, there are no parts to buy for you."));
    if (chosen) parts.push(make("p", { id: "chosen" }, `You said: ${words[chosen]}`
      + `${kept.way ? (file ? "" : ", saved on this phone") : told.way_day ? `, on ${day(told.way_day)}` : ""}.`));
    else parts.push(make("p", {}, "Nothing is bought for you before you say so."));
    if (told.order_closed) {
      parts.push(make("p", {}, `The order closed on ${closes}. Ask the office if this has to change.`));
      return make("section", { class: "card", id: "consent" }, ...parts);
    }
    if (!told.parts && !price && !chosen) return make("section", { class: "card", id: "consent" }, ...parts.slice(0, 2));
    if (closes) parts.push(make("p", {}, `You can change it until ${closes}.`));
    if (errors.way) parts.push(make("p", { class: "bad", role: "alert" }, errors.way));
    parts.push(make("fieldset", { class: "ways" }, make("legend", {}, "Your choice"), ...told.ways.map((one, at) => make("label", {},
      make("input", { type: "radio", name: "way", id: `way-${at}`, value: one.word, checked: one.word === chosen }),
      capital(one.said)))),
    button("Save my choice", () => {
      const word = document.querySelector("input[name=way]:checked")?.value;
      if (!word) return;
      kept.way = { word, price: word === "rally order" && price ? price : "" };
      delete errors.way;
      keep();
      show();
      send();
    }, "main"));
    return make("section", { class: "card", id: "consent" }, ...parts);
  }

  function jobs() {
    const { jobs: list, more_jobs: more } = form();
    if (!list.length) return make("section", {}, make("h2", {}, "To do"), make("p", {}, "Nothing is left to do."));
    return make("section", { id: "jobs" }, make("h2", {}, "To do"), make("ul", {}, ...list.map((job) => make("li", {},
      `${job.title}${job.due ? `, by ${job.due}` : ""}${job.advised ? " (advised)" : ""}`))),
    more ? make("p", {}, `And ${more} more on your page.`) : null);
  }

  // ---- as text, where the form is a file

  function block() {
    const lines = [`--- answers for entry ${form().entry_no} ---`, `form: ${file.code}`, `by: ${kept.by}`];
    for (const one of Object.values(kept.waiting)) {
      const said = one.state === "unknown" ? "not known" : one.state === "later" ? `later ${one.until}` : `is ${one.value}`;
      lines.push(`${one.field}: ${said}`);
    }
    if (kept.way) lines.push(`gear_supply: is ${kept.way.word}`);
    if (kept.way?.price) lines.push(`price: is ${kept.way.price}`);
    return [...lines, "--- end ---", ""].join("\n");
  }

  function toSend() {
    const { contact } = form();
    const text = block();
    const area = make("textarea", { id: "block", readonly: true }, text);
    const name = `answers-${form().entry_no.replace(/[^\w-]/g, "_")}.txt`;
    const mail = /^[^\s@]+@[^\s@]+$/.test(contact);
    return make("section", { id: "send" }, make("h2", {}, "Send your answers"),
      make("p", {}, waits() ? "Copy this text into a mail, or save it as a file and attach it. Change nothing in it."
        : "Answer a question first."),
      make("p", {}, contact ? `To: ${contact}` : "Ask the safety office where to send it."),
      make("label", { for: "block" }, "Your answers as text"), area,
      make("div", { class: "actions" },
        button("Copy the text", () => { area.select(); document.execCommand("copy"); }, "main"),
        make("a", { href: `data:text/plain;charset=utf-8,${encodeURIComponent(text)}`, download: name }, "Save as a file"),
        mail ? make("a", { href: `mailto:${contact}?subject=${encodeURIComponent(`Entry ${form().entry_no}: our answers`)}`
          + `&body=${encodeURIComponent(text)}` }, "Write the mail") : null));
  }

  // ---- what is shown

  function signal() {
    if (file) return "";
    const count = waits();
    if (ended) return "This link has ended";
    if (count) return `${count} saved here, not received`;
    return problem ? "No signal" : "All received";
  }

  function told(text, kind = "bad") { return make("p", { class: kind, role: "alert" }, text); }

  function show() {
    const spot = document.getElementById("signal");
    const words = signal();
    spot.className = words && words !== "All received" ? "out" : "";
    if (spot.textContent !== words) spot.textContent = words;
    const active = document.activeElement?.id;
    const typed = [...view.querySelectorAll("input:not([type=radio]), select")].map((one) => [one.id, one.value]);
    view.replaceChildren(...parts().filter((part) => part !== null));
    for (const [id, value] of typed) {
      const now = document.getElementById(id);
      if (now && now.closest("[data-field]") && value) {
        now.value = value;
        now.dispatchEvent(new Event("input"));
      }
    }
    if (active) document.getElementById(active)?.focus({ preventScroll: true });
  }

  function parts() {
    if (ended) return [told("This link does not count any more. Ask the safety office for a new one."), waits()
      ? told("What you answered stays on this phone. Open the new link on it, and it is sent.", "state waiting") : null];
    if (!file && !kept.token) return [told("This page is opened by the link that the safety office sent you.")];
    if (!file && !kept.told) return [told(problem || "One moment.", "hint")];
    const name = make("input", { id: "by", autocomplete: "name", maxlength: "120", value: kept.by });
    const who = make("section", {}, make("label", { for: "by" }, "Your name"), name,
      make("p", { class: "hint" }, "It stands beside your answers. The safety office alone sees it."));
    const { entry_no: entry, boat_name: boatName } = form();
    const head = make("h2", {}, `${entry} ${boatName}`);
    const next = () => {
      kept.by = name.value.trim();
      if (!kept.by) return name.focus();
      keep();
      show();
      return send();
    };
    if (!kept.by) return [head, make("p", {}, "A few questions about your drogue. Answer what you can. You can stop and come"
      + " back: it is kept."), who, button("Begin", next, "main")];
    const asked = form().questions.filter(asks);
    const open = asked.filter((one) => !one.fields.some(settled));
    const shut = asked.filter((one) => one.fields.some(settled)).flatMap((one) => one.fields.filter(last));
    const done = [...shut, ...form().answered.filter((field) => !kept.open[field.field])];
    const again = form().answered.filter((field) => kept.open[field.field])
      .map((field) => ({ text: capital(field.label), level: "shall", devices: [], fields: [field] }));
    const all = [...again, ...open];
    return [head, problem && !file ? told(waits() ? `${problem} Your answers are saved on this phone and sent later.` : problem,
      "state waiting") : null,
      make("progress", { max: String(all.length + done.length || 1), value: String(done.length), "aria-label": "Answered" }),
      make("p", { id: "left" }, all.length ? `${all.length} question${all.length === 1 ? "" : "s"} open.`
        : "All questions are answered. Thank you."),
      ...all.map((one, at) => question(one, at + 1, all.length)),
      done.length ? make("h2", {}, "Answered") : null, ...done.map(answered),
      consent(), jobs(), file ? toSend() : null,
      make("p", { class: "hint" }, `What you answer is taken as your word. What a scrutineer measures stands above it.`),
      make("p", { class: "hint" }, form().contact ? `Questions: ${form().officer} ${form().contact}`.trim() : "")];
  }

  async function begin() {
    if (file) {
      place = `drogue-muster-answer file ${file.code}`;
      recall();
      return show();
    }
    place = "drogue-muster-answer";
    recall();
    const found = /^#(dm_[\w-]{43})$/.exec(location.hash);
    if (found) {
      history.replaceState(null, "", location.pathname);
      if (found[1] !== kept.token) {
        const before = kept.me;
        kept = { ...kept, token: found[1], before };
      }
    }
    show();
    if (!kept.token) return null;
    try {
      const { status, told: me } = await ask("/v1/me");
      if (status === 200) {
        const other = kept.me && (kept.me.boat_id !== me.boat_id || kept.me.fleet_id !== me.fleet_id);
        if (other) kept = { ...kept, by: "", told: null, waiting: {}, way: null, open: {} };  // of another boat
        kept.me = me;
        if (me.role !== "skipper") problem = "This link is not a skipper's.";
        else await read();
      }
    } catch {
      problem = "No signal. What you answer is kept on this phone.";
    }
    keep();
    show();
    return send();
  }

  window.addEventListener("online", send);
  window.addEventListener("offline", () => { problem = "No signal."; show(); });
  window.addEventListener("hashchange", () => location.reload());
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible" && waits()) send(); });
  if (!file) setInterval(() => { if (waits()) send(); }, TRY_AGAIN_MS);
  if (!file && "serviceWorker" in navigator) navigator.serviceWorker.register("worker.js").catch(() => {});
  begin();
})();
