/* For whoever reads or passes on a page: permanent links on headings, tables to copy, the way back up. */
(function () {
  "use strict";

  /* A link on every heading that has an address, its own or its part's --------------------------------------- */
  document.querySelectorAll("article :is(h2, h3)").forEach(function (heading) {
    var part = heading.parentElement.closest("[id]");
    var id = heading.id || (part && part.querySelector("h2, h3") === heading ? part.id : "");
    if (!id || id === "content") { return; }
    var link = document.createElement("a");
    link.className = "dm-permalink";
    link.href = "#" + encodeURIComponent(id);
    link.setAttribute("aria-label", "Permanent link to “" + heading.textContent.trim().replace(/\s+/g, " ") + "”");
    link.textContent = "#";
    var fold = heading.closest("summary"); /* whose whole line unfolds: a link in it could not be pressed */
    if (fold) { fold.after(link); } else { heading.append(" ", link); }
  });

  /* Tables as text that a spreadsheet takes: what is shown, in the units that are shown ----------------------- */
  function shownText(cell) {
    /* A head may be hidden on a phone; what the reader's switch hides has no boxes in a cell that has some. */
    var copy = cell.innerText || cell.textContent;
    return copy.trim().replace(/\s+/g, " ");
  }

  function asText(table) {
    return Array.from(table.rows, function (row) {
      return Array.from(row.cells, function (cell) { return shownText(cell); }).join("\t");
    }).join("\n") + "\n";
  }

  /* Where a page may not write to the clipboard by itself, as from a plain web address, a field is copied. */
  function byField(text) {
    var area = document.createElement("textarea");
    area.value = text;
    area.className = "dm-unseen";
    document.body.append(area);
    area.select();
    var done = document.execCommand("copy");
    area.remove();
    return done;
  }

  document.querySelectorAll("article table").forEach(function (table) {
    if (table.tBodies.length === 0 || table.tBodies[0].rows.length < 3) { return; }
    var line = document.createElement("p");
    var button = document.createElement("button");
    button.type = "button";
    button.className = "dm-copy";
    button.textContent = "Copy table";
    line.className = "dm-copy-line";
    line.append(button);
    (table.closest(".dm-scroll") || table).after(line);
    function say(done) {
      button.textContent = done ? "Copied" : "Not copied: select it by hand";
      setTimeout(function () { button.textContent = "Copy table"; }, 4000);
    }
    button.addEventListener("click", function () {
      var text = asText(table);
      if (!navigator.clipboard) { say(byField(text)); button.focus(); return; }
      navigator.clipboard.writeText(text).then(
        function () { say(true); },
        function () { say(byField(text)); button.focus(); }
      );
    });
  });

  /* The way back up is offered once there is one --------------------------------------------------------------- */
  var up = document.querySelector(".dm-up");
  function offer() { up.classList.toggle("dm-up--offered", scrollY > 1.5 * innerHeight); }
  if (up) {
    addEventListener("scroll", offer, { passive: true });
    offer();
  }
})();
