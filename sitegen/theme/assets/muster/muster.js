/* Units, colours, printing, folds, tables on a phone, the menus. No request leaves the folder. */
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

  /* A menu closes with Escape, when the focus leaves it, and when something else is pressed --------------- */
  document.querySelectorAll(".dm-menu").forEach(function (menu) {
    menu.addEventListener("keydown", function (event) {
      if (event.key === "Escape" && menu.open) { menu.open = false; menu.querySelector("summary").focus(); }
    });
    menu.addEventListener("focusout", function (event) {
      if (event.relatedTarget && !menu.contains(event.relatedTarget)) { menu.open = false; }
    });
    document.addEventListener("click", function (event) { if (!menu.contains(event.target)) { menu.open = false; } });
  });
})();
