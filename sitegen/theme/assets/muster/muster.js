/* Units, colours and search. No request leaves the folder: the search index is a script beside this one. */
(function () {
  "use strict";
  var root = document.documentElement;

  function remember(key, value) {
    try { localStorage.setItem("drogue-muster." + key, value); } catch (error) { /* private window */ }
  }

  /* Units ------------------------------------------------------------------------------------------- */
  var unitButtons = document.querySelectorAll("input[name=dm-units]");
  function showUnits(units) {
    root.classList.remove("u-metric", "u-us");
    root.classList.add("u-" + units);
    root.setAttribute("data-units", units);
    unitButtons.forEach(function (button) { button.checked = button.value === units; });
  }
  showUnits(root.classList.contains("u-us") ? "us" : "metric");
  unitButtons.forEach(function (button) {
    button.addEventListener("change", function () {
      showUnits(button.value);
      remember("units", button.value);
    });
  });

  /* Colours ----------------------------------------------------------------------------------------- */
  var schemeButton = document.querySelector(".dm-scheme");
  function dark() { return root.getAttribute("data-md-color-scheme") === "slate"; }
  function showScheme(scheme) {
    root.setAttribute("data-md-color-scheme", scheme === "dark" ? "slate" : "default");
    schemeButton.setAttribute("aria-pressed", String(scheme === "dark"));
  }
  if (schemeButton) {
    showScheme(dark() ? "dark" : "light");
    schemeButton.addEventListener("click", function () {
      var scheme = dark() ? "light" : "dark";
      showScheme(scheme);
      remember("scheme", scheme);
    });
  }

  /* Printing: what is folded on screen is printed in full --------------------------------------------- */
  var unfolded = [];
  addEventListener("beforeprint", function () {
    unfolded = Array.from(document.querySelectorAll("article details.dm-print:not([open])"));
    unfolded.forEach(function (fold) { fold.open = true; });
  });
  addEventListener("afterprint", function () {
    unfolded.forEach(function (fold) { fold.open = false; });
  });
  var openButton = document.querySelector(".dm-open-button");
  if (openButton) {
    openButton.addEventListener("click", function () {
      var open = root.classList.toggle("paper-all");
      openButton.setAttribute("aria-pressed", String(open));
      document.querySelectorAll("article details.dm-fold").forEach(function (fold) { fold.open = open; });
    });
  }
  /* The margins of a sheet of paper take words from these properties alone. */
  function forMargin(text) {
    return "\"" + text.replace(/[^\w .,()\u00a0-\uffff-]/g, function (c) {
      return "\\" + c.charCodeAt(0).toString(16) + " ";
    }) + "\"";
  }
  root.style.setProperty("--paper-title", forMargin(document.title.slice(0, 110)));
  document.querySelectorAll(".dm-print-button").forEach(function (button) {
    button.addEventListener("click", function () { print(); });
  });

  /* Tables that become cards on a phone: each cell carries its column's heading, and keeps its role ---------- */
  document.querySelectorAll(".dm-stack table").forEach(function (table) {
    var heads = Array.from(table.querySelectorAll("thead th"), function (head) { return head.textContent.trim(); });
    table.setAttribute("role", "table");
    table.querySelectorAll("thead, tbody, tfoot").forEach(function (part) { part.setAttribute("role", "rowgroup"); });
    table.querySelectorAll("tr").forEach(function (row) { row.setAttribute("role", "row"); });
    table.querySelectorAll("thead th").forEach(function (head) { head.setAttribute("role", "columnheader"); });
    table.querySelectorAll("tbody tr, tfoot tr").forEach(function (row) {
      Array.from(row.cells).forEach(function (cell, at) {
        cell.setAttribute("role", cell.tagName === "TH" ? "rowheader" : "cell");
        if (row.cells.length === heads.length) { cell.setAttribute("data-head", heads[at]); }
      });
    });
    table.classList.add("dm-cards");
  });

  /* A wide table can be reached and scrolled with the keyboard; one that fits is no stop on the way ---------- */
  function stops() {
    document.querySelectorAll(".dm-scroll").forEach(function (region) {
      if (region.scrollWidth > region.clientWidth) {
        region.tabIndex = 0;
      } else if (region !== document.activeElement) {
        region.removeAttribute("tabindex");
      }
    });
  }
  stops();
  addEventListener("resize", stops);
  document.addEventListener("toggle", stops, true);

  /* A link to something inside a folded part unfolds it ------------------------------------------------ */
  function unfoldTarget() {
    var target = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    for (var at = target; at; at = at.parentElement) {
      if (at.tagName === "DETAILS") { at.open = true; }
    }
  }
  try { unfoldTarget(); } catch (error) { /* a hash that is no address of ours */ }
  addEventListener("hashchange", function () { try { unfoldTarget(); } catch (error) { /* as above */ } });

  /* The menu closes with Escape and when the focus leaves it ------------------------------------------- */
  var menu = document.querySelector(".dm-menu");
  if (menu) {
    menu.addEventListener("keydown", function (event) {
      if (event.key === "Escape" && menu.open) { menu.open = false; menu.querySelector("summary").focus(); }
    });
    menu.addEventListener("focusout", function (event) {
      if (event.relatedTarget && !menu.contains(event.relatedTarget)) { menu.open = false; }
    });
  }

  /* Search ------------------------------------------------------------------------------------------ */
  var box = document.querySelector(".dm-search");
  if (!box) { return; }
  var field = box.querySelector("input");
  var panel = box.querySelector(".dm-search__found");
  var count = box.querySelector(".dm-search__count");
  var list = box.querySelector(".dm-search__list");
  var prefix = box.getAttribute("data-root");
  var wanted = null;
  var MOST = 12;

  function plain(text) {
    return text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  }

  function load(then) {
    if (window.drogueMusterIndex) { then(); return; }
    if (wanted) { wanted.push(then); return; }
    wanted = [then];
    var script = document.createElement("script");
    script.src = prefix + "search/index.js";
    script.onload = function () {
      window.drogueMusterIndex.forEach(function (entry) {
        entry.plainTitle = plain(entry.title);
        entry.plainText = plain(entry.text);
      });
      wanted.forEach(function (waiting) { waiting(); });
    };
    script.onerror = function () {
      panel.hidden = false;
      count.textContent = "The search index could not be read. The fleet table can be filtered instead.";
    };
    document.head.appendChild(script);
  }

  /* Title words count most, whole beginnings of words more than middles. Every word must be found. */
  function score(entry, words) {
    var sum = 0;
    for (var i = 0; i < words.length; i += 1) {
      var inTitle = entry.plainTitle.indexOf(words[i]);
      var inText = entry.plainText.indexOf(words[i]);
      if (inTitle < 0 && inText < 0) { return 0; }
      if (inTitle >= 0) {
        sum += inTitle === 0 || /[^a-z0-9]/.test(entry.plainTitle.charAt(inTitle - 1)) ? 12 : 8;
      } else {
        sum += inText === 0 || /[^a-z0-9]/.test(entry.plainText.charAt(inText - 1)) ? 3 : 1;
      }
    }
    return sum;
  }

  function excerpt(entry, words) {
    var at = entry.plainText.indexOf(words[0]);
    var from = Math.max(0, at - 40);
    var text = entry.text.slice(from, from + 120);
    return (from > 0 ? "…" : "") + text + (from + 120 < entry.text.length ? "…" : "");
  }

  function find() {
    var words = plain(field.value).split(/\s+/).filter(Boolean);
    list.textContent = "";
    if (!words.length) { panel.hidden = true; return; }
    var found = window.drogueMusterIndex
      .map(function (entry) { return { entry: entry, score: score(entry, words) }; })
      .filter(function (item) { return item.score > 0; })
      .sort(function (a, b) { return b.score - a.score || a.entry.title.localeCompare(b.entry.title); });
    count.textContent = found.length === 0 ? "Nothing found" :
      found.length === 1 ? "1 found" :
      found.length > MOST ? found.length + " found, the first " + MOST + " shown" : found.length + " found";
    found.slice(0, MOST).forEach(function (item) {
      var row = document.createElement("li");
      var link = document.createElement("a");
      var title = document.createElement("bdi");
      var text = document.createElement("span");
      link.href = prefix + item.entry.address;
      title.textContent = item.entry.title;
      text.textContent = excerpt(item.entry, words);
      link.append(title, text);
      row.append(link);
      list.append(row);
    });
    panel.hidden = false;
  }

  function close() { panel.hidden = true; }

  field.addEventListener("focus", function () { load(function () {}); });
  field.addEventListener("input", function () { load(find); });
  box.addEventListener("keydown", function (event) {
    var links = Array.from(list.querySelectorAll("a"));
    var at = links.indexOf(document.activeElement);
    if (event.key === "Escape") { close(); field.focus(); event.preventDefault(); }
    if (event.key === "ArrowDown" && links.length) { links[Math.min(at + 1, links.length - 1)].focus(); event.preventDefault(); }
    if (event.key === "ArrowUp" && at >= 0) { (at === 0 ? field : links[at - 1]).focus(); event.preventDefault(); }
    if (event.key === "Enter" && document.activeElement === field && links.length) { links[0].click(); event.preventDefault(); }
  });
  box.addEventListener("focusout", function (event) {
    if (event.relatedTarget && !box.contains(event.relatedTarget)) { close(); }
  });
  document.addEventListener("click", function (event) { if (!box.contains(event.target)) { close(); } });
})();
