/* Search that forgives: without accents, with one slip of a letter, by number. No request leaves the folder: the
   index is a script beside this one, so that it is read from a folder too. */
(function () {
  "use strict";
  var box = document.querySelector(".dm-search");
  if (!box) { return; }
  var field = box.querySelector("input");
  var panel = box.querySelector(".dm-search__found");
  var count = box.querySelector(".dm-search__count");
  var list = box.querySelector(".dm-search__list");
  var prefix = box.getAttribute("data-root");
  var wanted = null;
  var entries = null;
  var words = new Map(); /* form of a word -> [entry, how many words its title has; 0 where it is in the text], ... */
  var MOST = 12;
  var SHORTEST_WITH_SLIP = 4;
  var PASSED_OVER = new Set(("a an and are be by can do does for from her how i if in is it my of on or our she " +
    "the to was what when where which with you your").split(" "));

  /* Words without accents, in the two ways they are written: ø as o and as oe. ------------------------------ */
  var ALONE = { "ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i" };
  var PAIRS = { "ø": "oe", "ö": "oe", "ä": "ae", "ü": "ue", "å": "aa" };

  function lower(text) { return text.normalize("NFC").toLowerCase(); }

  function bare(text) {
    return text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "")
      .replace(/[øæœßłđðþı]/g, function (sign) { return ALONE[sign]; });
  }

  function forms(word) {
    var one = bare(word);
    var two = bare(word.replace(/[øöäüå]/g, function (sign) { return PAIRS[sign]; }));
    return one === two ? [one] : [one, two];
  }

  function wordsOf(text) { return lower(text).replace(/['’]/g, "").match(/[\p{L}\p{N}]+/gu) || []; }

  /* A number as it is looked for: "017" as "17", "GBR 1234" as "gbr1234". */
  function key(text) { return bare(lower(text)).replace(/[^a-z0-9]+/g, "").replace(/^0+(?=.)/, ""); }

  /* Two words of a title written as one: "leeshore". */
  function runTogether(title) {
    var each = wordsOf(title);
    return each.slice(1).map(function (word, at) { return each[at] + word; });
  }

  function take(index) {
    entries = index.map(function (row, at) {
      [[row[1], true], [row[2], false]].forEach(function (part) {
        var told = new Set(wordsOf(part[0]));
        var size = part[1] ? told.size : 0;
        if (part[1]) { runTogether(part[0]).forEach(function (word) { told.add(word); }); }
        told.forEach(function (word) {
          forms(word).forEach(function (form) {
            if (!words.has(form)) { words.set(form, []); }
            words.get(form).push([at, size]);
          });
        });
      });
      return { address: row[0], title: row[1], text: row[2], keys: (row[3] || []).map(key),
               said: bare(lower(row[1] + " \n " + row[2])) };
    });
  }

  /* Whether two words differ by one slip: a letter too many, too few, another one, or two that changed places. */
  function oneSlip(a, b) {
    if (Math.abs(a.length - b.length) > 1) { return false; }
    var from = 0;
    while (from < a.length && a[from] === b[from]) { from += 1; }
    var back = 0;
    while (back < Math.min(a.length, b.length) - from && a[a.length - 1 - back] === b[b.length - 1 - back]) { back += 1; }
    var left = a.slice(from, a.length - back);
    var right = b.slice(from, b.length - back);
    return (left.length <= 1 && right.length <= 1) ||
      (left.length === 2 && right.length === 2 && left[0] === right[1] && left[1] === right[0]);
  }

  /* How well each entry has a word: in its title, the shorter the better, or its text; equal, or less. -------- */
  function found(word) {
    var sums = new Map();
    var asked = forms(word);
    var slips = word.length >= SHORTEST_WITH_SLIP && !/\p{N}/u.test(word);
    function add(at, points) { if (points > (sums.get(at) || 0)) { sums.set(at, points); } }
    words.forEach(function (places, there) {
      var points = 0;
      asked.forEach(function (form) {
        if (there === form) { points = 12; }
        else if (there.startsWith(form)) { points = Math.max(points, 9); }
        else if (form.length > 3 && there.indexOf(form) > 0) { points = Math.max(points, 5); }
        else if (slips && oneSlip(form, there)) { points = Math.max(points, 3); }
      });
      if (points) { places.forEach(function (place) { add(place[0], place[1] ? points + 6 / place[1] : points / 4); }); }
    });
    return sums;
  }

  function search(text) {
    var all = wordsOf(text);
    var told = all.filter(function (word) { return !PASSED_OVER.has(word); });
    var sets = (told.length ? told : all).map(found);
    var whole = key(text);
    var phrase = bare(lower(text)).trim().replace(/\s+/g, " ");
    var result = [];
    entries.forEach(function (entry, at) {
      var hers = whole !== "" && entry.keys.indexOf(whole) >= 0;
      var sum = hers ? 60 : 0;
      var every = sets.length > 0;
      sets.forEach(function (set, place) {
        var named = sets.length > 1 && entry.keys.indexOf(key(told[place] || "")) >= 0;
        var points = Math.max(set.get(at) || 0, named ? 12 : 0);
        every = every && points > 0;
        sum += points;
      });
      if (!every && !hers) { return; }
      if (phrase && entry.said.indexOf(phrase) >= 0) { sum += 10; }
      result.push({ entry: entry, score: sum });
    });
    return result.sort(function (a, b) {
      return b.score - a.score || a.entry.title.localeCompare(b.entry.title);
    });
  }

  /* The piece of the text in which the first word stands. */
  function excerpt(entry, text) {
    var asked = wordsOf(text).map(function (word) { return forms(word)[0]; });
    var each = /[\p{L}\p{N}]+/gu;
    var at = 0;
    for (var one = each.exec(entry.text); one; one = each.exec(entry.text)) {
      var form = forms(lower(one[0]))[0];
      if (asked.some(function (word) { return !PASSED_OVER.has(word) && form.startsWith(word); })) { at = one.index; break; }
    }
    var from = Math.max(0, at - 40);
    return (from > 0 ? "…" : "") + entry.text.slice(from, from + 120) + (from + 120 < entry.text.length ? "…" : "");
  }

  function load(then) {
    if (entries) { then(); return; }
    if (wanted) { wanted.push(then); return; }
    wanted = [then];
    var script = document.createElement("script");
    script.src = prefix + "search/index.js";
    script.onload = function () {
      take(window.drogueMusterIndex);
      wanted.forEach(function (waiting) { waiting(); });
    };
    script.onerror = function () {
      panel.hidden = false;
      count.textContent = "The search index could not be read. The fleet table can be filtered instead.";
    };
    document.head.appendChild(script);
  }

  function find() {
    var text = field.value;
    list.textContent = "";
    if (!text.trim()) { panel.hidden = true; return; }
    var result = search(text);
    count.textContent = result.length === 0 ? "Nothing found" :
      result.length === 1 ? "1 found" :
      result.length > MOST ? result.length + " found, the first " + MOST + " shown" : result.length + " found";
    result.slice(0, MOST).forEach(function (item) {
      var row = document.createElement("li");
      var link = document.createElement("a");
      var title = document.createElement("bdi");
      var piece = document.createElement("span");
      link.href = prefix + item.entry.address;
      title.textContent = item.entry.title;
      piece.textContent = excerpt(item.entry, text);
      link.append(title, piece);
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
