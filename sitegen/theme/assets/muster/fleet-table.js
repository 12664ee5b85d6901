/* Sorts and filters the fleet table. Without this file the table is a plain, complete table. */
(function () {
  "use strict";
  var table = document.getElementById("fleet");
  var form = document.getElementById("fleet-filter");
  if (!table || !form) { return; }
  var body = table.tBodies[0];
  var status = document.getElementById("fleet-count");
  var heads = Array.from(table.tHead.rows[0].cells);
  var rows = Array.from(body.rows).map(function (row, place) {
    return { row: row, place: place, words: plain(row.getAttribute("data-words")),
             stage: row.getAttribute("data-stage"), type: row.getAttribute("data-type") };
  });
  var state = { q: "", stage: "", type: "", sort: "", down: false };
  var collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

  function plain(text) {
    return text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  }

  function readHash() {
    var given = new URLSearchParams(location.hash.slice(1));
    state.q = given.get("q") || "";
    state.stage = given.get("stage") || "";
    state.type = given.get("type") || "";
    var sort = (given.get("sort") || "").split(".");
    state.sort = heads.some(function (head) { return head.getAttribute("data-key") === sort[0]; }) ? sort[0] : "";
    state.down = sort[1] === "down";
  }

  function writeHash() {
    var given = new URLSearchParams();
    ["q", "stage", "type"].forEach(function (key) { if (state[key]) { given.set(key, state[key]); } });
    if (state.sort) { given.set("sort", state.sort + (state.down ? ".down" : ".up")); }
    var text = given.toString();
    history.replaceState(null, "", text ? "#" + text : location.pathname + location.search);
  }

  function value(cell) {
    var number = cell.getAttribute("data-value");
    return number === null ? cell.textContent.trim() : number === "" ? null : Number(number);
  }

  function order() {
    var column = heads.findIndex(function (head) { return head.getAttribute("data-key") === state.sort; });
    heads.forEach(function (head, place) {
      if (!head.hasAttribute("data-key")) { return; }
      if (place === column) {
        head.setAttribute("aria-sort", state.down ? "descending" : "ascending");
      } else {
        head.removeAttribute("aria-sort");
      }
    });
    rows.sort(function (a, b) {
      if (column < 0) { return a.place - b.place; }
      var one = value(a.row.cells[column]);
      var two = value(b.row.cells[column]);
      if (one === null || two === null) { return one === two ? a.place - b.place : one === null ? 1 : -1; }
      var sign = typeof one === "number" ? one - two : collator.compare(one, two);
      return (state.down ? -sign : sign) || a.place - b.place;
    });
    /* To lay out a thousand rows anew takes long: rows that stand in order already are left alone. */
    if (rows.every(function (item, place) { return body.rows[place] === item.row; })) { return; }
    var all = document.createDocumentFragment();
    rows.forEach(function (item) { all.append(item.row); });
    body.append(all);
  }

  function filter() {
    var words = plain(state.q).split(/\s+/).filter(Boolean);
    var shown = 0;
    rows.forEach(function (item) {
      var fits = (!state.stage || item.stage === state.stage) &&
        (!state.type || item.type === state.type) &&
        words.every(function (word) { return item.words.indexOf(word) >= 0; });
      item.row.hidden = !fits;
      shown += fits ? 1 : 0;
    });
    status.textContent = shown === rows.length ? "All " + rows.length + " boats shown" :
      shown + " of " + rows.length + " boats shown";
    table.classList.toggle("dm-empty", shown === 0);
  }

  function show() {
    form.elements.q.value = state.q;
    form.elements.stage.value = state.stage;
    form.elements.type.value = state.type;
    order();
    filter();
  }

  heads.forEach(function (head) {
    var key = head.getAttribute("data-key");
    if (!key) { return; }
    var button = document.createElement("button");
    button.type = "button";
    button.append.apply(button, Array.from(head.childNodes));
    head.append(button);
    button.addEventListener("click", function () {
      state.down = state.sort === key ? !state.down : head.hasAttribute("data-down-first");
      state.sort = key;
      writeHash();
      order();
    });
  });

  form.addEventListener("submit", function (event) { event.preventDefault(); });
  form.addEventListener("input", function () {
    state.q = form.elements.q.value;
    state.stage = form.elements.stage.value;
    state.type = form.elements.type.value;
    writeHash();
    filter();
  });
  form.addEventListener("reset", function (event) {
    event.preventDefault();
    state = { q: "", stage: "", type: "", sort: "", down: false };
    writeHash();
    show();
    form.elements.q.focus();
  });
  document.querySelectorAll("a[data-filter]").forEach(function (link) {
    link.addEventListener("click", function () { form.scrollIntoView({ block: "start" }); });
  });
  addEventListener("hashchange", function () { readHash(); show(); });
  readHash();
  show();
})();
